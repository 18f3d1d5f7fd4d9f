"""Stacks as running sums: what a group of seats adds, as far as the limits tell sums apart."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from functools import cached_property, partial, reduce
from itertools import accumulate, product
from operator import add, and_, or_

import msgspec

from knockon.queries.plan.counting.factors import IDLE
from knockon.queries.plan.counting.network import Group, Join, State

NOTHING = "nothing"
"""No place of the stack is filled, or the choice that it stands in is the right one: nothing is added."""
FREE = "free"
"""A size is missing, or whatever the others add the sum is allowed: nothing is to be judged."""
ABSENT = "absent"
"""A feature is known absent: a no, where the stack is judged at all."""
MOST_SUMS = 2_000
"""Where the other seats can add more different sums than this, running sums are told apart by their bounds only."""

Numbers = tuple[int, ...]
"""What is added: for each combination of beliefs a number for each limit, none of which may be above its limit (what
counts against a lower limit is turned round)."""


class Sum(msgspec.Struct, frozen=True, dict=True):
    """Signed sums over seats, in whole steps, none of which is above its limit, under at least one combination of
    beliefs.

    ``adds[seat]`` are the different states of the seat's values: NOTHING, FREE, ABSENT, or its numbers, those of one
    combination of beliefs after those of another, each with as many ``limits``. With a ``switch`` it is judged in some
    values of that seat only (state NOTHING; else IDLE).

    Running sums that no rest tells apart are one. Let r be what a group adds to one of the sums, and S all sums of one
    state from each other table. Beside s the limit holds if r <= limit - s. So two values of r between the same
    neighbours of the sorted {limit - s : s in S} are accepted beside the same s, and the first of them may stand for
    all. Exact: the number is the sum, over one row of each table, of the products of their weights where every factor
    accepts. S is taken without regard to what else the rows say, so that to put the one for the other changes no term
    of that sum, whatever stands for what in the other tables by then.
    """

    adds: Mapping[int, tuple[State, ...]]
    limits: Numbers
    switch: int | None = None

    @cached_property
    def seats(self) -> frozenset[int]:
        """The seats on which it depends."""
        return frozenset(self.adds) if self.switch is None else frozenset((*self.adds, self.switch))

    def begun(self, seat: int) -> dict[State, State | None]:
        """The state of one seat's values by what they add; None: that alone is a no."""
        done, own = self.seats <= {seat}, self.adds[seat]
        canonical = self._beside([states for s, states in self.adds.items() if s != seat], [own])
        return {s: self._settled(s, done, self.switch is None, canonical) for s in own}

    def _beside(self, others: Sequence[Collection[State]], own: Sequence[Collection[State]]) -> _Canonical:
        count = max((len(s) for states in self.adds.values() for s in states if isinstance(s, tuple)), default=0)
        return _Canonical(self.limits, count, others, own)

    def _settled(self, state: State, done: bool, judged: bool, canonical: _Canonical) -> State | None:
        if isinstance(state, tuple):
            if done:
                return state if self.allows(state) else None
            state = canonical.of(state)
        return None if state == ABSENT and judged else state

    def allows(self, state: State) -> bool:
        """Whether a state of all seats together is no no, where the stack is judged."""
        if not isinstance(state, tuple):
            return state != ABSENT
        several = len(self.limits)
        return any(
            all(n <= limit for n, limit in zip(state[i : i + several], self.limits, strict=True))
            for i in range(0, len(state), several)
        )

    def joining(self, one: Group, other: Group, others: Sequence[Collection[State]]) -> Join:
        """The sum of both, or its representative; judged when all seats are there."""
        group = one.seats | other.seats
        done, judged = self.seats <= group, self.switch is None or self.switch in group
        canonical = self._beside(others, [one.states, other.states])

        def join(left: State, right: State) -> State | None:
            return self._settled(_added(left, right), done, judged, canonical)

        return join if done or len(canonical.rankings) != 1 else canonical.quick(join, judged)

    def partners(self, one: Group, other: Group, where: Mapping[State, int]) -> Mapping[State, int]:
        """Where all seats are there, by the order of the sums; else all may go together."""
        if not self.seats <= one.seats | other.seats:
            return dict.fromkeys(one.states, reduce(or_, where.values(), 0))
        partners = _Partners(self, where)
        return {state: partners.of(state) for state in one.states}


class _Partners:
    """The states of one group that go with one of all other seats: sums in order, with the bits of all before."""

    def __init__(self, factor: Sum, where: Mapping[State, int]) -> None:
        self.factor, self.where = factor, where
        self._every = reduce(or_, where.values(), 0)
        sums = [s for s in where if isinstance(s, tuple)]
        self._ordered = [self._in_order((s[i], where[s]) for s in sums) for i in range(len(sums[0]) if sums else 0)]

    @staticmethod
    def _in_order(ends: Iterable[tuple[int, int]]) -> tuple[list[int], list[int]]:
        """Numbers in order, and for each the bits of it and of all before it."""
        ordered = sorted(ends)
        return [number for number, _ in ordered], [*accumulate((bits for _, bits in ordered), or_)]

    def of(self, state: State) -> int:
        """The bits of those that go with a state."""
        if state == IDLE:
            return self._every
        if state == ABSENT:
            return self.where.get(IDLE, 0)
        bits = self._every & ~self.where.get(ABSENT, 0)
        if state == FREE:
            return bits
        if state == NOTHING:
            return reduce(or_, (there for s, there in self.where.items() if self.factor.allows(s)), 0)
        assert isinstance(state, tuple)
        loose = reduce(or_, (self.where.get(s, 0) for s in (IDLE, FREE)), 0)
        if self.factor.allows(state):
            loose |= self.where.get(NOTHING, 0)
        limits = self.factor.limits
        for i in range(0, len(self._ordered), len(limits)):
            belief = zip(state[i:], limits, self._ordered[i:], strict=False)
            loose |= reduce(and_, (self._up_to(ordered, limit - number) for number, limit, ordered in belief))
        return loose

    @staticmethod
    def _up_to(ordered: tuple[list[int], list[int]], most: int) -> int:
        """The bits of all numbers that are not above this."""
        numbers, bits = ordered
        i = bisect_right(numbers, most)
        return bits[i - 1] if i else 0


