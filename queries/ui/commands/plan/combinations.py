"""``knockon combinations``: which parts go together around given ones."""

from __future__ import annotations

from collections.abc import Sequence

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.plan.combinations import combinations as find_combinations
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.blocks import Block
from knockon.queries.ui.texts.plan.combinations import combinations_text


@click.command()
@click.argument("layout", metavar="LAYOUT")
@click.option(
    "--with",
    "given",
    metavar="WISH",
    multiple=True,
    help='A part that must be in it: "POSITION=PART" (or a dimension or arrangement, as for swap).',
)
@click.option("--avoid", metavar="PART", multiple=True, help="A part that must not be in it.")
@click.option(
    "--first",
    metavar="N",
    type=click.IntRange(1, 50),
    default=3,
    show_default=True,
    help="How many fillings to show, best first.",
)
@answering
def combinations(settings: Settings, layout: str, given: tuple[str, ...], avoid: tuple[str, ...], first: int) -> int:
    """Which parts go together around given ones.

    On a layout with nothing in it yet: for each position the parts that stand in at least one consistent filling, and
    the first fillings in order of preference. Exit status 0 if there are some.
    """
    records = load(settings)

    with mistakes_told():
        answer = find_combinations(records.catalogue, layout, given=given, first=first, avoid=avoid)

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return combinations_text(catalogue, answer)

    return deliver(settings, "combinations", answer, bool(answer.combinations), text, records)
