"""Verdict rows: one interface of a rule's end judged against all of the other end at once, by sorted windows.

``judge`` (graph/judge/conditions.py) puts every pair of rows together; here nothing is done pair by pair where a
condition is a comparison of sums. For such a condition the other end is sorted once by the bounds that the condition
compares. What one interface adds to the sum moves all of them by the same, and rounding keeps their order: adding one
number to two never puts the larger sum before the smaller (IEEE 754 rounds monotonically). So the interfaces that
are a yes, and those that are a no, are stretches of that order, whose ends are found by halving with the very sums
that ``judge`` makes. Codes are looked up; a formula is worked out once for each different set of its arguments.

A set of interfaces is a whole number with a bit for each. What the conditions say together is the set divided by one
condition after the other; pairs of which all conditions and all else that ``judge`` reads say the same have the same
outcome. An interface with several rows (choices of belief) has a bit for each row, and these few are put together one
by one, as ``judge`` does it. Property tests hold a row to ``judge``, pair for pair.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable, Iterator, Sequence
from math import isnan
from typing import NamedTuple

from knockon.graph.formulas import formula
from knockon.graph.judge.beliefs import EPSILON, Interface
from knockon.graph.judge.conditions import (
    JUDGED,
    REQUIRED,
    Bounds,
    Side,
    dimensions_of,
    not_written,
    state_of,
    sums,
    value_by,
    window_of,
)
from knockon.graph.judge.verdicts import MISSING, NO, STRADDLES, YES, Judged, Outcome
from knockon.graph.model.rules import Condition, FitRule

ABSENT, ASSEMBLY_NO, SERVICE_NO, STRADDLING, OWN_LACKS, OTHER_LACKS, SUPPORTING_OPEN = (1 << n for n in range(7))
"""What the conditions say of a pair, put together as bits."""
MOST_CHECKPOINTS = 256
"""So many beginnings of a sorted order are kept as sets, so that they take no more room than the order is long."""

Share = tuple[int, int]
"""A set of rows, and what a condition adds to what is said of them."""


def bits_of(mask: int) -> Iterator[int]:
    """The numbers of a set, least first."""
    while mask:
        lowest = mask & -mask
        yield lowest.bit_length() - 1
        mask ^= lowest


def mask_of(bits: Iterable[int]) -> int:
    """The set of these numbers."""
    found = bytearray()
    for bit in bits:
        byte = bit >> 3
        if byte >= len(found):
            found.extend(bytes(byte + 1 - len(found)))
        found[byte] |= 1 << (bit & 7)
    return int.from_bytes(found, "little")


def _adds(condition: Condition, state: int, own_lacks: bool = False, other_lacks: bool = False) -> int:
    """What a condition in this state adds to what is said of a pair."""
    found = 0
    if state == NO:
        found |= {"assembly": ASSEMBLY_NO, "service": SERVICE_NO}.get(condition.sort, 0)
    if condition.need == "required":
        found |= STRADDLING if state == STRADDLES else 0
        return found | (OWN_LACKS if own_lacks else 0) | (OTHER_LACKS if other_lacks else 0)
    return found | (SUPPORTING_OPEN if state >= STRADDLES else 0)


class _Order:
    """Rows in the order of a bound; those of which it is not known are left out."""

    def __init__(self, bounds: Iterable[tuple[float, int]]) -> None:
        known = sorted((value, bit) for value, bit in bounds if not isnan(value))
        self.values = [value for value, _ in known]
        self._bits = [bit for _, bit in known]
        self._step = max(1, -(-len(known) // MOST_CHECKPOINTS))
        self._beginnings = [0]
        for start in range(0, len(known), self._step):
            self._beginnings.append(self._beginnings[-1] | mask_of(self._bits[start : start + self._step]))
        self.all = self._beginnings[-1]

    def first(self, number: int) -> int:
        """The first few, as a set."""
        whole, more = divmod(number, self._step)
        return self._beginnings[whole] | (mask_of(self._bits[number - more : number]) if more else 0)

    def up_to(self, own: float, limit: float) -> int:
        """Those whose sum with ``own`` is at most the limit."""
        return 0 if isnan(own) else self.first(bisect_right(self.values, limit, key=own.__add__))

    def below(self, own: float, limit: float) -> int:
        """Those whose sum with ``own`` is less than the limit."""
        return 0 if isnan(own) else self.first(bisect_left(self.values, limit, key=own.__add__))

    def from_(self, own: float, limit: float) -> int:
        """Those whose sum with ``own`` is at least the limit."""
        return 0 if isnan(own) else self.all ^ self.below(own, limit)

    def above(self, own: float, limit: float) -> int:
        """Those whose sum with ``own`` is more than the limit."""
        return 0 if isnan(own) else self.all ^ self.up_to(own, limit)


class _Windows:
    """A comparison of a sum with a window: the other end's rows by the bounds of what they add to it."""

    def __init__(self, condition: Condition, rule: FitRule, end: int, others: Side, bits: Sequence[int]) -> None:
        self.condition = condition
        self._role = rule.ends[end].role
        theirs = [t.dimension for t in condition.terms if t.role != self._role]
        self._own = [t.dimension for t in condition.terms if t.role == self._role]
        added = sums(condition, rule.ends[1 - end].role, others)
        lacks = others.lacks(theirs)
        self._lacking = mask_of(bit for bit, lack in zip(bits, lacks, strict=True) if lack)
        self._all = mask_of(bits)
        known = [(value, bit) for value, bit, lack in zip(added, bits, lacks, strict=True) if not lack]
        self._orders = []
        for nominal in (False, True):
            of_these = [(value, bit) for value, bit in known if value.nominal is nominal]
            orders = _Order((v.low, b) for v, b in of_these), _Order((v.high, b) for v, b in of_these)
            self._orders.append((nominal, mask_of(b for _, b in of_these), *orders))
        self._windows = (window_of(condition, False), window_of(condition, True))
        self._found: dict[tuple[Bounds, bool], list[Share]] = {}

    def shares(self, own: Side) -> list[list[Share]]:
        """For each row of one interface, the other end's rows by what the condition adds."""
        added = sums(self.condition, self._role, own)
        return [self._of(value, lack) for value, lack in zip(added, own.lacks(self._own), strict=True)]

    def _of(self, own: Bounds, lacks: bool) -> list[Share]:
        if (own, lacks) not in self._found:
            self._found[own, lacks] = [share for share in self._states(own, lacks) if share[0]]
        return self._found[own, lacks]

    def _states(self, own: Bounds, lacks: bool) -> Iterator[Share]:
        of = self.condition
        yield self._lacking, _adds(of, MISSING, lacks, True)
        if lacks:
            yield self._all ^ self._lacking, _adds(of, MISSING, True, False)
            return
        for nominal, among, by_low, by_high in self._orders:
            window = self._windows[nominal or own.nominal]
            if window is None or not among:
                yield among, _adds(of, STRADDLES)
                continue
            low, high = window[0] - EPSILON, window[1] + EPSILON
            inside = by_low.from_(own.low, low) & by_high.up_to(own.high, high)
            outside = (by_high.below(own.high, low) | by_low.above(own.low, high)) & ~inside
            yield inside, _adds(of, YES)
            yield outside, _adds(of, NO)
            yield among ^ inside ^ outside, _adds(of, STRADDLES)


