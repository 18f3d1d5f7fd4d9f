"""``knockon disputes``: who is right, and what the club should measure next."""

from __future__ import annotations

from typing import TYPE_CHECKING

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.club.disputes import find_disputes
from knockon.queries.plan.asked_swaps import SECONDS
from knockon.queries.tightening import without_torque_in
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.details import Shown, as_typed, detailed
from knockon.queries.ui.patient import as_asked, patient, time_limited
from knockon.queries.ui.sentences.help import club as say
from knockon.queries.ui.terminal.blocks import Block
from knockon.queries.ui.texts.club.disputes import disputes_pages

if TYPE_CHECKING:
    from collections.abc import Sequence


WISHES, PLANS = 10, 4


@click.command(help=say.DISPUTES)
@click.option("--wishes", type=click.IntRange(min=0), default=WISHES, show_default=True, help=say.WISHES)
@click.option("--plans", type=click.IntRange(min=0), default=PLANS, show_default=True, help=say.PLANS)
@time_limited(SECONDS)
@detailed("why", "notes", "full", says={"why": say.DISPUTES_WHY, "notes": say.DISPUTES_NOTES})
@answering
def disputes(settings: Settings, wishes: int, plans: int, time_limit: float, shown: Shown) -> int:
    """Each contradiction, and the sizes to record."""
    with mistakes_told():
        records = load(settings)
        with patient(time_limit) as patience:
            answer = without_torque_in(find_disputes(records.catalogue, wishes, plans, patience))

    asked = {"wishes": "" if wishes == WISHES else str(wishes), "plans": "" if plans == PLANS else str(plans)}
    ask = as_typed(settings, "disputes", **asked, **as_asked(time_limit, SECONDS))

    def text(catalogue: Catalogue) -> Sequence[Block]:
        return disputes_pages(catalogue, answer, shown, ask)

    return deliver(settings, "disputes", answer, answer.is_quiet, text, records)
