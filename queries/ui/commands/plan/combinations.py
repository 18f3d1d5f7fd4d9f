"""``knockon combinations``: which parts go together around given ones."""

from __future__ import annotations

from collections.abc import Sequence

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.plan.combinations import combinations as find_combinations
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.details import Shown, as_typed, detailed
from knockon.queries.ui.patient import as_asked, patient, time_limited
from knockon.queries.ui.sentences.help import plan as say
from knockon.queries.ui.terminal.blocks import Block
from knockon.queries.ui.texts.plan.combinations import combinations_pages

FIRST = 3


@click.command(help=say.COMBINATIONS)
@click.argument("layout", metavar="LAYOUT")
@click.option("--with", "given", metavar="WISH", multiple=True, help=say.WITH)
@click.option("--avoid", metavar="PART", multiple=True, help=say.AVOID_PART)
@click.option("--first", metavar="N", type=click.IntRange(1, 50), default=FIRST, show_default=True, help=say.FIRST)
@time_limited()
@detailed("evidence", "others", "full", says=say.DETAILS_OF_COMBINATIONS)
@answering
def combinations(settings: Settings, layout: str, given: tuple[str, ...], avoid: tuple[str, ...], first: int,
                 time_limit: float, shown: Shown) -> int:  # fmt: skip
    """Which parts go together around given ones."""
    records = load(settings)

    with mistakes_told(), patient(time_limit) as patience:
        answer = find_combinations(records.catalogue, layout, given=given, first=first, avoid=avoid, patience=patience)

    options: dict[str, str | Sequence[str]] = {
        "with": given,
        "avoid": avoid,
        "first": () if first == FIRST else (str(first),),
        **as_asked(time_limit),
    }
    ask = as_typed(settings, "combinations", layout, **options)

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return combinations_pages(catalogue, answer, shown, ask)

    return deliver(settings, "combinations", answer, bool(answer.combinations), text, records)