class _Codes:
    """Two codes compared: the other end's rows by what they say, and whether that is only the usual code."""

    def __init__(self, condition: Condition, rule: FitRule, end: int, others: Side, bits: Sequence[int]) -> None:
        self.condition = condition
        usual = condition.usual or ("", "")
        self._ends = [
            (t.dimension, u) for n in (0, 1) for t, u in zip(condition.terms, usual, strict=True)
            if rule.end_of(t).number == n
        ]  # fmt: skip
        self._end = end
        self._groups: dict[tuple[str | None, bool], int] = {}
        sorts: dict[tuple[str | None, bool], list[int]] = {}
        for bit, said in zip(bits, self._said(others, 1 - end), strict=True):
            sorts.setdefault(said, []).append(bit)
        self._groups = {said: mask_of(found) for said, found in sorts.items()}
        self._found: dict[tuple[str | None, bool], list[Share]] = {}

    def _said(self, side: Side, end: int) -> list[tuple[str | None, bool]]:
        """The code that counts in each row, and whether nobody wrote it."""
        dimension, usual = self._ends[end]
        written = side.codes(dimension)
        taken = not_written(side, dimension) if usual else [False] * len(written)
        return [(usual if assumed else code, assumed) for code, assumed in zip(written, taken, strict=True)]

    def shares(self, own: Side) -> list[list[Share]]:
        """For each row of one interface, the other end's rows by what the condition adds."""
        return [self._of(*said) for said in self._said(own, self._end)]

    def _of(self, code: str | None, taken: bool) -> list[Share]:
        if (code, taken) not in self._found:
            self._found[code, taken] = [
                (mask, self._adds(code, taken, other, assumed)) for (other, assumed), mask in self._groups.items()
            ]
        return self._found[code, taken]

    def _adds(self, code: str | None, taken: bool, other: str | None, assumed: bool) -> int:
        of = self.condition
        if code is None or other is None:
            return _adds(of, MISSING, code is None, other is None)
        if code == other:
            return _adds(of, YES)
        return _adds(of, MISSING if taken or assumed else NO, taken, assumed)


