"""Counting by contraction, beside trying every filling of small random networks of all sorts of factor."""

from __future__ import annotations

import random
from collections.abc import Callable, Hashable, Sequence
from itertools import product

import pytest

from knockon.queries.plan.counting import network
from knockon.queries.plan.counting.factors import (
    ACTIVE,
    IDLE,
    Alike,
    AllHold,
    CalledFor,
    Joint,
    Tabulated,
    as_known,
    holds,
    rows_and_columns,
)
from knockon.queries.plan.counting.network import (
    Factor,
    Network,
    State,
    TooLargeError,
    network_of,
    number_of_fillings,
)
from knockon.queries.plan.counting.sums import ABSENT, FREE, NOTHING, Sum

Holds = Callable[[Sequence[int]], bool]
"""Whether a condition holds of the values of all seats."""


class Random:
    """A network of some seats with a few values each, and beside each factor the same condition in plain words."""

    def __init__(self, seed: int) -> None:
        self.dice = random.Random(seed)
        self.values = [self.dice.randint(1, 4) for _ in range(self.dice.randint(2, 6))]
        self.weights = [[self.dice.randint(1, 3) for _ in range(n)] for n in self.values]
        self.factors: list[Factor] = []
        self.states: list[dict[int, Sequence[State | None]]] = [{} for _ in self.values]
        self.conditions: list[Holds] = []
        sorts = [self.joint, self.all_hold, self.alike, self.called_for, self.sum, self.sum, self.tabulated]
        for _ in range(self.dice.randint(1, 6)):
            self.dice.choice(sorts)()

    def some(self, least: int = 2) -> list[int]:
        """Some seats."""
        return self.dice.sample(range(len(self.values)), self.dice.randint(min(2, least), min(4, len(self.values))))

    def put(self, factor: Factor, states: dict[int, Sequence[State | None]], condition: Holds) -> None:
        """Add a factor with the states of its seats' values."""
        for seat, column in states.items():
            self.states[seat][len(self.factors)] = column
        self.factors.append(factor)
        self.conditions.append(condition)

    def switch(self, seats: list[int]) -> tuple[int | None, list[bool]]:
        """Sometimes another seat in some of whose values alone a factor counts."""
        others = [s for s in range(len(self.values)) if s not in seats]
        if not others or self.dice.random() < 0.5:
            return None, []
        seat = self.dice.choice(others)
        return seat, [self.dice.random() < 0.5 for _ in range(self.values[seat])]

    def joint(self) -> None:
        first, second = self.dice.sample(range(len(self.values)), 2)
        goes = [[self.dice.random() < 0.6 for _ in range(self.values[second])] for _ in range(self.values[first])]

        def there(a: Hashable, b: Hashable) -> bool:
            assert isinstance(a, int) and isinstance(b, int)
            return goes[a][b]

        def allowed(ones: list[Hashable], others: list[Hashable]) -> list[int]:
            return [sum(1 << i for i, b in enumerate(others) if there(a, b)) for a in ones]

        firsts, seconds = range(self.values[first]), range(self.values[second])
        rows, columns, bits = rows_and_columns(firsts, seconds, allowed)
        seat, active = self.switch([first, second])
        if seat is None:
            self.put(Joint(first, second, bits), {first: rows, second: columns}, lambda v: goes[v[first]][v[second]])
            return
        states: dict[int, Sequence[State | None]] = {
            first: as_known("row", rows),
            second: as_known("column", columns),
            seat: [(("is", ACTIVE if on else IDLE),) for on in active],
        }
        self.put(Joint(first, second, bits, seat), states, lambda v: not active[v[seat]] or goes[v[first]][v[second]])

    def all_hold(self) -> None:
        seats = self.some()
        left = {s: [self.dice.randint(1, 7) for _ in range(self.values[s])] for s in seats}
        self.put(
            AllHold(frozenset(seats)),
            dict(left),
            lambda v: any(all(left[s][v[s]] >> i & 1 for s in seats) for i in range(3)),
        )

    def alike(self) -> None:
        seats = self.some()
        same = {s: [self.dice.choice([(), (1,), None]) for _ in range(self.values[s])] for s in seats}
        self.put(
            Alike(frozenset(seats)),
            dict(same),
            lambda v: len({same[s][v[s]] for s in seats}) == 1 and same[seats[0]][v[seats[0]]] is not None,
        )

    def called_for(self) -> None:
        own, *others = self.some()
        filled = [self.dice.random() < 0.5 for _ in range(self.values[own])]
        calls = {s: [self.dice.random() < 0.5 for _ in range(self.values[s])] for s in others}
        states: dict[int, Sequence[State | None]] = {s: [(c, None, None) for c in calls[s]] for s in others}
        states[own] = [(False, f, True) for f in filled]
        self.put(
            CalledFor(frozenset(states)),
            states,
            lambda v: holds(any(calls[s][v[s]] for s in others), filled[v[own]], True),
        )

    def sum(self) -> None:
        """One or two limits, one or two beliefs; absent beats missing beats a sum, and of nothing there is nothing."""
        seats, beliefs = self.some(), self.dice.choice([1, 1, 2])
        limits = tuple(self.dice.randint(-5, 9) for _ in range(self.dice.choice([1, 2])))
        size = beliefs * len(limits)
        adds: dict[int, list[State]] = {}
        for seat in seats:
            kinds = self.dice.choices([NOTHING, FREE, ABSENT, "sum"], [2, 1, 1, 8], k=self.values[seat])
            adds[seat] = [tuple(self.dice.randint(-4, 6) for _ in range(size)) if k == "sum" else k for k in kinds]
        switch, active = self.switch(seats)
        factor = Sum({s: tuple(dict.fromkeys(column)) for s, column in adds.items()}, limits, switch)
        states: dict[int, Sequence[State | None]] = {}
        for seat in seats:
            begun = factor.begun(seat)
            states[seat] = [begun[s] for s in adds[seat]]
        if switch is not None:
            states[switch] = [NOTHING if on else IDLE for on in active]

        def condition(v: Sequence[int]) -> bool:
            if switch is not None and not active[v[switch]]:
                return True
            there = [adds[s][v[s]] for s in seats]
            if ABSENT in there:
                return False
            sums = [s for s in there if isinstance(s, tuple)]
            if FREE in there or not sums:
                return True
            total = [sum(s[i] for s in sums) for i in range(size)]
            several = len(limits)
            return any(
                all(n <= limit for n, limit in zip(total[i : i + several], limits, strict=True))
                for i in range(0, size, several)
            )

        self.put(factor, states, condition)

    def tabulated(self) -> None:
        seats = self.some()
        groups = {s: [self.dice.randint(0, 2) for _ in range(self.values[s])] for s in seats}
        most = self.dice.randint(0, 5)

        def is_no(values: tuple[Hashable, ...]) -> bool:
            return sum(values) > most  # type: ignore[arg-type]

        states: dict[int, Sequence[State | None]] = {
            s: [tuple(g if i == k else None for i in range(len(seats))) for g in groups[s]] for k, s in enumerate(seats)
        }
        switch, active = self.switch(seats)
        if switch is not None:
            states[switch] = [ACTIVE if on else IDLE for on in active]
        self.put(
            Tabulated(tuple(seats), is_no, switch),
            states,
            lambda v: (switch is not None and not active[v[switch]]) or sum(groups[s][v[s]] for s in seats) <= most,
        )

    def network(self) -> Network:
        """The network."""
        return network_of(self.factors, self.states, self.weights)

    def tried(self) -> int:
        """The number of fillings, each tried."""
        number = 0
        for values in product(*(range(n) for n in self.values)):
            if all(condition(values) for condition in self.conditions):
                weight = 1
                for seat, value in enumerate(values):
                    weight *= self.weights[seat][value]
                number += weight
        return number


