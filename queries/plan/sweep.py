"""What may touch once a figure of the vehicle is another one: the wheels stand wider, and something may rub.

Which figures those are, and what is looked at, is data: the steps of the layout that say ``if changed``.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import msgspec

from knockon.graph.model.layouts.mechanism import Layout
from knockon.graph.model.work import Step
from knockon.queries.plan.figures import ToldFigure

UNCHANGED = 0.05
"""A change of less is none: no workshop measures it at a wheel (mm; of other units as many)."""


class Sweep(msgspec.Struct, frozen=True, omit_defaults=True):
    """A figure that a plan changes, and what to look at for that. ``low`` and ``high`` in ``unit``, of the whole
    figure; None where a size is not known. ``share``: how much of it there is at each step. ``sides``: none for the
    vehicle."""

    figure: str
    unit: str
    steps: tuple[str, ...]
    share: float = 1.0
    low: float | None = None
    high: float | None = None
    sides: tuple[str, ...] = ()


def changed_figures(figures: Iterable[ToldFigure]) -> frozenset[str]:
    """The figures that a plan changes or may change: of those that are compared with the vehicle as made."""
    return frozenset(one.figure for one in figures if _changes(one))


def _changes(one: ToldFigure) -> bool:
    if one.planned is None or one.planned.low is None or one.planned.high is None:
        return True
    return max(abs(one.planned.low), abs(one.planned.high)) >= UNCHANGED


def is_left_out(step: Step, changed: frozenset[str]) -> bool:
    """Whether a step is not done, since what it looks at is as it was."""
    return bool(step.if_changed) and step.if_changed not in changed


def sweeps(layout: Layout, figures: Iterable[ToldFigure]) -> tuple[Sweep, ...]:
    """What to sweep, one entry a figure and side as the figures stand."""
    return tuple(_sweeps(layout, figures))


def _sweeps(layout: Layout, figures: Iterable[ToldFigure]) -> Iterator[Sweep]:
    for one in figures:
        steps = [s for s in layout.steps if s.if_changed == one.figure]
        if steps and _changes(one):
            low, high = (one.planned.low, one.planned.high) if one.planned is not None else (None, None)
            texts = tuple(s.text for s in steps)
            yield Sweep(one.figure, one.unit, texts, min(s.share for s in steps), low, high, one.sides)