class _Formula:
    """A value by formula: worked out once for each different set of arguments on either side."""

    def __init__(self, condition: Condition, rule: FitRule, end: int, others: Side, bits: Sequence[int]) -> None:
        self.condition = condition
        self._function = formula(condition.formula)
        ends = [(rule.end_of(t).number == end, t.dimension) for t in condition.terms]
        self._own, self._theirs = ([d for mine, d in ends if mine is whose] for whose in (True, False))
        self._mine = [mine for mine, _ in ends]
        self._windows = (window_of(condition, False), window_of(condition, True))
        sorts: dict[tuple[tuple[Bounds, ...], bool], list[int]] = {}
        for bit, said in zip(bits, self._said(others, self._theirs), strict=True):
            sorts.setdefault(said, []).append(bit)
        self._groups = [(values, lacks, mask_of(found)) for (values, lacks), found in sorts.items()]
        self._found: dict[tuple[tuple[Bounds, ...], bool], list[Share]] = {}

    @staticmethod
    def _said(side: Side, dimensions: Sequence[str]) -> list[tuple[tuple[Bounds, ...], bool]]:
        """The arguments in each row, and whether one is not said."""
        bounds = [side.bounds(d) for d in dimensions]
        lacks = side.lacks(dimensions)
        return [(tuple(of[row] for of in bounds), lacks[row]) for row in range(len(side.rows))]

    def shares(self, own: Side) -> list[list[Share]]:
        """For each row of one interface, the other end's rows by what the condition adds."""
        return [self._of(*said) for said in self._said(own, self._own)]

    def _of(self, values: tuple[Bounds, ...], lacks: bool) -> list[Share]:
        if (values, lacks) not in self._found:
            self._found[values, lacks] = [
                (mask, self._adds(values, lacks, theirs, lack)) for theirs, lack, mask in self._groups
            ]
        return self._found[values, lacks]

    def _adds(self, own: tuple[Bounds, ...], lacks: bool, theirs: tuple[Bounds, ...], lack: bool) -> int:
        if lacks or lack:
            return _adds(self.condition, MISSING, lacks, lack)
        mine, yours = iter(own), iter(theirs)
        value = value_by(self._function, tuple(next(mine if is_mine else yours) for is_mine in self._mine))
        return _adds(self.condition, state_of(value, self._windows[value.nominal]))


class _OfOther(NamedTuple):
    """All beside the conditions that is read of a row of the other end."""

    asked: bool
    rank: int


