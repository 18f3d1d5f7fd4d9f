"""``knockon needs``: what a part for one position of a plan has to be, and which recorded parts are that."""

from __future__ import annotations

from collections.abc import Sequence

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.plan.needs import needs as what_is_needed
from knockon.queries.plan.solving.levels import LEVELS
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.details import Shown, as_typed, detailed
from knockon.queries.ui.patient import as_asked, patient, time_limited
from knockon.queries.ui.sentences.help import plan as say
from knockon.queries.ui.terminal.blocks import Block
from knockon.queries.ui.texts.plan.needs import needs_pages


@click.command(help=say.NEEDS)
@click.argument("vehicle", metavar="VEHICLE")
@click.argument("position", metavar="POSITION")
@click.option("--want", metavar="WISH", multiple=True, help=say.WANT)
@click.option("--keep", metavar="POSITION", multiple=True, help=say.KEEP)
@click.option("--avoid", metavar="PART|SUPPLIER", multiple=True, help=say.AVOID)
@click.option("--renew", metavar="POSITION", multiple=True, help=say.RENEW)
@click.option("--prefer", type=click.Choice(LEVELS), multiple=True, help=say.PREFER)
@click.option("--message", is_flag=True, help=say.MESSAGE)
@time_limited()
@detailed("why", "evidence", "others", "full", says=say.DETAILS_OF_NEEDS)
@answering
def needs(settings: Settings, vehicle: str, position: str, want: tuple[str, ...], keep: tuple[str, ...],
          avoid: tuple[str, ...], renew: tuple[str, ...], prefer: tuple[str, ...], message: bool, time_limit: float,
          shown: Shown) -> int:  # fmt: skip
    """What a part for one position has to be."""
    records = load(settings)

    asked = {"want": want, "keep": keep, "avoid": avoid, "renew": renew, "prefer": prefer}
    with mistakes_told(), patient(time_limit) as patience:
        answer = what_is_needed(records.catalogue, vehicle, position, patience=patience, **asked)

    ask = as_typed(settings, "needs", vehicle, position, **asked, **as_asked(time_limit))
    swap = as_typed(settings, "swap", vehicle, **asked, **as_asked(time_limit)) if want or renew else ""

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return needs_pages(catalogue, answer, shown, message, ask, swap)

    return deliver(settings, "needs", answer, answer.is_answered, text, records)
