"""The levels of preference between plans, named once for facts, program, planner and texts; what counts in each stands
in swap.lp."""

from __future__ import annotations

from collections.abc import Iterable

ARRANGEMENT, AXLE, UNKNOWN = "arrangement", "axle", "unknown"
"""What counts of a filling beside its checks, by the name of the assumption behind it: that only what is of the
arrangement stands, that both hands are alike, and that no more is not known than a limit."""
NOT_KNOWN = "not known"
"""Checks that nothing speaks for, not even a claim: before anything that a user may prefer."""
CHANGES, UNPROVEN, UNOFFERED, PRICE = "changes", "unproven", "unoffered", "price"
LEVELS = (CHANGES, UNPROVEN, UNOFFERED, PRICE)
"""Those that a request may put in another order."""
TOLD = (NOT_KNOWN, *LEVELS)
"""Those whose cost a plan tells, in the usual order."""
OF_A_KIT = ("outside the kit", "kit parts used", "kit lines short")
WORK = "work"


def in_order(prefer: Iterable[str]) -> tuple[str, ...]:
    """The levels that may be preferred, those that are first. The price stands directly behind the lines that nobody
    offers unless those stand before it already: a missing offer is no price of nought, so only prices of equally many
    lines compare."""
    order: list[str] = []
    for level in (*prefer, *LEVELS):
        wanted = (UNOFFERED, PRICE) if level == PRICE else (level,)
        order += [one for one in wanted if one not in order]
    return tuple(order)


def priorities(prefer: Iterable[str]) -> dict[str, int]:
    """The solver's priority of every level, greatest first."""
    order = (*OF_A_KIT, NOT_KNOWN, *in_order(prefer), WORK)
    return {level: len(order) - i for i, level in enumerate(order)}
