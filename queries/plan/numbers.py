"""The arithmetic of a told figure: the sizes that go in, and the number with its uncertainty that comes out."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import product

import msgspec

from knockon.graph.formulas import UnknownFormulaError, formula
from knockon.graph.formulas.interval import Interval, Value, as_interval, high, hull, low, width
from knockon.queries.fits.checking import evidence as proof
from knockon.queries.fits.checking.size_names import SizeOf
from knockon.queries.workshop.answer import Influence, influences, likely_half_width


class Estimate(msgspec.Struct, frozen=True):
    """A figure's number: ``middle``, the worst case from ``low`` to ``high``, and ``likely``, the half-width by root
    sum of squares. None: without end."""

    middle: float | None
    low: float | None
    high: float | None
    likely: float | None


class Inputs(msgspec.Struct):
    """What goes into a figure: the sizes by name, and which of them each term takes; what is missing has no value."""

    values: dict[str, Value] = msgspec.field(default_factory=dict)
    taken: list[str] = msgspec.field(default_factory=list)
    factors: list[float] = msgspec.field(default_factory=list)
    roles: list[str] = msgspec.field(default_factory=list)
    missing: list[SizeOf] = msgspec.field(default_factory=list)
    nominal: list[str] = msgspec.field(default_factory=list)
    disputed: list[SizeOf] = msgspec.field(default_factory=list)
    assumed: list[str] = msgspec.field(default_factory=list)
    stated: list[proof.Value] = msgspec.field(default_factory=list)

    def put(self, name: str, value: Value) -> None:
        """The next term's size; a size that several terms take is one size, however uncertain."""
        self.values[name] = value
        self.taken.append(name)


def hull_of(sizes: Sequence[tuple[float, float]]) -> Value:
    """All statements that compute together: a point where they agree on one number."""
    least, most = min(a for a, _ in sizes), max(b for _, b in sizes)
    return least if least == most else Interval(least, most)


def function_of(name: str, inputs: Inputs) -> Work:
    """The figure as a function of its sizes: the formula of this name, or blank the signed sum."""
    places = [list(inputs.values).index(n) for n in inputs.taken]
    return Work(name, tuple(places), tuple(inputs.factors), tuple(inputs.roles))


class Work(msgspec.Struct, frozen=True):
    """A figure as a function of the sizes it takes: the formula by its roles, or the signed sum.

    ``places`` says for each term which size it takes. A size that several terms take is held at one end and then the
    other, so that it never differs from itself: exact where the figure never turns round in it.
    """

    formula: str
    places: tuple[int, ...]
    factors: tuple[float, ...]
    roles: tuple[str, ...] = ()

    def __call__(self, *sizes: Value) -> Value:
        """The number from the sizes; raises ValueError or ZeroDivisionError where the formula has none."""
        shared = [i for i, size in enumerate(sizes) if self.places.count(i) > 1 and width(size) > 0]
        if not shared:
            return self._figure([sizes[i] for i in self.places])
        found = []
        for ends in product(*((low(sizes[i]), high(sizes[i])) for i in shared)):
            held: dict[int, Value] = dict(zip(shared, ends, strict=True))
            found.append(self._figure([held.get(i, sizes[i]) for i in self.places]))
        return hull(*found)

    def _figure(self, values: Sequence[Value]) -> Value:
        if not self.formula:
            return _total(self._scaled(values))
        if not self.roles:
            return formula(self.formula)(*self._scaled(values))
        return formula(self.formula)(**self._by_role(values))

    def in_words(self, *sizes: Value) -> str:
        """What the number means, blank where it says all."""
        if not self.formula:
            return ""
        values = [sizes[i] for i in self.places]
        if not self.roles:
            return formula(self.formula).in_words(*self._scaled(values))
        return formula(self.formula).in_words(**self._by_role(values))

    def _scaled(self, values: Sequence[Value]) -> list[Value]:
        return [f * v if f != 1 else v for f, v in zip(self.factors, values, strict=True)]

    def _by_role(self, values: Sequence[Value]) -> dict[str, Value]:
        """The arguments of the formula; terms that share a role add up (wheel and spacer, say)."""
        by_role: dict[str, list[Value]] = {}
        for role, value in zip(self.roles, self._scaled(values), strict=True):
            by_role.setdefault(role, []).append(value)
        return {role: _total(parts) for role, parts in by_role.items()}


def _total(values: Sequence[Value]) -> Value:
    total: Value = 0.0
    for value in values:
        total = total + value
    return total


def estimate(name: str, inputs: Inputs) -> tuple[Estimate | None, tuple[str, ...]]:
    """The number, or why there is none although no size is missing."""
    if inputs.missing:
        return None, ()
    work, values = function_of(name, inputs), list(inputs.values.values())
    try:
        span = as_interval(work(*values))
        likely = likely_half_width(work, inputs.values)
        middle = as_interval(work(*(as_interval(v).middle for v in values))).middle
    except UnknownFormulaError as error:
        return None, (str(error),)
    except (TypeError, ValueError, ZeroDivisionError):
        return None, ("nothing, because its formula has no value here",)
    return Estimate(*(round(x, 9) if math.isfinite(x) else None for x in (middle, span.low, span.high, likely))), ()


def influences_on(name: str, inputs: Inputs) -> tuple[Influence, ...]:
    """Which sizes make the number uncertain, greatest first."""
    found = influences(function_of(name, inputs), inputs.values)
    return tuple(Influence(i.name, round(i.share, 9)) for i in found)


def words_for(name: str, inputs: Inputs) -> str:
    """What the number means in words; blank where it says all."""
    return function_of(name, inputs).in_words(*inputs.values.values())
