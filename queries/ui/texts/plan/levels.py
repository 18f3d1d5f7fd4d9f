"""The levels of preference in words, and how two plans differ in them."""

from __future__ import annotations

from collections.abc import Mapping

from knockon.queries.plan.solving.levels import CHANGES, NOT_KNOWN, PRICE, UNOFFERED, UNPROVEN
from knockon.queries.ui.sentences.plan import levels as say

COUNTED = {
    NOT_KNOWN: say.CHECK_NOT_KNOWN,
    CHANGES: say.POSITION_CHANGED,
    UNPROVEN: say.UNPROVEN_CHECK,
    UNOFFERED: say.LINE_NOT_OFFERED,
}
"""One and several of what counts in a level; the price is an amount."""
COMPARED = {
    NOT_KNOWN: say.CHECKS_NOT_KNOWN,
    CHANGES: say.PARTS_CHANGED,
    UNPROVEN: say.CHECKS_UNPROVEN,
    UNOFFERED: say.LINES_NOT_OFFERED,
    PRICE: say.COST,
}
"""What plans are ordered by, side by side."""


def cost_words(other: Mapping[str, int], costs: Mapping[str, int]) -> str:
    """How another plan's costs differ from this plan's."""
    said = []
    for level, (one, several) in COUNTED.items():
        more = other.get(level, 0) - costs.get(level, 0)
        if more:
            how = say.MORE if more > 0 else say.FEWER
            said.append(how.format(number=abs(more), what=one if abs(more) == 1 else several))
    money = (other.get(PRICE, 0) - costs.get(PRICE, 0)) / 100
    if other.get(UNOFFERED, 0) != costs.get(UNOFFERED, 0):
        said.append(say.NO_PRICES)  # a missing offer is no price of nought
    elif money:
        said.append((say.DEARER if money > 0 else say.CHEAPER).format(money=f"{abs(money):.2f}"))
    return ", ".join(said) or say.SAME
