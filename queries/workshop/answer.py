"""The answer to a calculation: what was given, what came out, what it rests on. Knows nothing of screens."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

import msgspec

from knockon.graph.formulas.interval import Interval, Value, as_interval, high, low, middle, width

COMMON_PRACTICE = "common practice, no source"
FROM_MEMORY = "from memory"


class Amount(msgspec.Struct, frozen=True):
    """One named number with its unit (``mm``, ``um``, ``deg``, ``MPa``, ``N``, ``N m``, ``%``, ``turns`` ... or empty).

    ``remark`` says where a given number comes from, or how to take a result.
    """

    name: str
    value: Interval
    unit: str
    remark: str = ""


class Influence(msgspec.Struct, frozen=True):
    """How much of a result's width one open input makes alone, in per cent of the sum over all inputs."""

    name: str
    share: float


class Listing(msgspec.Struct, frozen=True):
    """A small table beside the numbers, such as stacks of shims: header and rows of text."""

    title: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


class Calculation(msgspec.Struct, frozen=True):
    """The answer to one calculation.

    ``says`` are sentences for the reader, the most important first; ``influences`` the inputs that make the result
    wide, greatest first; ``assumptions`` what was taken for granted; ``sources`` where the formulas and tables are
    published; ``cautions`` what must stand beside the answer. ``good`` is False where the answer is a no.
    """

    subject: str
    question: str
    given: tuple[Amount, ...]
    results: tuple[Amount, ...]
    says: tuple[str, ...] = ()
    influences: tuple[Influence, ...] = ()
    listings: tuple[Listing, ...] = ()
    assumptions: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()
    good: bool = True


def amount(name: str, value: Value, unit: str, remark: str = "") -> Amount:
    """An Amount from a float or an interval."""
    return Amount(name, Interval(float(low(value)), float(high(value))), unit, remark)


def influences(function: Callable[..., Value], inputs: Mapping[str, Value]) -> tuple[Influence, ...]:
    """Which open inputs dominate the width of ``function(*inputs.values())``, greatest first.

    Each input alone is left open while the others stand at their middles. Inputs that are exact, or change nothing, are
    left out.
    """
    widths = [(name, w) for name, w in _widths(function, inputs) if w > 0]
    total = math.fsum(w for _, w in widths)
    found = [Influence(name, 100 * w / total) for name, w in widths]
    return tuple(sorted(found, key=lambda i: (-i.share, i.name)))


def likely_half_width(function: Callable[..., Value], inputs: Mapping[str, Value]) -> float:
    """Half-width of the result as the root of the sum of squares of what each open input makes alone (GUM 5.1.2).

    For independent inputs; never more than the worst case of a sum.
    """
    return math.sqrt(math.fsum((w / 2) ** 2 for _, w in _widths(function, inputs)))


def _widths(function: Callable[..., Value], inputs: Mapping[str, Value]) -> list[tuple[str, float]]:
    """Each open input's name with the width of the result when it alone is open, the others at their middles."""
    points = [middle(v) for v in inputs.values()]
    found: list[tuple[str, float]] = []
    for index, (name, value) in enumerate(inputs.items()):
        if width(value) > 0:
            alone: Sequence[Value] = [value if i == index else p for i, p in enumerate(points)]
            found.append((name, width(function(*alone))))
    return found


def inside(value: Value, window: Interval) -> str:
    """``yes``, ``no`` or ``open``: whether a value lies inside a window for all, none or some of its numbers."""
    span = as_interval(value)
    slack = 1e-9
    if window.low - slack <= span.low and span.high <= window.high + slack:
        return "yes"
    return "open" if span.overlaps(window) else "no"
