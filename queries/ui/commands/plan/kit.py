"""``knockon kit``: what a kit, the shelf or a list of parts lacks for a plan."""

from __future__ import annotations

from collections.abc import Sequence

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.plan.kit import PRESENT, check_kit
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.blocks import Block
from knockon.queries.ui.texts.plan.kit import kit_text


@click.command()
@click.argument("kit", metavar="KIT")
@click.option("--for", "vehicle", metavar="VEHICLE", required=True, help="The vehicle that it is for.")
@click.option(
    "--want",
    metavar="WISH",
    multiple=True,
    required=True,
    help='What is wanted: "POSITION=PART", "POSITION.DIMENSION>=VALUE", or an arrangement: "disc", or "brake=disc".',
)
@click.option("--keep", metavar="POSITION", multiple=True, help="What stands there must stay.")
@click.option(
    "--avoid",
    metavar="PART|SUPPLIER",
    multiple=True,
    help="A part that must not be used, or a supplier not to buy from.",
)
@click.option("--renew", metavar="POSITION", multiple=True, help="Treat what stands there as due.")
@answering
def kit(settings: Settings, kit: str, vehicle: str, want: tuple[str, ...], keep: tuple[str, ...],
        avoid: tuple[str, ...], renew: tuple[str, ...]) -> int:  # fmt: skip
    """What a kit lacks for a swap, for both hands.

    Missing, short, perhaps inside an un-itemised line, present but unproven, wrong, more than needed; and a letter to
    the seller.

    KIT is a kit or a shelf of the records, or a list of part numbers: "LARCH-201 x2, LARCH-204". It is held against the
    best plan that uses most of it. Exit status 0 if nothing is missing, short, unproven or wrong, and
    no joint or figure that it touches was set aside.
    """
    records = load(settings)

    with mistakes_told():
        answer = check_kit(records.catalogue, kit, vehicle, want=want, keep=keep, avoid=avoid, renew=renew)

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return kit_text(catalogue, answer)

    complete = answer.none is None and all(g.status == PRESENT for g in answer.groups) and not answer.set_aside
    good = complete and not any(p.status in ("wrong", "unproven") for p in answer.parts)
    return deliver(settings, "kit", answer, good, text, records)