def _added(left: State, right: State) -> State:
    if isinstance(left, tuple) and isinstance(right, tuple):
        return tuple(map(add, left, right))
    for strongest in (IDLE, ABSENT, FREE):
        if strongest in (left, right):
            return strongest
    return right if left == NOTHING else left


class _Canonical:
    """Representatives of running sums, beside what the rest of the seats can add; ``known`` by their ranks."""

    def __init__(
        self, limits: Numbers, count: int, rest: Sequence[Collection[State]], own: Sequence[Collection[State]]
    ) -> None:
        self.several = len(limits)
        self.may_miss = any(s in (FREE, ABSENT) for states in rest for s in states)
        self.rankings = [
            _ranking(limits[i % len(limits)], [_numbers(states, i) for states in rest], [_numbers(s, i) for s in own])
            for i in range(count)
        ]
        self.known: dict[Numbers, State] = {}

    def ranks(self, sums: Numbers) -> Numbers:
        """How many of the limits that some rest leaves each sum is above."""
        return tuple([ranking.of(number) for ranking, number in zip(self.rankings, sums)])  # noqa: B905 (many)

    def of(self, sums: Numbers) -> State:
        """The representative; FREE where no rest makes it a no, ABSENT where each does."""
        ranks = self.ranks(sums)
        if ranks not in self.known:
            self.known[ranks] = self._decided(ranks) or sums
        return self.known[ranks]

    def quick(self, slow: Join, judged: bool) -> Join:
        """The same for a single number each, of which there are most: without a way through all cases."""
        rank, by_rank = self.rankings[0].of, dict[int, State]()

        def join(left: State, right: State) -> State | None:
            if left.__class__ is not tuple or right.__class__ is not tuple:
                return slow(left, right)
            number = left[0] + right[0]
            found = by_rank.get(place := rank(number))
            if found is None:
                state = self.of((number,))
                found = by_rank[place] = None if state == ABSENT and judged else state
            return found

        return join

    def _decided(self, ranks: Numbers) -> State:
        by_belief = [
            [*zip(ranks[i : i + self.several], self.rankings[i : i + self.several], strict=True)]
            for i in range(0, len(ranks), self.several)
        ]
        if any(not any(rank for rank, _ in belief) for belief in by_belief):
            return FREE
        if not self.may_miss and all(any(rank == all_.most for rank, all_ in belief) for belief in by_belief):
            return ABSENT
        return None


def _numbers(states: Iterable[State], i: int) -> set[int]:
    """What some states add to one of the sums."""
    return {s[i] if isinstance(s, tuple) else 0 for s in states}


class _Ranking(msgspec.Struct, frozen=True):
    """How many limits a number is above; ``most``: how many there are. Of too many only the bounds are known, and each
    whole number between them is one."""

    of: Callable[[int], int]
    most: int


def _among(limits: Sequence[int]) -> _Ranking:
    return _Ranking(partial(bisect_left, limits), len(limits))


def _between(least: int, most: int) -> _Ranking:
    return _Ranking(lambda n: 0 if n <= least else min(n, most + 1) - least, most + 1 - least)


def _least(several: Iterable[set[int]]) -> int:
    """The least sum of one number from each; where nothing at all may stand somewhere there is no row to sum up."""
    return sum(min(numbers, default=0) for numbers in several)


def _most(several: Iterable[set[int]]) -> int:
    return sum(max(numbers, default=0) for numbers in several)


def _ranking(limit: int, rest: Sequence[set[int]], own: Sequence[set[int]]) -> _Ranking:
    """The values of a running sum at which some rest's sum meets the limit, with the least and the greatest of them,
    and none else that lies beyond all ``own`` sums."""
    nearest, farthest = limit - _most(own), limit - _least(own)  # what a rest adds that matters
    below, above = _least(rest), _most(rest)
    ends = {limit - below, limit - above}
    sums = {0}
    for numbers in sorted(rest, key=len):
        below, above = below - min(numbers, default=0), above - max(numbers, default=0)
        if len(sums) * len(numbers) > 10 * MOST_SUMS:
            return _between(min(ends), max(ends))
        sums = {s for a, b in product(sums, numbers) if nearest <= (s := a + b) + above and s + below <= farthest}
        if len(sums) > MOST_SUMS:
            return _between(min(ends), max(ends))
    return _among(sorted({limit - s for s in sums} | ends))
