"""``knockon new``: a vehicle of one's own, with its tables and a measuring sheet."""

from __future__ import annotations

import sys
from collections.abc import Iterator, Sequence
from contextlib import redirect_stdout
from pathlib import Path

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.ready_made import ready_made
from knockon.queries.intake.measuring.lines import UNITS
from knockon.queries.intake.new_vehicle import Wanted, add_vehicle
from knockon.queries.intake.vehicle_wanted import Choosable, choices_of, chosen_of, open_choices, uses_of
from knockon.queries.ui.asking import CouldNotRun, Settings, answering, deliver, mistakes_told
from knockon.queries.ui.having_written import having_written
from knockon.queries.ui.naming import listed
from knockon.queries.ui.prints.measuring import measuring_files
from knockon.queries.ui.sentences import newcomer as says
from knockon.queries.ui.sentences.help import intake as say
from knockon.queries.ui.terminal.blocks import Block
from knockon.queries.ui.texts.intake.new import new_text


@click.command(name="new", help=say.NEW)
@click.argument("folder", type=click.Path(path_type=Path))
@click.option("--layout", "layouts", multiple=True, help=say.NEW_LAYOUT)
@click.option("--choice", "choices", multiple=True, help=say.NEW_CHOICE)
@click.option("--may-change", multiple=True, metavar="CHOICE", help=say.NEW_MAY_CHANGE)
@click.option("--vehicle", default="", help=say.NEW_VEHICLE)
@click.option("--title", default="", help=say.NEW_TITLE)
@click.option("--owner", default="", help=say.NEW_OWNER)
@click.option("--unit", type=click.Choice(UNITS), default=UNITS[0], help=say.NEW_UNIT)
@answering
def new(settings: Settings, folder: Path, layouts: tuple[str, ...], choices: tuple[str, ...],
        may_change: tuple[str, ...], vehicle: str, title: str, owner: str, unit: str) -> int:  # fmt: skip
    """Write a vehicle of one's own."""
    if settings.server:
        raise CouldNotRun(says.NO_SERVER)
    with mistakes_told():
        asked = _Questions(folder, layouts, choices, vehicle).answered()
        wanted = Wanted(asked.vehicle, asked.layouts, asked.choices, may_change, title, owner, unit)
        answer = add_vehicle(folder, wanted, measuring_files)

    def text(_: Catalogue) -> Sequence[Block]:
        return new_text(answer)

    with having_written(says.WRITTEN.format(vehicle=answer.vehicle, folder=folder)):
        return deliver(Settings(folder, settings.json, (), "", settings.pager), "new", answer, True, text)


class _Questions:
    """What is still to be asked: layouts, one question of choices an axle, the name. Never more than five."""

    def __init__(self, folder: Path, layouts: tuple[str, ...], choices: tuple[str, ...], vehicle: str) -> None:
        self.folder, self.layouts, self.choices, self.vehicle = folder, layouts, choices, vehicle

    def answered(self) -> _Questions:
        """Itself, with everything that a vehicle needs."""
        if not self.layouts:
            self.layouts = tuple(self._layouts())
        left = choices_of(uses_of(self.layouts))
        given = chosen_of(left, self.choices, partly=True)
        for axle, choices in _by_axle(open_choices(left, given)):
            self.choices += tuple(self._of_axle(axle, choices))
        chosen_of(left, self.choices)
        self.vehicle = self.vehicle or self._asked(says.ASK_VEHICLE)
        return self

    def _layouts(self) -> Iterator[str]:
        known = list(ready_made().values())
        titles = [one.tables["layouts"][0][1]["title"] for one in known]
        lines = [
            says.NUMBERED.format(number=number, name=one.name, title=title)
            for number, (one, title) in enumerate(zip(known, titles, strict=True), 1)
        ]
        said = self._asked(says.ASK_LAYOUTS, [says.READY_MADE, *lines])
        for word in (w.strip() for w in said.split(",")):
            if word.isdigit() and not 1 <= int(word) <= len(known):
                raise CouldNotRun(says.NO_NUMBER.format(number=word, most=len(known)))
            yield known[int(word) - 1].name if word.isdigit() else word

    def _of_axle(self, axle: str, choices: Sequence[Choosable]) -> Iterator[str]:
        before = [says.CHOICES_OF.format(axle=f"{axle.capitalize()}. " if axle else "")]
        for choice in choices:
            named = [
                says.ARRANGEMENT.format(arrangement=a, title=t)
                for a, t in zip(choice.arrangements, choice.titles, strict=True)
            ]
            before.append(says.ONE_CHOICE.format(choice=choice.choice, arrangements=says.OR.join(named)))
        example = says.AND.join(choice.arrangements[0] for choice in choices)
        said = self._asked(says.ASK_CHOICES.format(example=example), before)
        yield from (word.strip() for word in said.split(",") if word.strip())

    def _asked(self, question: str, before: Sequence[str] = ()) -> str:
        """The answer to a question; where nobody can answer, the options that would."""
        try:
            with redirect_stdout(sys.stderr):  # an older click writes the blank after the question beside the answer
                if before:
                    click.echo("\n".join(before), err=True)
                return str(click.prompt(question, err=True))
        except click.Abort as error:
            if sys.stdin is not None and sys.stdin.isatty():
                raise
            click.echo(err=True)  # the question's line ends before what is missing is said
            raise CouldNotRun(self._lacks()) from error

    def _lacks(self) -> str:
        """Which options are missing, with a whole command as an example."""
        lacking = [] if self.layouts else [says.LAYOUT_OPTION]
        known = list(ready_made())
        layouts = self.layouts or (known[0], *(n for n in known if not ready_made()[n].axle))
        choices = choices_of(uses_of(layouts))
        left = open_choices(choices, chosen_of(choices, self.choices, partly=True)) if self.layouts else choices
        if left:
            lacking.append(says.CHOICE_OPTION.format(choices=listed([c.choice for c in left])))
        lacking += [] if self.vehicle else [says.VEHICLE_OPTION]
        example = ["knockon", "new", str(self.folder), *(f'--layout "{name}"' for name in layouts)]
        example += [f'--choice "{c}"' for c in (*self.choices, *(one.arrangements[0] for one in left))]
        example.append(f'--vehicle "{self.vehicle or "mine"}"')
        return says.LACKS.format(options=listed(lacking), example=" ".join(example))


def _by_axle(choices: Sequence[Choosable]) -> Iterator[tuple[str, list[Choosable]]]:
    """The choices of each axle: those that begin with the same word where there are several axles."""
    found: dict[str, list[Choosable]] = {}
    for choice in choices:
        axle, _, rest = choice.choice.partition(" ")
        found.setdefault(axle if rest else "", []).append(choice)
    yield from found.items()
