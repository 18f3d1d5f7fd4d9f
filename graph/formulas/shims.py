"""Shims: the stacks that come nearest to a wanted thickness, from the shims in the box.

Lengths in mm. Neither rule for the wanted thickness has a published source: "gap minus 0.030 in" is common practice,
"gap minus the tab washer's thickness" is workshop geometry; the final test is that the pin moves stiff and smooth
without lift.
"""

from __future__ import annotations

from collections.abc import Mapping

import msgspec

from knockon.graph.formulas.interval import Value, middle
from knockon.graph.quantity.thread_names import INCH

COMMON_DEDUCTION = 0.030 * INCH
"""What the common rule takes off the gap, in mm. Common practice, no source."""

_STEP = 1e-4
"""Stacks are summed in whole tenths of a micrometre."""


class ShimStack(msgspec.Struct, frozen=True):
    """A stack: its shims in mm, thickest first, their sum, and how far the sum lies above the wanted thickness."""

    shims: tuple[float, ...]
    total: float
    error: float


def wanted_by_common_rule(gap: Value) -> Value:
    """Wanted shims in mm: gap minus 0.030 in. Common practice, no source.

    Valid range: a gap above 0.030 in; below it the result is negative: no shims go in.
    """
    return gap - COMMON_DEDUCTION


def wanted_by_washer(gap: Value, washer: Value, nip: Value = 0.0) -> Value:
    """Wanted shims in mm: gap minus the tab washer's thickness minus the nip that the manual asks for (less for play).

    Geometry of a stack clamped by the dome nut; the nip comes from the manual, 0 where none is given.
    Valid range: a gap above washer and nip; below it the result is negative: no shims go in.
    """
    return gap - washer - nip


def best_stacks(wanted: Value, box: Mapping[float, int | None], first: int = 5, most: int = 6) -> list[ShimStack]:
    """The ``first`` stacks nearest to ``wanted`` (its middle), among equal sums the one of fewest shims.

    ``box``: how many there are of each thickness in mm, None for as many as wanted. ``most``: shims in a stack. Work
    grows with the number of different sums, not of stacks. Raises ValueError for a thickness of 0 or less.
    Arithmetic, no source needed; ``wanted`` in mm, 0 or more.
    """
    target = round(middle(wanted) / _STEP)
    sums = _sums({_steps(t): n for t, n in box.items()}, most)
    near = sorted(sums.items(), key=lambda s: (abs(s[0] - target), len(s[1]), s[0]))
    return [
        ShimStack(
            shims=tuple(round(t * _STEP, 7) for t in shims),
            total=round(total * _STEP, 7),
            error=round(total * _STEP - middle(wanted), 7),
        )
        for total, shims in near[:first]
    ]


def _steps(thickness: float) -> int:
    steps = round(thickness / _STEP)
    if steps <= 0:
        raise ValueError(f"a shim of {thickness:g} mm is no shim")
    return steps


def _sums(box: dict[int, int | None], most: int) -> dict[int, tuple[int, ...]]:
    """Every sum of up to ``most`` shims, with its stack of fewest shims (thickest first)."""
    best: dict[int, tuple[int, ...]] = {0: ()}
    for thickness in sorted(box, reverse=True):
        count = box[thickness]
        limit = most if count is None else min(count, most)
        found = dict(best)
        for total, shims in best.items():
            for n in range(1, min(limit, most - len(shims)) + 1):
                stack = shims + (thickness,) * n
                other = found.get(total + n * thickness)
                if other is None or _rank(stack) < _rank(other):
                    found[total + n * thickness] = stack
        best = found
    return best


def _rank(stack: tuple[int, ...]) -> tuple[int, tuple[int, ...]]:
    """Fewest shims first, then the thickest ones: the stack that a person would take."""
    return len(stack), tuple(-t for t in stack)
