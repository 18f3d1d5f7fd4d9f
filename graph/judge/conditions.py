"""Matching: a fit rule decided for all pairs of interface classes at once.

Parts with equal interfaces are one class; classes, not parts, are matched. Each side's part of a condition is worked
out once a row (a choice of belief), and each pair of rows puts two of them together.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import cached_property, lru_cache
from itertools import product
from math import inf, isnan, nan
from typing import NamedTuple

import msgspec

from knockon.graph.formulas import formula
from knockon.graph.formulas.interval import Interval
from knockon.graph.judge.beliefs import EPSILON, NOTHING, Interface, Size
from knockon.graph.judge.verdicts import MISSING, NO, STRADDLES, YES, Judged, Outcome
from knockon.graph.model.rules import Condition, FitRule, RuleEnd

REQUIRED, JUDGED, TOLD = ("required",), ("required", "supporting"), ("told",)


def dimensions_of(rule: FitRule, role: str, needs: Sequence[str] = JUDGED + TOLD) -> tuple[str, ...]:
    """The dimensions that the rule's conditions of some needs read on this role's feature, in a fixed order."""
    return tuple(sorted({t.dimension for c in rule.conditions if c.need in needs for t in c.terms if t.role == role}))


class Side(msgspec.Struct, frozen=True, dict=True):
    """The interfaces of one side, spread out into one row per choice of beliefs."""

    dimensions: tuple[str, ...]
    interfaces: tuple[Interface, ...]
    deciding: frozenset[str] = frozenset()  # the dimensions that some judged condition reads

    @cached_property
    def beliefs(self) -> list[tuple[bool, tuple[Size | None, ...]]]:
        """What is believed in each row: presence and the choices among sizes that contradict each other and decide."""
        held = []
        for i, absent, choice in self.rows:
            interface = self.interfaces[i]
            sizes = tuple(
                size if known.contested and name in self.deciding else None
                for name, known, size in zip(self.dimensions, interface.known, choice, strict=True)
            )
            held.append((absent and interface.presence == "contested", sizes))
        return held

    @cached_property
    def rows(self) -> list[tuple[int, bool, tuple[Size | None, ...]]]:
        """(index of the interface, known absent, chosen size per dimension)."""
        rows: list[tuple[int, bool, tuple[Size | None, ...]]] = []
        for i, interface in enumerate(self.interfaces):
            if interface.presence in ("absent", "contested"):
                rows.append((i, True, (None,) * len(self.dimensions)))
            if interface.presence != "absent":
                rows.extend((i, False, choice) for choice in product(*(k.sizes or (None,) for k in interface.known)))
        return rows

    @cached_property
    def rows_of_each(self) -> list[list[int]]:
        """The rows of each interface."""
        rows: list[list[int]] = [[] for _ in self.interfaces]
        for number, (interface, _, _) in enumerate(self.rows):
            rows[interface].append(number)
        return rows

    def bounds(self, dimension: str) -> list[Bounds]:
        """The bounds of a size in each row."""
        j = self.dimensions.index(dimension)
        return [_NO_BOUNDS if c[j] is None else _bounds(c[j]) for _, _, c in self.rows]  # type: ignore[arg-type]

    def codes(self, dimension: str) -> list[str | None]:
        """The code of a dimension in each row; None: missing."""
        j = self.dimensions.index(dimension)
        return [None if c[j] is None else c[j].code for _, _, c in self.rows]  # type: ignore[union-attr]

    def lacks(self, dimensions: Sequence[str]) -> list[bool]:
        """Whether the size of one of these dimensions is not said, in each row."""
        where = [self.dimensions.index(d) for d in dimensions]
        return [any(choice[j] is None for j in where) for _, _, choice in self.rows]

    def asked(self, interface: Interface, dimensions: Sequence[str]) -> bool:
        """Whether a source says ``?`` of one of these dimensions of an interface."""
        return any(interface.known[self.dimensions.index(d)].asked for d in dimensions)

    def rank(self, interface: Interface, dimensions: Sequence[str]) -> int:
        """The weakest standing among the sizes of these dimensions of an interface (0: none is used)."""
        ranks = (interface.known[self.dimensions.index(d)].rank for d in dimensions)
        return max((rank for rank in ranks if rank < NOTHING), default=0)


class Bounds(NamedTuple):
    """Lower and upper bound (nan: missing), and whether a nominal size is among what they are of."""

    low: float
    high: float
    nominal: bool


_NO_BOUNDS = Bounds(nan, nan, False)


def _bounds(size: Size) -> Bounds:
    return Bounds(nan if size.low is None else size.low, nan if size.high is None else size.high, size.nominal)


class Cell(NamedTuple):
    """A condition on one pair of rows: the value's bounds (nan: missing), its state, and whether it lacks a size of the
    first and of the second side (there the state is MISSING)."""

    low: float
    high: float
    state: int
    lacks: tuple[bool, bool]


Cells = list[list[Cell]]
"""By row of the first side, then of the second."""


def window_of(condition: Condition, nominal: bool) -> tuple[float, float] | None:
    """The window that judges; None where a nominal size leaves the condition open."""
    bare = condition.low is None and condition.high is None
    if nominal or bare:
        if not condition.gross:
            return None if nominal and not bare else (-inf, inf)
        low, high = condition.gross_low, condition.gross_high
    else:
        low, high = condition.low, condition.high
    return (-inf if low is None else low, inf if high is None else high)


def sums(condition: Condition, role: str, side: Side) -> list[Bounds]:
    """What one side adds to a signed sum, in each of its rows."""
    terms = [(t.factor, side.bounds(t.dimension)) for t in condition.terms if t.role == role]
    sums = []
    for row in range(len(side.rows)):
        low = high = 0.0
        for factor, bounds in terms:
            lower, upper, _ = bounds[row]
            low += factor * (lower if factor > 0 else upper)
            high += factor * (upper if factor > 0 else lower)
        sums.append(Bounds(low, high, any(bounds[row].nominal for _, bounds in terms)))
    return sums


def _added(condition: Condition, rule: FitRule, sides: tuple[Side, Side]) -> list[list[Bounds]]:
    first, second = (sums(condition, end.role, side) for end, side in zip(rule.ends, sides, strict=True))
    return [[Bounds(a.low + b.low, a.high + b.high, a.nominal or b.nominal) for b in second] for a in first]


def _by_formula(condition: Condition, rule: FitRule, sides: tuple[Side, Side]) -> list[list[Bounds]]:
    function = formula(condition.formula)
    ends = [(rule.end_of(t).number, t.dimension) for t in condition.terms]
    bounds = [(end, sides[end].bounds(dimension)) for end, dimension in ends]
    known: dict[tuple[Bounds, ...], Bounds] = {}

    def of(*pair: int) -> Bounds:
        values = tuple(rows[pair[end]] for end, rows in bounds)
        if values not in known:
            known[values] = value_by(function, values)
        return known[values]

    return [[of(r, c) for c in range(len(sides[1].rows))] for r in range(len(sides[0].rows))]


@lru_cache(maxsize=50_000)
def value_by(function: Callable[..., Interval | float], values: tuple[Bounds, ...]) -> Bounds:
    """The bounds of a formula's value; not known where one of its arguments is not. Remembered: the threads of one
    joint are those of many others."""
    if any(isnan(v.low) or isnan(v.high) for v in values):
        return _NO_BOUNDS
    found = function(*(Interval(v.low, v.high) for v in values))
    low, high = (found.low, found.high) if isinstance(found, Interval) else (found, found)
    return Bounds(low, high, any(v.nominal for v in values))


def usual_codes(condition: Condition, rule: FitRule, sides: tuple[Side, Side]) -> tuple[list[bool], list[bool]]:
    """For each row of both sides whether the code is not written and the dimension's usual one counts.

    It counts of a feature that is recorded, unless a source says that it does not know.
    """
    taken = [[False] * len(side.rows) for side in sides]
    for term, usual in zip(condition.terms, condition.usual, strict=False):
        if usual:
            end = rule.end_of(term).number
            taken[end] = not_written(sides[end], term.dimension)
    return taken[0], taken[1]


def not_written(side: Side, dimension: str) -> list[bool]:
    """For each row whether no code is written, and a usual one would count."""
    j = side.dimensions.index(dimension)
    unsaid = [f.presence in ("recorded", "contested") and not f.known[j].asked for f in side.interfaces]
    codes = zip(side.rows, side.codes(dimension), strict=True)
    return [code is None and not absent and unsaid[i] for (i, absent, _), code in codes]


def _code_cells(condition: Condition, rule: FitRule, sides: tuple[Side, Side]) -> Cells:
    """Same codes: yes; others: no, or open where one of them is only the usual one.

    The usual code is lacking only beside another that it does not agree with: beside one that nobody knows it is as
    good as written, and only the other one is lacking.
    """
    codes: list[list[str | None]] = [[], []]
    taken = usual_codes(condition, rule, sides)
    for term, usual in zip(condition.terms, condition.usual or ("", ""), strict=True):
        end = rule.end_of(term).number
        written = sides[end].codes(term.dimension)
        codes[end] = [usual if assumed else code for code, assumed in zip(written, taken[end], strict=True)]

    def of(a: int, b: int) -> Cell:
        code, other = codes[0][a], codes[1][b]
        if code is None or other is None:
            return Cell(nan, nan, MISSING, (code is None, other is None))
        if code == other:
            return Cell(nan, nan, YES, (False, False))
        return Cell(nan, nan, MISSING if taken[0][a] or taken[1][b] else NO, (taken[0][a], taken[1][b]))

    return [[of(a, b) for b in range(len(codes[1]))] for a in range(len(codes[0]))]


def evaluate(condition: Condition, rule: FitRule, sides: tuple[Side, Side]) -> Cells:
    """One condition over all pairs of rows of the two sides."""
    if condition.same_code:
        return _code_cells(condition, rule, sides)
    bounds = (_by_formula if condition.formula else _added)(condition, rule, sides)
    missing = [
        side.lacks([t.dimension for t in condition.terms if t.role == end.role])
        for end, side in zip(rule.ends, sides, strict=True)
    ]
    windows = (window_of(condition, False), window_of(condition, True))

    def of(value: Bounds, lacks: tuple[bool, bool]) -> Cell:
        state = MISSING if lacks[0] or lacks[1] else state_of(value, windows[value.nominal])
        return Cell(value.low, value.high, state, lacks)

    return [[of(value, (missing[0][r], missing[1][c])) for c, value in enumerate(row)] for r, row in enumerate(bounds)]


def state_of(value: Bounds, window: tuple[float, float] | None) -> int:
    """What a condition comes to for a value; ``window`` None: it is left open."""
    if window is None:
        return STRADDLES
    if value.low >= window[0] - EPSILON and value.high <= window[1] + EPSILON:
        return YES
    return NO if value.high < window[0] - EPSILON or value.low > window[1] + EPSILON else STRADDLES


def judge(rule: FitRule, first: Sequence[Interface], second: Sequence[Interface]) -> list[list[Judged]]:
    """Judge the rule for all pairs of interfaces: ``result[a][b]``. Cost: distinct interfaces, not parts."""
    sides = (_side(rule, rule.ends[0], first), _side(rule, rule.ends[1], second))
    judged = [(c, evaluate(c, rule, sides)) for c in rule.conditions if c.need != "told"]
    needed = [dimensions_of(rule, end.role, REQUIRED) for end in rule.ends]
    asked = [[s.asked(f, n) for f in s.interfaces] for s, n in zip(sides, needed, strict=True)]
    ranks = [[s.rank(f, n) for f in s.interfaces] for s, n in zip(sides, needed, strict=True)]
    unrecorded = [[f.presence == "not recorded" for f in s.interfaces] for s in sides]

    def outcome(r: int, c: int) -> Outcome:
        (a, a_absent, _), (b, b_absent, _) = sides[0].rows[r], sides[1].rows[c]
        noes, straddles, supporting = set(), False, False
        lacks = [unrecorded[0][a], unrecorded[1][b]]
        for condition, cells in judged:
            cell = cells[r][c]
            if cell.state == NO:
                noes.add(condition.sort)
            if condition.need == "required":
                straddles |= cell.state == STRADDLES
                lacks = [lacks[0] or cell.lacks[0], lacks[1] or cell.lacks[1]]
            else:
                supporting |= cell.state >= STRADDLES
        return Outcome(
            absent=a_absent or b_absent,
            assembly_no="assembly" in noes,
            service_no="service" in noes,
            straddles=straddles,
            lacks=(lacks[0], lacks[1]),
            asked=(asked[0][a], asked[1][b]),  # what is asked is lacking
            ranks=(ranks[0][a], ranks[1][b]),
            supporting_open=supporting,
        )

    blocks = [side.rows_of_each for side in sides]
    return [[_judged(sides, rows, columns, outcome) for columns in blocks[1]] for rows in blocks[0]]


def _side(rule: FitRule, end: RuleEnd, interfaces: Sequence[Interface]) -> Side:
    deciding = frozenset(dimensions_of(rule, end.role, JUDGED))
    return Side(dimensions_of(rule, end.role), tuple(interfaces), deciding)


def _judged(
    sides: tuple[Side, Side], rows: Sequence[int], columns: Sequence[int], outcome: Callable[[int, int], Outcome]
) -> Judged:
    """The outcomes of one pair of interfaces, by belief."""
    found: dict[object, dict[Outcome, None]] = {}
    for r in rows:
        for c in columns:
            found.setdefault((sides[0].beliefs[r], sides[1].beliefs[c]), {})[outcome(r, c)] = None
    return Judged(tuple(tuple(belief) for belief in found.values()))