@pytest.mark.parametrize("first", range(0, 1200, 100))
def test_a_contraction_counts_what_trying_every_filling_finds(first: int) -> None:
    found = [(seed, Random(seed)) for seed in range(first, first + 100)]
    counted = {seed: number_of_fillings(made.network()) for seed, made in found}
    assert counted == {seed: made.tried() for seed, made in found}
    assert len({number for number in counted.values() if number}) > 20  # not all trivial


@pytest.mark.parametrize("most", [0, 2])
def test_sums_that_are_too_many_to_sort_are_told_apart_by_their_bounds(
    monkeypatch: pytest.MonkeyPatch, most: int
) -> None:
    monkeypatch.setattr("knockon.queries.plan.counting.sums.MOST_SUMS", most)
    for seed in range(200):
        made = Random(seed)
        assert number_of_fillings(made.network()) == made.tried(), seed


def test_a_join_is_guessed_at_by_some_of_its_rows_without_another_number(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(network, "SMALL", 0)
    for seed in range(200):
        made = Random(seed)
        assert number_of_fillings(made.network()) == made.tried(), seed


def test_what_is_too_large_is_not_counted_and_a_thinned_network_counts_no_more(monkeypatch: pytest.MonkeyPatch) -> None:
    for seed in range(100):
        made = Random(seed)
        whole = made.tried()
        assert number_of_fillings(made.network().thinned(1, frozenset())) <= whole
        assert number_of_fillings(made.network().thinned(1, frozenset(range(9)))) == whole
    monkeypatch.setattr(network, "MOST_WORK", 3)
    with pytest.raises(TooLargeError):
        number_of_fillings(Random(7).network())
