"""The order of preference between plans that are equally well known: named once, for facts, solver and texts."""

from __future__ import annotations

from collections.abc import Iterable

LEVELS = ("changes", "unproven", "unoffered", "price")
FIRST = 8
"""The solver's priority of the first of them."""


def in_order(prefer: Iterable[str]) -> tuple[str, ...]:
    """All levels, those preferred first. The price stands directly behind the lines that nobody offers unless those
    stand before it already: a missing offer is no price of nought, so only prices of equally many lines compare."""
    order: list[str] = []
    for level in (*prefer, *LEVELS):
        wanted = ("unoffered", "price") if level == "price" else (level,)
        order += [one for one in wanted if one not in order]
    return tuple(order)


def priorities(prefer: Iterable[str]) -> dict[str, int]:
    """The solver's priority of each level, greatest first."""
    return {level: FIRST - i for i, level in enumerate(in_order(prefer))}
