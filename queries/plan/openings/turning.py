"""The window of one size in a formula: found by trying where its verdict turns.

A formula is not turned round by algebra. Its value is taken at many sizes, closely between the least and the greatest
that are usual, ever farther apart from there to a thousandth and to the largest sensible size; where it only rises, or
only falls, those at which it is allowed lie together, and halving finds where they end. Where it turns back among what
is usual or beside what is allowed, or nothing that was tried is allowed, there is no window: the whole is then checked
with the part itself.
"""

from __future__ import annotations

from collections.abc import Callable
from itertools import pairwise

import msgspec

from knockon.graph.judge.beliefs import known_of
from knockon.graph.model.layouts.layout import Place
from knockon.graph.quantity import DATATYPES
from knockon.queries.fits.checking.candidates import new_parts
from knockon.queries.plan.solving.problem import Problem

TRIED, FARTHER = 160, 48
"""So many sizes are tried between the least and the greatest usual one, and so many on either side of them."""
LEAST = 0.001
DIGITS = 6
HALVINGS = 60
Tried = Callable[[float], tuple[bool, float] | None]
"""Of a size whether it is allowed, and the value of the formula; None: it has no value there."""


class Bound(msgspec.Struct, frozen=True):
    """The closed window in which a size is allowed, rounded inwards; None: no end up to the largest sensible size, or
    down to a thousandth."""

    low: float | None
    high: float | None


def span_of(problem: Problem, place: Place, feature: str, dimension: str) -> tuple[float, float] | None:
    """The least and the greatest size that is recorded of what may stand in a place, widened by half; None: nothing
    is."""
    catalogue = problem.checks.catalogue
    found: list[float] = []
    for thing in dict.fromkeys(c.thing for c in new_parts(catalogue, problem.places, place)):
        recorded = catalogue.features_of(thing).get(feature)
        for size in known_of(recorded.dimensions.get(dimension, ())).sizes if recorded else ():
            found += [end for end in (size.low, size.high) if end is not None]
    if not found or max(found) <= 0:
        return None
    return min(found) / 1.5, max(found) * 1.5


def largest_of(problem: Problem, feature: str, dimension: str) -> float | None:
    """The largest sensible size of a dimension, in its base unit, as its datatype has it."""
    kind = problem.checks.kind_of(feature)
    known = DATATYPES.get(kind.datatype_of(dimension)) if kind is not None else None
    return known.largest if known is not None else None


def window_where(at: Tried, usual: tuple[float, float], largest: float | None = None) -> Bound | None:
    """The window in which a size is allowed; None where it cannot be told as one. ``largest``: the largest sensible
    size; None: only what is usual is tried."""
    low, high = usual
    tried = [(low + (high - low) * n / TRIED, at(low + (high - low) * n / TRIED)) for n in range(TRIED + 1)]
    values = [found[1] for _, found in tried if found is not None]
    steps = [b - a for a, b in pairwise(values)]
    if len(values) < TRIED or not (all(s >= 0 for s in steps) or all(s <= 0 for s in steps)):
        return None
    is_rising = values[-1] >= values[0]
    if largest is not None:
        up, goes_on_up = _farther(at, high, max(high, largest), values[-1], is_rising)
        down, goes_on_down = _farther(at, low, min(low, LEAST), values[0], not is_rising)
        tried = [*reversed(down), *tried, *up]
    else:
        goes_on_up = goes_on_down = True
    allowed = [n for n, (_, found) in enumerate(tried) if found is not None and found[0]]
    if not allowed or allowed[-1] - allowed[0] + 1 != len(allowed):
        return None
    first, last = allowed[0], allowed[-1]
    if (not first and not goes_on_down) or (last + 1 == len(tried) and not goes_on_up):
        return None
    return Bound(
        low=_end(at, tried[first][0], tried[first - 1][0]) if first else None,
        high=_end(at, tried[last][0], tried[last + 1][0]) if last + 1 < len(tried) else None,
    )


def _farther(
    at: Tried, start: float, end: float, value: float, is_rising: bool
) -> tuple[list[tuple[float, tuple[bool, float] | None]], bool]:
    """Sizes from a start on to an end, as far as the formula goes on as it did, and whether it does to the end. The
    first at which it has no value is the last."""
    found: list[tuple[float, tuple[bool, float] | None]] = []
    if start <= 0 or start == end:
        return found, True
    for n in range(1, FARTHER + 1):
        size = start * (end / start) ** (n / FARTHER)
        here = at(size)
        if here is not None and (here[1] < value if is_rising else here[1] > value):
            return found, False
        found.append((size, here))
        if here is None:
            break
        value = here[1]
    return found, True


def _end(at: Tried, inside: float, outside: float) -> float:
    """The last allowed size on the way from one that is allowed to one that is not, rounded inwards."""
    for _ in range(HALVINGS):
        middle = (inside + outside) / 2
        found = at(middle)
        inside, outside = (middle, outside) if found is not None and found[0] else (inside, middle)
    nearest = round(inside, DIGITS)
    found = at(nearest)
    if found is not None and found[0]:
        return nearest
    step = 10.0**-DIGITS / 2
    return round(inside + (step if outside < inside else -step), DIGITS)
