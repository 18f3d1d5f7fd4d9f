"""``knockon measure``: which readings on a vehicle decide the plan."""

from __future__ import annotations

from collections.abc import Sequence

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.plan.deciding import FIRST
from knockon.queries.plan.deciding import measure as readings_that_decide
from knockon.queries.plan.solving.levels import LEVELS
from knockon.queries.plan.solving.patience import TimeUp
from knockon.queries.ui.asking import CouldNotRun, Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.details import Shown, as_typed, detailed
from knockon.queries.ui.naming import Naming
from knockon.queries.ui.patient import as_asked, patient, time_limited
from knockon.queries.ui.sentences.help import plan as say
from knockon.queries.ui.terminal.blocks import Block, Para
from knockon.queries.ui.texts.plan.deciding import measure_text
from knockon.queries.ui.texts.plan.swap.head import titled

ALL = 10_000


@click.command(help=say.MEASURE)
@click.argument("vehicle", metavar="VEHICLE")
@click.option("--want", metavar="WISH", multiple=True, help=say.WANT)
@click.option("--keep", metavar="POSITION", multiple=True, help=say.KEEP)
@click.option("--avoid", metavar="PART|SUPPLIER", multiple=True, help=say.AVOID)
@click.option("--renew", metavar="POSITION", multiple=True, help=say.RENEW)
@click.option("--prefer", type=click.Choice(LEVELS), multiple=True, help=say.PREFER)
@time_limited()
@detailed("full", says={"full": say.MEASURE_FULL})
@answering
def measure(settings: Settings, vehicle: str, want: tuple[str, ...], keep: tuple[str, ...], avoid: tuple[str, ...],
            renew: tuple[str, ...], prefer: tuple[str, ...], time_limit: float, shown: Shown) -> int:  # fmt: skip
    """Which readings on a vehicle decide the plan."""
    if not (want or renew):
        raise click.UsageError(say.SAY_WHAT)
    records = load(settings)
    asked = {"want": want, "keep": keep, "avoid": avoid, "renew": renew, "prefer": prefer}
    with mistakes_told(), patient(time_limit) as patience:
        try:
            answer = readings_that_decide(
                records.catalogue, vehicle, first=ALL if shown.full else FIRST, patience=patience, **asked
            )
        except TimeUp as error:
            raise CouldNotRun(say.NO_PLAN_IN_TIME) from error
    ask = as_typed(settings, "measure", vehicle, **asked, **as_asked(time_limit))
    swap = as_typed(settings, "swap", vehicle, **asked, **as_asked(time_limit))
    commands = [f"{ask} --full"] if answer.readings and not shown.full else []

    def command(what: str) -> str:
        return as_typed(settings, "measured", answer.vehicle, what)

    def text(catalogue: Catalogue) -> Sequence[Block]:
        naming = Naming.on(catalogue, answer.vehicle)
        head = Para(titled(answer.title, answer.vehicle, answer.asked))
        return [head, *measure_text(naming, answer, shown.full, command, [*commands, swap])]

    return deliver(settings, "measure", answer, answer.decides, text, records)
