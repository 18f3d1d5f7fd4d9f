"""``knockon disputes``: who is right, and what the club should measure next."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.club.disputes import find_disputes
from knockon.queries.tightening import without_torque_in
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.blocks import Block
from knockon.queries.ui.texts.club.disputes import disputes_text

if TYPE_CHECKING:
    from collections.abc import Sequence


@click.command()
@click.option(
    "--wishes", type=click.IntRange(min=0), default=10, show_default=True, help="Length of the wish list; 0: all."
)
@click.option(
    "--plans", type=click.IntRange(min=0), default=4, show_default=True,
    help="Swaps whose plan is made to see what hangs on it; 0: none, which is quicker.",
)  # fmt: skip
@answering
def disputes(settings: Settings, wishes: int, plans: int) -> int:
    """Each contradiction: both sides, how it is decided, what hangs on it, and the measurement that would settle it.

    What hangs on it: pairs of parts, figures on vehicles, kits, and the plans of the swaps that the records suggest
    (each vehicle as found, to each model as made of another arrangement). Below it the wish list: the sizes that nobody
    has recorded, those that open most plans first, then those that unlock most answers. Exit status 1 if sources of
    equal standing contradict each other.
    """
    with mistakes_told():
        records = load(settings)
        answer = without_torque_in(find_disputes(records.catalogue, wishes, plans))

    def text(_: Catalogue) -> Sequence[Block]:
        return disputes_text(answer)

    return deliver(settings, "disputes", answer, answer.is_quiet, text, records)