class VerdictRows:
    """The interfaces of one end of a rule, prepared so that any interface of the other end is judged against all of
    them at once; ``end`` is the one whose interfaces come one by one."""

    def __init__(self, rule: FitRule, end: int, others: Sequence[Interface]) -> None:
        self.rule, self.end = rule, end
        self._all_dimensions = tuple(dimensions_of(rule, e.role) for e in rule.ends)
        self._deciding = tuple(frozenset(dimensions_of(rule, e.role, JUDGED)) for e in rule.ends)
        self._needed = tuple(dimensions_of(rule, e.role, REQUIRED) for e in rule.ends)
        side = Side(self._all_dimensions[1 - end], tuple(others), self._deciding[1 - end])
        self._others = side
        rows_of = side.rows_of_each
        self._several = {k: rows for k, rows in enumerate(rows_of) if len(rows) > 1}
        bits = [0] * len(side.rows)
        free = len(others)
        for k, rows in enumerate(rows_of):
            for row in rows:
                if len(rows) == 1:
                    bits[row] = k
                else:
                    bits[row], free = free, free + 1
        self._bits = bits
        self._single = mask_of(k for k, rows in enumerate(rows_of) if len(rows) == 1)
        self._rows_of_several = mask_of(bits[row] for rows in self._several.values() for row in rows)
        self._beginning, self._sorts = self._read_beside(side)
        self._compared = [
            (_Codes if c.same_code else _Formula if c.formula else _Windows)(c, rule, end, side, bits)
            for c in rule.conditions
            if c.need != "told"
        ]
        self._outcomes: dict[tuple[object, ...], Outcome] = {}
        self._plain: dict[tuple[Outcome, ...], Judged] = {}
        self._one_of_each: dict[Judged, Judged] = {}

    def _read_beside(self, side: Side) -> tuple[list[Share], list[tuple[int, _OfOther]]]:
        """What is said of each row before any condition; and the rows by all else that is read of them."""
        needed = self._needed[1 - self.end]
        beside = [_OfOther(side.asked(f, needed), side.rank(f, needed)) for f in side.interfaces]
        before: dict[int, list[int]] = {}
        sorts: dict[_OfOther, list[int]] = {}
        for bit, (i, absent, _) in zip(self._bits, side.rows, strict=True):
            unrecorded = side.interfaces[i].presence == "not recorded"
            before.setdefault((ABSENT if absent else 0) | (OTHER_LACKS if unrecorded else 0), []).append(bit)
            sorts.setdefault(beside[i], []).append(bit)
        return (
            [(mask_of(found), said) for said, found in before.items()],
            [(mask_of(found), of_other) for of_other, found in sorts.items()],
        )

    def of(self, own: Interface) -> list[tuple[Judged, int]]:
        """What was judged of an interface and each of the other end: each once, with the set of those of which it was.

        The same object wherever it is the same.
        """
        side = Side(self._all_dimensions[self.end], (own,), self._deciding[self.end])
        tables = self._tables(own, side)
        found: dict[int, tuple[Judged, int]] = {}

        def put(judged: Judged, mask: int) -> None:
            found[id(judged)] = (judged, found[id(judged)][1] | mask if id(judged) in found else mask)

        if len(tables) == 1:
            for outcome, mask in tables[0]:
                if mask & self._single:
                    put(self._judged_plainly(outcome), mask & self._single)
        else:
            for outcomes, mask in self._together(tables):
                put(self._judged(side.beliefs, [(False, ())], [outcomes]), mask)
        if self._several:
            self._put_several(side, tables, put)
        return list(found.values())

    def _tables(self, own: Interface, side: Side) -> list[list[tuple[Outcome, int]]]:
        """For each row of the interface the outcomes, each with the rows of the other end of which it is."""
        compared = [comparison.shares(side) for comparison in self._compared]
        needed = self._needed[self.end]
        asked, rank = side.asked(own, needed), side.rank(own, needed)
        unrecorded = OWN_LACKS if own.presence == "not recorded" else 0
        tables = []
        for row, (_, absent, _) in enumerate(side.rows):
            said = {}
            for mask, adds in self._beginning:
                said[adds | unrecorded | (ABSENT if absent else 0)] = (
                    said.get(adds | unrecorded | (ABSENT if absent else 0), 0) | mask
                )
            for shares in compared:
                said = _divided(said, shares[row])
            outcomes: dict[int, tuple[Outcome, int]] = {}
            for what, among in said.items():
                for mask, other in self._sorts:
                    if among & mask:
                        outcome = self._outcome(what, asked, rank, other)
                        outcomes[id(outcome)] = (outcome, among & mask)
            tables.append(list(outcomes.values()))
        return tables

    def _outcome(self, said: int, asked: bool, rank: int, other: _OfOther) -> Outcome:
        key = (said, asked, rank, other)
        if key not in self._outcomes:
            in_order = (lambda a, b: (a, b)) if self.end == 0 else (lambda a, b: (b, a))
            self._outcomes[key] = Outcome(
                absent=bool(said & ABSENT),
                assembly_no=bool(said & ASSEMBLY_NO),
                service_no=bool(said & SERVICE_NO),
                straddles=bool(said & STRADDLING),
                lacks=in_order(bool(said & OWN_LACKS), bool(said & OTHER_LACKS)),
                asked=in_order(asked, other.asked),
                ranks=in_order(rank, other.rank),
                supporting_open=bool(said & SUPPORTING_OPEN),
            )
        return self._outcomes[key]

    def _together(self, tables: Sequence[Sequence[tuple[Outcome, int]]]) -> list[tuple[tuple[Outcome, ...], int]]:
        """The interfaces with one row, by the outcomes of all rows of the other."""
        found: list[tuple[tuple[Outcome, ...], int]] = [((), self._single)] if self._single else []
        for table in tables:
            found = [
                ((*before, outcome), among & mask)
                for before, among in found
                for outcome, mask in table
                if among & mask
            ]
        return found

    def _put_several(
        self, own: Side, tables: Sequence[Sequence[tuple[Outcome, int]]], put: Callable[[Judged, int], None]
    ) -> None:
        """The interfaces with several rows, one by one."""
        at: list[dict[int, Outcome]] = [
            {bit: outcome for outcome, mask in table for bit in bits_of(mask & self._rows_of_several)}
            for table in tables
        ]
        bits, beliefs = self._bits, self._others.beliefs
        for k, rows in self._several.items():
            theirs = [beliefs[row] for row in rows]
            if self.end == 0:
                outcomes = [[at[r][bits[row]] for row in rows] for r in range(len(tables))]
                judged = self._judged(own.beliefs, theirs, list(zip(*outcomes, strict=True)))
            else:
                outcomes = [[at[r][bits[row]] for r in range(len(tables))] for row in rows]
                judged = self._judged(theirs, own.beliefs, list(zip(*outcomes, strict=True)))
            put(judged, 1 << k)

    def _judged_plainly(self, outcome: Outcome) -> Judged:
        key = (outcome,)
        if key not in self._plain:
            self._plain[key] = self._interned(Judged(((outcome,),)))
        return self._plain[key]

    def _interned(self, judged: Judged) -> Judged:
        return self._one_of_each.setdefault(judged, judged)

    def _judged(
        self, ones: Sequence[object], others: Sequence[object], outcomes: Sequence[Sequence[Outcome]]
    ) -> Judged:
        """By belief, as ``judge`` puts it: ``outcomes`` by the second side's row, then the first side's."""
        found: dict[object, dict[Outcome, None]] = {}
        for r, one in enumerate(ones):
            for c, other in enumerate(others):
                found.setdefault((one, other), {})[outcomes[c][r]] = None
        return self._interned(Judged(tuple(tuple(belief) for belief in found.values())))


def _divided(said: dict[int, int], shares: Sequence[Share]) -> dict[int, int]:
    """What is said of which rows, with what one more condition adds."""
    found: dict[int, int] = {}
    for before, among in said.items():
        for mask, adds in shares:
            both = among & mask
            if both:
                now = before | adds
                found[now] = found.get(now, 0) | both
    return found
