"""``knockon kit``: what a kit, the shelf or a list of parts lacks for a plan."""

from __future__ import annotations

from collections.abc import Sequence

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.plan.changes import UNDECIDED
from knockon.queries.plan.kit import PRESENT, check_kit
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.details import Shown, as_typed, detailed
from knockon.queries.ui.patient import as_asked, patient, time_limited
from knockon.queries.ui.sentences.help import plan as say
from knockon.queries.ui.terminal.blocks import Block
from knockon.queries.ui.texts.plan.kit_page import kit_pages


@click.command(help=say.KIT)
@click.argument("kit", metavar="KIT")
@click.option("--for", "vehicle", metavar="VEHICLE", required=True, help=say.VEHICLE)
@click.option("--want", metavar="WISH", multiple=True, required=True, help=say.WANT)
@click.option("--keep", metavar="POSITION", multiple=True, help=say.KEEP)
@click.option("--avoid", metavar="PART|SUPPLIER", multiple=True, help=say.AVOID)
@click.option("--renew", metavar="POSITION", multiple=True, help=say.RENEW)
@click.option("--message", is_flag=True, help=say.MESSAGE)
@time_limited()
@detailed("why", "measure", "evidence", "notes", "full", says=say.DETAILS_OF_KIT)
@answering
def kit(settings: Settings, kit: str, vehicle: str, want: tuple[str, ...], keep: tuple[str, ...],
        avoid: tuple[str, ...], renew: tuple[str, ...], message: bool, time_limit: float,
        shown: Shown) -> int:  # fmt: skip
    """What a kit lacks for a swap."""
    records = load(settings)

    asked = {"want": want, "keep": keep, "avoid": avoid, "renew": renew}
    with mistakes_told(), patient(time_limit) as patience:
        answer = check_kit(records.catalogue, kit, vehicle, patience=patience, **asked)

    ask = as_typed(settings, "kit", kit, "--for", vehicle, **asked, **as_asked(time_limit))

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return kit_pages(catalogue, answer, shown, message, ask)

    complete = answer.is_planned and all(g.status == PRESENT for g in answer.groups) and not answer.set_aside
    good = complete and not any(p.status in ("wrong", "unproven", UNDECIDED) for p in answer.parts)
    return deliver(settings, "kit", answer, good, text, records)
