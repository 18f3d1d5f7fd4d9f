"""What is left of a window for one size of a part, when the other sizes in a sum are taken off; and how it is asked."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from msgspec.structs import replace

from knockon.queries.plan.openings.specified import Ask, Limit, Stated
from knockon.queries.plan.openings.turning import Bound

INFINITE = (-math.inf, math.inf)


def as_found(feature: str, dimension: str, need: str, bound: Bound, base: Limit) -> list[Ask]:
    """What was found by trying, as asked for; without an end it is still asked for."""
    low, high = (None if end is None else replace(base, value=end) for end in (bound.low, bound.high))
    return [Ask(feature, dimension, need, low=low, high=high)]


def left_of(window: tuple[float, float], low: float, high: float) -> tuple[float, float, bool]:
    """What [low, high] leaves of a window for the rest of the sum, for certain; where that is nothing, perhaps."""
    ends = _less(window[0], low, -math.inf), _less(window[1], high, math.inf)
    if ends[0] <= ends[1] + 1e-9:
        return (*ends, True)
    return (*may_be_left_of(window, low, high), False)


def may_be_left_of(window: tuple[float, float], low: float, high: float) -> tuple[float, float]:
    """What [low, high] leaves of a window where it may be any value in there."""
    return _less(window[0], high, -math.inf), _less(window[1], low, math.inf)


def _less(end: float, share: float, open_end: float) -> float:
    """One end of a window less a share of the sum; an open end stays open, whatever is taken from it."""
    return open_end if end == open_end else end - share


def asks_of(
    feature: str,
    dimension: str,
    need: str,
    factor: float,
    ends: tuple[float, float],
    base: Limit,
    beyond: tuple[float, float] = INFINITE,
) -> Iterator[Ask]:
    """A window of ``factor`` times a dimension, as one of the dimension."""
    if not factor:
        return
    low, high = sorted(end / factor for end in ends)
    no_below, no_above = (finite_or_none(end) for end in sorted(end / factor for end in beyond))
    if math.isfinite(low):
        yield Ask(feature, dimension, need, low=replace(base, value=round(low, 6), beyond=no_below))
    if math.isfinite(high):
        yield Ask(feature, dimension, need, high=replace(base, value=round(high, 6), beyond=no_above))


def sum_words(terms: Iterable[tuple[float, str]]) -> str:
    """A signed sum in words."""
    said = ""
    for factor, name in terms:
        size = name if abs(factor) == 1 else f"{abs(factor):g} x {name}"
        said += f" {'-' if factor < 0 else '+'} {size}" if said else f"{'-' if factor < 0 else ''}{size}"
    return said


def upright(stated: Stated, terms: Sequence[tuple[float, str]], before: str = "") -> Stated:
    """A sum that begins with a minus, turned round, so that it reads as one would add it up."""
    if terms[0][0] >= 0:
        return stated
    low, high = (None if end is None else -end + 0.0 for end in (stated.high, stated.low))
    return replace(stated, value=before + sum_words([(-f, name) for f, name in terms]), low=low, high=high)


def finite_or_none(value: float) -> float | None:
    """An end as it is told: rounded; None where there is none."""
    return round(value, 6) if math.isfinite(value) else None


def or_stated(asked: list[Ask], stated: Stated) -> list[Ask] | list[Stated]:
    """What is asked; what is stated where that gives no window."""
    return asked or [stated]
