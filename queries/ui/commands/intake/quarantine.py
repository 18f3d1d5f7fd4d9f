"""``knockon quarantine``: rows that were not loaded, and what a person says they mean."""

from __future__ import annotations

import click
from msgspec.structs import replace

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.schema import Vocabulary
from knockon.queries.intake.accepting import accept_all
from knockon.queries.intake.quarantine import Accepted, QuarantineAnswer, list_quarantine
from knockon.queries.plan.asked_swaps import SECONDS
from knockon.queries.plan.solving.patience import Patience
from knockon.queries.ui.asking import CouldNotRun, Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.details import Shown, detailed
from knockon.queries.ui.having_written import afterwards, having_written
from knockon.queries.ui.patient import time_limited
from knockon.queries.ui.sentences import intake as says
from knockon.queries.ui.sentences.help import intake as say
from knockon.queries.ui.terminal.plain import say_beside
from knockon.queries.ui.terminal.progress import progress_bar
from knockon.queries.ui.texts.intake.import_ import accepted_lines, quarantine_text


@click.command(help=say.QUARANTINE)
@click.option("--accept", "choices", multiple=True, metavar="ENTRY=CHOICE", help=say.ACCEPT)
@time_limited(SECONDS)
@detailed("full", says={"full": say.QUARANTINE_FULL})
@answering
def quarantine(settings: Settings, choices: tuple[str, ...], time_limit: float, shown: Shown) -> int:
    """Which rows of imported sheets were not loaded."""
    if settings.records is None:
        raise CouldNotRun(says.NO_DEMO_QUARANTINE)

    with mistakes_told():
        accepted, waiting = accept_all(settings.folder, [_choice(c) for c in choices])
    if not accepted:
        with mistakes_told():
            answer = _listed(settings, (), time_limit)
        return deliver(
            settings, "quarantine", answer, not answer.entries, lambda _: quarantine_text(answer, shown.full)
        )
    with having_written("\n".join(accepted_lines(accepted))):
        if waiting:
            say_beside(says.WAITS_BESIDE.format(why=waiting))
        told = _after_choices(settings, accepted, time_limit)
        return _deliver(settings, told, shown.full)


def _deliver(settings: Settings, answer: QuarantineAnswer, full: bool) -> int:
    return deliver(settings, "quarantine", answer, not answer.entries, lambda _: quarantine_text(answer, full))


def _listed(settings: Settings, accepted: tuple[Accepted, ...], time_limit: float) -> QuarantineAnswer:
    catalogue = load(settings).catalogue
    with progress_bar(says.FINDING_DEPENDS) as progress:
        return list_quarantine(settings.folder, catalogue, accepted, progress, Patience(time_limit))


def _after_choices(settings: Settings, accepted: tuple[Accepted, ...], time_limit: float) -> QuarantineAnswer:
    """The quarantine once choices are written; where the records cannot be read again, as much as can be said."""
    answer, why = afterwards(lambda: _listed(settings, accepted, time_limit))
    if answer is not None:
        return answer
    say_beside(says.CHOICES_WRITTEN.format(why=why))
    left, _ = afterwards(lambda: list_quarantine(settings.folder, Catalogue(Vocabulary()), accepted))
    return replace(left or QuarantineAnswer(rows=0, entries=(), accepted=accepted), not_read=why)


def _choice(text: str) -> tuple[str, int]:
    name, sign, number = text.partition("=")
    if not (sign and name.strip() and number.strip().isascii() and number.strip().isdecimal() and len(number) < 9):
        raise CouldNotRun(says.BAD_CHOICE.format(text=text))
    return name.strip().casefold(), int(number)
