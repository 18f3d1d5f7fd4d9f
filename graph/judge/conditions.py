"""Matching: a fit rule decided for all pairs of interface classes at once.

Parts with equal interfaces are one class; classes, not parts, are matched. Each condition is one array operation over
all pairs (rows: choices of belief of the first side, columns: of the second).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product

import numpy as np
from numpy.typing import NDArray

from knockon.graph.formulas import formula
from knockon.graph.formulas.interval import Interval
from knockon.graph.judge.beliefs import EPSILON, NOTHING, Interface, Size
from knockon.graph.judge.verdicts import MISSING, NO, STRADDLES, YES, Judged, Outcome
from knockon.graph.model.schema import Condition, FitRule

Floats = NDArray[np.float64]
Flags = NDArray[np.bool_]
REQUIRED, JUDGED, TOLD = ("required",), ("required", "supporting"), ("told",)


def dimensions_of(rule: FitRule, role: str, needs: Sequence[str] = JUDGED + TOLD) -> tuple[str, ...]:
    """The dimensions that the rule's conditions of some needs read on this role's feature, in a fixed order."""
    return tuple(sorted({t.dimension for c in rule.conditions if c.need in needs for t in c.terms if t.role == role}))


@dataclass(frozen=True)
class Side:
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
    def owner(self) -> NDArray[np.int64]:
        """The index of the interface behind each row."""
        return np.array([i for i, _, _ in self.rows], dtype=np.int64)

    @cached_property
    def absent(self) -> Flags:
        """Whether the feature is known absent in each row."""
        return np.array([a for _, a, _ in self.rows], dtype=bool)

    @cached_property
    def unrecorded(self) -> Flags:
        """Whether nobody recorded the feature of each row."""
        return np.array([self.interfaces[i].presence == "not recorded" for i in self.owner], dtype=bool)

    def bounds(self, dimension: str) -> tuple[Floats, Floats, Flags]:
        """Lower and upper bounds (nan: missing) and whether the size is nominal, one entry a row."""
        j = self.dimensions.index(dimension)
        sizes = [choice[j] for _, _, choice in self.rows]
        low = np.array([np.nan if s is None or s.low is None else s.low for s in sizes])
        high = np.array([np.nan if s is None or s.high is None else s.high for s in sizes])
        return low, high, np.array([s is not None and s.nominal for s in sizes], dtype=bool)

    def missing(self, dimension: str) -> Flags:
        """Whether no size of a dimension is said, one entry a row."""
        j = self.dimensions.index(dimension)
        return np.array([choice[j] is None for _, _, choice in self.rows], dtype=bool)

    def codes(self, dimension: str) -> list[str | None]:
        """The code of a dimension in each row; None: missing."""
        j = self.dimensions.index(dimension)
        return [None if choice[j] is None else choice[j].code for _, _, choice in self.rows]  # type: ignore[union-attr]

    def asked(self, dimensions: Sequence[str]) -> Flags:
        """Whether a source says ``?`` of one of these dimensions."""
        where = [self.dimensions.index(d) for d in dimensions]
        by_interface = [any(f.known[j].asked for j in where) for f in self.interfaces]
        return np.array([by_interface[i] for i in self.owner], dtype=bool)

    def ranks(self, dimensions: Sequence[str]) -> NDArray[np.int64]:
        """The weakest standing among the sizes of these dimensions (0: none is used)."""
        where = [self.dimensions.index(d) for d in dimensions]
        by_interface = [
            max((f.known[j].rank for j in where if f.known[j].rank < NOTHING), default=0) for f in self.interfaces
        ]
        return np.array([by_interface[i] for i in self.owner], dtype=np.int64)


@dataclass(frozen=True)
class ConditionResult:
    """One condition over all pairs: the value's bounds (nan where missing), its state, and where it lacks a size of the
    first and of the second side (there the state is MISSING)."""

    condition: Condition
    low: Floats
    high: Floats
    state: NDArray[np.int8]
    lacks: tuple[Flags, Flags]


def window_of(condition: Condition, nominal: bool) -> tuple[float, float] | None:
    """The window that judges; None where a nominal size leaves the condition open."""
    bare = condition.low is None and condition.high is None
    if nominal or bare:
        if not condition.gross:
            return None if nominal and not bare else (-np.inf, np.inf)
        low, high = condition.gross_low, condition.gross_high
    else:
        low, high = condition.low, condition.high
    return (-np.inf if low is None else low, np.inf if high is None else high)


def _sum(condition: Condition, role: str, side: Side) -> tuple[Floats, Floats, Flags]:
    rows = len(side.rows)
    low, high, nominal = np.zeros(rows), np.zeros(rows), np.zeros(rows, dtype=bool)
    for term in condition.terms:
        if term.role == role:
            lower, upper, is_nominal = side.bounds(term.dimension)
            low = low + term.factor * (lower if term.factor > 0 else upper)
            high = high + term.factor * (upper if term.factor > 0 else lower)
            nominal |= is_nominal
    return low, high, nominal


def _by_formula(condition: Condition, rule: FitRule, sides: tuple[Side, Side]) -> tuple[Floats, Floats, Flags]:
    function = formula(condition.formula)
    shape = (len(sides[0].rows), len(sides[1].rows))
    low, high = np.full(shape, np.nan), np.full(shape, np.nan)
    nominal = np.zeros(shape, dtype=bool)
    columns = [(rule.roles.index(t.role), t.dimension) for t in condition.terms]
    bounds = [(i, *sides[i].bounds(d)) for i, d in columns]
    cache: dict[tuple[float, ...], tuple[float, float]] = {}
    for pair in np.ndindex(shape):
        values = tuple(float(x) for i, lower, upper, _ in bounds for x in (lower[pair[i]], upper[pair[i]]))
        if any(np.isnan(values)):
            continue
        if values not in cache:
            found = function(*(Interval(a, b) for a, b in zip(values[::2], values[1::2], strict=True)))
            cache[values] = (found.low, found.high) if isinstance(found, Interval) else (found, found)
        low[pair], high[pair] = cache[values]
        nominal[pair] = any(is_nominal[pair[i]] for i, _, _, is_nominal in bounds)
    return low, high, nominal


def usual_codes(condition: Condition, rule: FitRule, sides: tuple[Side, Side]) -> tuple[list[bool], list[bool]]:
    """For each row of both sides whether the code is not written and the dimension's usual one counts.

    It counts of a feature that is recorded, unless a source says that it does not know.
    """
    taken = [[False] * len(side.rows) for side in sides]
    for term, usual in zip(condition.terms, condition.usual, strict=False):
        if usual:
            end = rule.roles.index(term.role)
            taken[end] = _not_written(sides[end], term.dimension)
    return taken[0], taken[1]


def _not_written(side: Side, dimension: str) -> list[bool]:
    j = side.dimensions.index(dimension)
    unsaid = [f.presence in ("recorded", "contested") and not f.known[j].asked for f in side.interfaces]
    codes = zip(side.rows, side.codes(dimension), strict=True)
    return [code is None and not absent and unsaid[i] for (i, absent, _), code in codes]


def _code_states(
    condition: Condition, rule: FitRule, sides: tuple[Side, Side]
) -> tuple[NDArray[np.int8], tuple[Flags, Flags]]:
    """Same codes: yes; others: no, or open where one of them is only the usual one.

    The usual code is lacking only beside another that it does not agree with: beside one that nobody knows it is as
    good as written, and only the other one is lacking.
    """
    codes: list[list[str | None]] = [[], []]
    taken = usual_codes(condition, rule, sides)
    for term, usual in zip(condition.terms, condition.usual or ("", ""), strict=True):
        end = rule.roles.index(term.role)
        written = sides[end].codes(term.dimension)
        codes[end] = [usual if assumed else code for code, assumed in zip(written, taken[end], strict=True)]
    state = np.full((len(codes[0]), len(codes[1])), MISSING, dtype=np.int8)
    lacks = (np.zeros(state.shape, dtype=bool), np.zeros(state.shape, dtype=bool))
    for a, code in enumerate(codes[0]):
        for b, other in enumerate(codes[1]):
            if code is None or other is None:
                lacks[0][a, b], lacks[1][a, b] = code is None, other is None
            elif code == other:
                state[a, b] = YES
            else:
                lacks[0][a, b], lacks[1][a, b] = taken[0][a], taken[1][b]
                state[a, b] = MISSING if taken[0][a] or taken[1][b] else NO
    return state, lacks


def _missing(condition: Condition, rule: FitRule, sides: tuple[Side, Side]) -> tuple[Flags, Flags]:
    lacks = []
    for role, side in zip(rule.roles, sides, strict=True):
        flags = np.zeros(len(side.rows), dtype=bool)
        for term in condition.terms:
            if term.role == role:
                flags |= side.missing(term.dimension)
        lacks.append(flags)
    shape = (len(sides[0].rows), len(sides[1].rows))
    return np.broadcast_to(lacks[0][:, None], shape), np.broadcast_to(lacks[1][None, :], shape)


def evaluate(condition: Condition, rule: FitRule, sides: tuple[Side, Side]) -> ConditionResult:
    """One condition over all pairs of rows of the two sides."""
    if condition.same_code:
        state, lacks = _code_states(condition, rule, sides)
        nothing = np.full(state.shape, np.nan)
        return ConditionResult(condition, nothing, nothing, state, lacks)
    lacks = _missing(condition, rule, sides)
    if condition.formula:
        low, high, nominal = _by_formula(condition, rule, sides)
    else:
        (low_a, high_a, nominal_a), (low_b, high_b, nominal_b) = (
            _sum(condition, role, side) for role, side in zip(rule.roles, sides, strict=True)
        )
        low, high = low_a[:, None] + low_b[None, :], high_a[:, None] + high_b[None, :]
        nominal = nominal_a[:, None] | nominal_b[None, :]
    state = np.full(low.shape, STRADDLES, dtype=np.int8)
    for is_nominal in (False, True):
        window = window_of(condition, is_nominal)
        if window is not None:
            here = nominal == is_nominal
            inside = (low >= window[0] - EPSILON) & (high <= window[1] + EPSILON)
            outside = (high < window[0] - EPSILON) | (low > window[1] + EPSILON)
            state[here & inside], state[here & outside] = YES, NO
    state[lacks[0] | lacks[1]] = MISSING
    return ConditionResult(condition, low, high, state, lacks)


def judge(rule: FitRule, first: Sequence[Interface], second: Sequence[Interface]) -> list[list[Judged]]:
    """Judge the rule for all pairs of interfaces: ``result[a][b]``. Cost: distinct interfaces, not parts."""
    sides = (_side(rule, rule.first_role, first), _side(rule, rule.second_role, second))
    shape = (len(sides[0].rows), len(sides[1].rows))
    flags = {
        name: np.zeros(shape, dtype=bool)
        for name in ("assembly", "service", "straddles", "lacks_a", "lacks_b", "supporting")
    }
    for condition in rule.conditions:
        if condition.need == "told":
            continue
        result = evaluate(condition, rule, sides)
        flags[condition.sort] |= result.state == NO
        if condition.need == "required":
            flags["straddles"] |= result.state == STRADDLES
            flags["lacks_a"] |= result.lacks[0]
            flags["lacks_b"] |= result.lacks[1]
        else:
            flags["supporting"] |= result.state >= STRADDLES
    needed = [dimensions_of(rule, role, REQUIRED) for role in rule.roles]
    flags["lacks_a"] |= sides[0].unrecorded[:, None]
    flags["lacks_b"] |= sides[1].unrecorded[None, :]
    asked = [s.asked(n) for s, n in zip(sides, needed, strict=True)]
    ranks = [s.ranks(n) for s, n in zip(sides, needed, strict=True)]

    def outcome(r: int, c: int) -> Outcome:
        return Outcome(
            absent=bool(sides[0].absent[r] or sides[1].absent[c]),
            assembly_no=bool(flags["assembly"][r, c]),
            service_no=bool(flags["service"][r, c]),
            straddles=bool(flags["straddles"][r, c]),
            lacks=(bool(flags["lacks_a"][r, c]), bool(flags["lacks_b"][r, c])),
            asked=(bool(asked[0][r]), bool(asked[1][c])),  # what is asked is lacking
            ranks=(int(ranks[0][r]), int(ranks[1][c])),
            supporting_open=bool(flags["supporting"][r, c]),
        )

    blocks = [[np.flatnonzero(s.owner == i).tolist() for i in range(len(s.interfaces))] for s in sides]
    return [[_judged(sides, rows, columns, outcome) for columns in blocks[1]] for rows in blocks[0]]


def _side(rule: FitRule, role: str, interfaces: Sequence[Interface]) -> Side:
    return Side(dimensions_of(rule, role), tuple(interfaces), frozenset(dimensions_of(rule, role, JUDGED)))


def _judged(
    sides: tuple[Side, Side], rows: Sequence[int], columns: Sequence[int], outcome: Callable[[int, int], Outcome]
) -> Judged:
    """The outcomes of one pair of interfaces, by belief."""
    found: dict[object, dict[Outcome, None]] = {}
    for r in rows:
        for c in columns:
            found.setdefault((sides[0].beliefs[r], sides[1].beliefs[c]), {})[outcome(r, c)] = None
    return Judged(tuple(tuple(belief) for belief in found.values()))
