"""What to measure on a part that came: the sizes on which a check is open, what the parts beside them leave, and how
each is measured."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import msgspec
from msgspec.structs import replace

from knockon.graph.judge.beliefs import known_of
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place
from knockon.graph.model.schema import Table, column_of
from knockon.queries.plan.measure import kind_at
from knockon.queries.plan.openings.specification import specification
from knockon.queries.plan.openings.specified import BY_FORMULA, OF_SEVERAL, Limit, Window
from knockon.queries.plan.solving.planner import Filling
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.unproven import unproven_checks


class SizeToCheck(msgspec.Struct, frozen=True):
    """A size to measure on a part that came: ``low`` and ``high`` in ``unit`` are what its neighbours leave, None where
    there is no limit; ``codes``: what a word may be. ``checks``: those that it decides; ``beside``: the numbers there.
    ``recorded``: as the records have it; ``tool`` and ``how``: what it is measured with, and how."""

    feature: str
    dimension: str
    low: float | None = None
    high: float | None = None
    unit: str = ""
    codes: tuple[str, ...] = ()
    checks: tuple[str, ...] = ()
    beside: tuple[str, ...] = ()
    recorded: str = ""
    tool: str = ""
    how: str = ""


class Together(msgspec.Struct, frozen=True):
    """What no one size of a part decides, but several of its own together, or a formula (``because``). ``value`` names
    the own sizes that count; the whole lies from ``low`` to ``high`` in ``unit``, None where there is no limit.
    ``beside``: the numbers there."""

    check: str
    condition: str
    because: str
    value: str
    low: float | None = None
    high: float | None = None
    unit: str = ""
    beside: tuple[str, ...] = ()


class Sizes:
    """What is to be measured on the parts of one plan; nothing where there is none (``filling``)."""

    def __init__(self, catalogue: Catalogue, problem: Problem, filling: Filling | None) -> None:
        self.catalogue, self.problem, self.filling = catalogue, problem, filling
        self.open: dict[Place, set[str]] = {}
        for evidence in unproven_checks(problem, filling) if filling is not None else ():
            for place in evidence.places:
                self.open.setdefault(place, set()).add(evidence.check)

    def of(self, number: str, here: Sequence[Place]) -> Iterator[SizeToCheck]:
        """The sizes of a part on which a check is open, each once, with what the neighbours leave in all its places."""
        found: dict[tuple[str, str], SizeToCheck] = {}
        for place in here:
            for window in self._windows(place):
                key = window.feature, window.dimension
                one = self._size(number, place, window)
                found[key] = _narrower(found[key], one) if key in found else one
        yield from found.values()

    def together(self, here: Sequence[Place]) -> tuple[Together, ...]:
        """The open checks that leave no single size of a part a window, each once for both sides."""
        found: dict[Together, dict[str, None]] = {}
        for place in here:
            for one in self._together(place):
                found.setdefault(replace(one, beside=()), {}).update(dict.fromkeys(one.beside))
        return tuple(replace(one, beside=tuple(beside)) for one, beside in found.items())

    def _together(self, place: Place) -> Iterator[Together]:
        if self.filling is None or place not in self.open:
            return
        for stated in specification(self.problem, self.filling, place).stated:
            if stated.because in (BY_FORMULA, OF_SEVERAL) and stated.check in self.open[place]:
                yield Together(
                    check=stated.check,
                    condition="" if stated.condition == stated.check else stated.condition,
                    because=stated.because,
                    value=stated.value,
                    low=stated.low,
                    high=stated.high,
                    unit=stated.unit,
                    beside=stated.parts,
                )

    def _windows(self, place: Place) -> list[Window]:
        if self.filling is None or place not in self.open:
            return []
        windows = specification(self.problem, self.filling, place).windows
        return [w for w in windows if self.open[place].intersection(x.check for x in _limits(w))]

    def _size(self, number: str, place: Place, window: Window) -> SizeToCheck:
        limits = _limits(window)
        vocabulary = self.catalogue.vocabulary
        there = self.catalogue.features_of(self._thing(place, number)).get(window.feature)
        known = known_of(there.dimensions.get(window.dimension, ())) if there is not None else None
        kind = kind_at(self.problem, place, window.feature)
        tool = vocabulary.usual_tool(kind.iri, window.dimension) if kind is not None else None
        written = there.dimensions.get(window.dimension, ()) if there is not None and known and known.sizes else ()
        return SizeToCheck(
            feature=window.feature,
            dimension=window.dimension,
            low=window.low.value if window.low else None,
            high=window.high.value if window.high else None,
            unit=window.unit,
            codes=tuple(dict.fromkeys(x.code for x in window.codes)),
            checks=tuple(dict.fromkeys(x.check for x in limits)),
            beside=tuple(dict.fromkeys(p for x in limits for p in x.parts)),
            recorded=written[0].written if written else "",
            tool=tool.name if tool is not None else "",
            how=_how(kind, window.dimension),
        )

    def _thing(self, place: Place, number: str) -> str:
        return self.filling.chosen[place].thing if self.filling is not None else number


def _narrower(one: SizeToCheck, other: SizeToCheck) -> SizeToCheck:
    """What one size of a part may be where two windows hold for it: what lies in both."""
    lows = [x for x in (one.low, other.low) if x is not None]
    highs = [x for x in (one.high, other.high) if x is not None]
    return replace(
        one,
        low=max(lows, default=None),
        high=min(highs, default=None),
        codes=tuple(dict.fromkeys((*one.codes, *other.codes))),
        checks=tuple(dict.fromkeys((*one.checks, *other.checks))),
        beside=tuple(dict.fromkeys((*one.beside, *other.beside))),
    )


def _how(kind: Table | None, dimension: str) -> str:
    """How it is measured on a part in the hand: as its kind says it, since a layout's own words are about a part that
    is fitted; blank where nobody says it."""
    said = next((c for c in kind.columns if c.name == column_of(dimension)), None) if kind is not None else None
    return said.method if said is not None else ""


def _limits(window: Window) -> list[Limit]:
    return [x for x in (window.low, window.high, *window.codes) if x is not None]
