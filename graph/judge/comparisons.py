"""The conditions of a rule, each prepared to be asked of one interface and all of the other end at once.

What one interface adds to a sum moves all of the other end by the same, and rounding keeps their order: adding one
number to two never puts the larger sum before the smaller (IEEE 754 rounds monotonically). So in the order of a bound
the interfaces that are a yes, and those that are a no, are stretches, whose ends are found by halving with the very
sums that ``judge`` makes. Codes are looked up; a formula is worked out once for each different set of its arguments.

A set of interfaces is a whole number with a bit for each.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from math import isnan
from typing import TypeVar

from knockon.graph.formulas import formula
from knockon.graph.judge.beliefs import EPSILON
from knockon.graph.judge.conditions import Bounds, Side, not_written, state_of, sums, value_by, window_of
from knockon.graph.judge.verdicts import MISSING, NO, STRADDLES, YES
from knockon.graph.model.rules import Condition, FitRule

ABSENT, ASSEMBLY_NO, SERVICE_NO, STRADDLING, OWN_LACKS, OTHER_LACKS, SUPPORTING_OPEN = (1 << n for n in range(7))
"""What the conditions say of a pair, put together as bits."""
MOST_CHECKPOINTS = 256
"""So many beginnings of a sorted order are kept as sets, so that they take no more room than the order is long."""

T = TypeVar("T")
FEW_ASKED = 4
"""So often a beginning is put together anew, before they are kept: a question about one part asks once or twice."""

Share = tuple[int, int]
"""A set of rows, and what a condition adds to what is said of them."""


def bits_of(mask: int) -> Iterator[int]:
    """The numbers of a set, least first."""
    while mask:
        lowest = mask & -mask
        yield lowest.bit_length() - 1
        mask ^= lowest


def chosen(items: Sequence[T], mask: int) -> list[T]:
    """The items at the numbers of a set."""
    if 4 * mask.bit_count() < len(items):
        return [items[bit] for bit in bits_of(mask)]
    return [item for item, bit in zip(items, f"{mask:b}"[::-1], strict=False) if bit == "1"]


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


def gathered(shares: Iterable[Share]) -> list[Share]:
    """The rows of which the same is said, together."""
    found: dict[int, int] = {}
    for mask, adds in shares:
        if mask:
            found[adds] = found.get(adds, 0) | mask
    return [(mask, adds) for adds, mask in found.items()]


class Order:
    """Rows in the order of a bound; those of which it is not known are left out."""

    def __init__(self, bounds: Iterable[tuple[float, int]]) -> None:
        known = sorted((value, bit) for value, bit in bounds if not isnan(value))
        self.values = [value for value, _ in known]
        self._bits = [bit for _, bit in known]
        self._step = max(1, -(-len(known) // MOST_CHECKPOINTS))
        self._beginnings: list[int] = []
        self._asked = 0
        self.all = mask_of(self._bits)

    def first(self, number: int) -> int:
        """The first few, as a set."""
        if not self._beginnings:
            self._asked += 1
            if self._asked <= FEW_ASKED:
                return mask_of(self._bits[:number])
            self._begin()
        whole, more = divmod(number, self._step)
        return self._beginnings[whole] | (mask_of(self._bits[number - more : number]) if more else 0)

    def _begin(self) -> None:
        found = [0]
        for start in range(0, len(self._bits), self._step):
            found.append(found[-1] | mask_of(self._bits[start : start + self._step]))
        self._beginnings = found

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


class Windows:
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
            orders = Order((v.low, b) for v, b in of_these), Order((v.high, b) for v, b in of_these)
            self._orders.append((nominal, mask_of(b for _, b in of_these), *orders))
        self._windows = (window_of(condition, False), window_of(condition, True))
        self._found: dict[tuple[Bounds, bool], list[Share]] = {}

    def shares(self, own: Side) -> list[list[Share]]:
        """For each row of one interface, the other end's rows by what the condition adds."""
        added = sums(self.condition, self._role, own)
        return [self._of(value, lack) for value, lack in zip(added, own.lacks(self._own), strict=True)]

    def _of(self, own: Bounds, lacks: bool) -> list[Share]:
        if (own, lacks) not in self._found:
            self._found[own, lacks] = gathered(self._states(own, lacks))
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


class Codes:
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
            self._found[code, taken] = gathered(
                (mask, self._adds(code, taken, other, assumed)) for (other, assumed), mask in self._groups.items()
            )
        return self._found[code, taken]

    def _adds(self, code: str | None, taken: bool, other: str | None, assumed: bool) -> int:
        of = self.condition
        if code is None or other is None:
            return _adds(of, MISSING, code is None, other is None)
        if code == other:
            return _adds(of, YES)
        return _adds(of, MISSING if taken or assumed else NO, taken, assumed)


class ByFormula:
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
            self._found[values, lacks] = gathered(
                (mask, self._adds(values, lacks, theirs, lack)) for theirs, lack, mask in self._groups
            )
        return self._found[values, lacks]

    def _adds(self, own: tuple[Bounds, ...], lacks: bool, theirs: tuple[Bounds, ...], lack: bool) -> int:
        if lacks or lack:
            return _adds(self.condition, MISSING, lacks, lack)
        mine, yours = iter(own), iter(theirs)
        value = value_by(self._function, tuple(next(mine if is_mine else yours) for is_mine in self._mine))
        return _adds(self.condition, state_of(value, self._windows[value.nominal]))


def prepared(condition: Condition, rule: FitRule, end: int, others: Side, bits: Sequence[int]) -> Comparison:
    """A condition, to be asked of interfaces at this end; ``bits`` are of the other end's rows."""
    sort = Codes if condition.same_code else ByFormula if condition.formula else Windows
    return sort(condition, rule, end, others, bits)


Comparison = Windows | Codes | ByFormula
