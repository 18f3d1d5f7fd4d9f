"""Stacks as running sums: what a group of seats adds, as far as the limits tell sums apart."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Mapping, Sequence
from functools import cached_property
from itertools import product

import msgspec

from knockon.queries.plan.counting.factors import IDLE
from knockon.queries.plan.counting.network import Join, State

NOTHING = "nothing"
"""No place of the stack is filled, or the choice that it stands in is the right one: nothing is added."""
FREE = "free"
"""A size is missing, or whatever the others add the sum is allowed: nothing is to be judged."""
ABSENT = "absent"
"""A feature is known absent: a no, where the stack is judged at all."""
MOST_SUMS = 20_000
"""Where the other seats can add more different sums than this, running sums are told apart by their bounds only."""

Belief = tuple[int, int]
"""Under one combination of beliefs: (what counts against the lower limit, what counts against the upper one)."""
Sums = tuple[Belief, ...]


class Sum(msgspec.Struct, frozen=True, dict=True):
    """A signed sum over seats, in whole steps, which lies in [low, high] under at least one combination of beliefs.

    ``adds[seat]`` are the different states of the seat's values: NOTHING, FREE, ABSENT, or its sums by belief. With a
    ``switch`` it is judged in some values of that seat only (state NOTHING; else IDLE).

    Running sums that no rest tells apart are one. For one belief let r be what the group adds and s what the other
    seats can add, any of the sums in S. The lower limit holds if r >= low - s. So two values of r between the same
    neighbours of the sorted limits {low - s : s in S} are accepted with the same s, and the first of them stands for
    all; likewise for the upper limit. S is taken without regard to what goes together, so it holds every sum that
    occurs, and also every sum of representatives: each of those is a sum that its group can add.
    """

    adds: Mapping[int, tuple[State, ...]]
    low: int | None
    high: int | None
    switch: int | None = None

    @cached_property
    def seats(self) -> frozenset[int]:
        """The seats on which it depends."""
        return frozenset(self.adds) if self.switch is None else frozenset((*self.adds, self.switch))

    @cached_property
    def _beliefs(self) -> int:
        return max((len(s) for states in self.adds.values() for s in states if isinstance(s, tuple)), default=1)

    @cached_property
    def _canonical(self) -> dict[frozenset[int], _Canonical]:
        return {}

    def begun(self, seat: int) -> dict[State, State | None]:
        """The state of one seat's values by what they add; None: that alone is a no."""
        group = frozenset((seat,))
        done, canonical = self.seats <= group, self._of(group)
        return {s: self._settled(s, done, self.switch is None, canonical) for s in self.adds[seat]}

    def _of(self, group: frozenset[int]) -> _Canonical:
        if group not in self._canonical:
            rest = [self.adds[s] for s in self.adds if s not in group]
            self._canonical[group] = _Canonical(rest, self.low, self.high, self._beliefs)
        return self._canonical[group]

    def _settled(self, state: State, done: bool, judged: bool, canonical: _Canonical) -> State | None:
        if state == ABSENT and judged:
            return None
        if not isinstance(state, tuple):
            return state
        if done:
            return state if self._allowed(state) else None
        found = canonical.of(state)
        return ABSENT if found is None and not judged else found  # a no for certain, if it is judged

    def _allowed(self, sums: Sums) -> bool:
        return any(
            (self.low is None or above >= self.low) and (self.high is None or below <= self.high)
            for above, below in sums
        )

    def joining(self, one: frozenset[int], other: frozenset[int]) -> Join:
        """The sum of both, or its representative; judged when all seats are there."""
        group = one | other
        done, judged = self.seats <= group, self.switch is None or self.switch in group
        canonical = self._of(group & frozenset(self.adds))

        def join(left: State, right: State) -> State | None:
            return self._settled(_added(left, right), done, judged, canonical)

        return join


def _added(left: State, right: State) -> State:
    for strongest in (IDLE, ABSENT, FREE):
        if strongest in (left, right):
            return strongest
    if NOTHING in (left, right):
        return right if left == NOTHING else left
    assert isinstance(left, tuple) and isinstance(right, tuple)
    return tuple((a + c, b + d) for (a, b), (c, d) in zip(left, right, strict=True))


class _Canonical:
    """Representatives of running sums, beside what the rest of the seats can add."""

    def __init__(self, rest: Sequence[tuple[State, ...]], low: int | None, high: int | None, beliefs: int) -> None:
        self._may_miss = any(s in (FREE, ABSENT) for states in rest for s in states)
        self._limits = [
            (
                _limits(low, [_numbers(states, b, 0) for states in rest]),
                _limits(high, [_numbers(states, b, 1) for states in rest]),
            )
            for b in range(beliefs)
        ]
        self._first: dict[tuple[tuple[int, int], ...], Sums] = {}

    def of(self, sums: Sums) -> State | None:
        """The representative; FREE where no rest makes it a no, None where each does."""
        ranks = tuple(
            (bisect_right(lows, above), bisect_left(highs, below))
            for (above, below), (lows, highs) in zip(sums, self._limits, strict=True)
        )
        if any(
            above == len(lows) and not below for (above, below), (lows, _) in zip(ranks, self._limits, strict=True)
        ):
            return FREE
        if not self._may_miss and all(
            (lows and not above) or (highs and below == len(highs))
            for (above, below), (lows, highs) in zip(ranks, self._limits, strict=True)
        ):
            return None
        return self._first.setdefault(ranks, sums)


def _numbers(states: Iterable[State], belief: int, side: int) -> set[int]:
    """What one seat can add under one belief, against the lower or the upper limit."""
    found = {s[belief][side] for s in states if isinstance(s, tuple)}
    return found | {0} if any(not isinstance(s, tuple) for s in states) else found


def _limits(limit: int | None, rest: Sequence[set[int]]) -> Sequence[int]:
    """The values of a running sum at which some rest's sum meets the limit, sorted; all whole numbers between the least
    and the greatest where they are too many."""
    if limit is None:
        return ()
    sums = {0}
    for numbers in rest:
        if len(sums) * len(numbers) > 50 * MOST_SUMS:
            break
        sums = {a + b for a, b in product(sums, numbers)}
        if len(sums) > MOST_SUMS:
            break
    else:
        return sorted(limit - s for s in sums)
    least, most = sum(map(min, rest)), sum(map(max, rest))
    return range(limit - most, limit - least + 1)
