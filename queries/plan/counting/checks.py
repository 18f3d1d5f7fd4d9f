"""A problem without a vehicle as a network: its seats, and every condition that swap.lp puts on a filling."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Sequence
from itertools import product
from math import prod

import msgspec

from knockon.graph.judge.figures import STEPS, TermValue, judge_figure, limits_of
from knockon.graph.model.layouts.layout import FigureAt, JointAt, Place
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.standing import lacks, partners_of
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
from knockon.queries.plan.counting.network import Factor, Network, State, network_of
from knockon.queries.plan.counting.seats import Seats
from knockon.queries.plan.counting.sums import ABSENT, FREE, NOTHING, Sum
from knockon.queries.plan.solving.facts import MOST_BELIEFS
from knockon.queries.plan.solving.problem import Problem

Columns = list[State | None]
"""The state of each value of a seat; None: ruled out."""


def network_for(problem: Problem) -> tuple[Network, frozenset[int]]:
    """The network of a problem, and which of its seats are choices. Raises TooLargeError.

    Without a vehicle nothing stays, goes or is undone: every joint of two filled places counts, and every stack and
    figure of which a place is filled. Of each check only a no matters; a joint's hangs on the two interface classes
    alone, since no claim, note, set or standing makes a no of what is none, or none of what is one.
    """
    builder = _Builder(Seats(problem))
    builder.build()
    choices = range(len(builder.seats.all), len(builder.states))
    return builder.network(), frozenset(choices)


class _Builder:
    def __init__(self, seats: Seats) -> None:
        self.seats, self.problem = seats, seats.problem
        self.factors: list[Factor] = []
        self._sums: list[int] = []
        self.weights = [[1] * len(s.values) for s in seats.all] + [list(c.weights) for c in seats.choices]
        self.states: list[dict[int, Columns]] = [{} for _ in self.weights]

    def build(self) -> None:
        """Put in every condition."""
        self._choices()
        for place in self.problem.places.all:
            self._dependent(place)
        self._sets()
        joints: dict[tuple[int, int, str], list[JointAt]] = {}
        for at in self.problem.places.joints:
            ends = self.seats.number_of[at.first], self.seats.number_of[at.second]
            joints.setdefault((*ends, at.joint.arrangement), []).append(at)
        for (first, second, arrangement), several in joints.items():
            self._joint(first, second, arrangement, several)
        for figure in self.problem.places.figures:
            self._figure(figure)

    def network(self) -> Network:
        """What has been put in."""
        return network_of(self.factors, self.states, self.weights)

    def _put(self, factor: Factor, states: dict[int, Columns]) -> None:
        assert factor.seats == frozenset(states)
        for seat, column in states.items():
            self.states[seat][len(self.factors)] = column
        self.factors.append(factor)

    # ---- arrangements

    def _choices(self) -> None:
        for number, choice in enumerate(self.seats.choices):
            seat = self.seats.seat_of_choice(number)
            by_seat: dict[int, list[Place]] = {}
            for arrangement in self.problem.places.layout.choices[number].arrangements:
                for place in self.seats.places_in(arrangement):
                    by_seat.setdefault(self.seats.number_of[place], []).append(place)
            states: dict[int, Columns] = {seat: [1 << i for i in range(len(choice.ways))]}
            for here, places in by_seat.items():
                states[here] = self._ways_left(number, places)
            self._put(AllHold(frozenset(states)), states)
        for place in self.problem.places.all:
            arrangement = self.problem.places.positions[place.position].arrangement
            here = self.seats.number_of[place]
            if not arrangement:
                self._alone(here, [c is not None or not self.seats.is_needed(place) for c in self.seats.at(place)])
            elif self.seats.choice_of(arrangement) is None:
                self._alone(here, [c is None for c in self.seats.at(place)])

    def _ways_left(self, choice: int, places: list[Place]) -> Columns:
        """The ways of a choice that each value of a seat leaves: a filled place stands in its arrangement alone, and a
        needed one that is empty in none that holds."""
        ways = self.seats.choices[choice].ways
        found = [(1 << len(ways)) - 1] * len(self.seats.at(places[0]))
        for place in places:
            arrangement = self.problem.places.positions[place.position].arrangement
            alone = sum(1 << i for i, way in enumerate(ways) if way == {arrangement})
            without = sum(1 << i for i, way in enumerate(ways) if arrangement not in way)
            empty = without if self.seats.is_needed(place) else (1 << len(ways)) - 1
            found = [b & (empty if c is None else alone) for b, c in zip(found, self.seats.at(place), strict=True)]
        return [bits or None for bits in found]

    def _alone(self, seat: int, allowed: Sequence[bool]) -> None:
        """What one seat's value decides by itself."""
        self._put(Alike(frozenset((seat,))), {seat: [True if ok else None for ok in allowed]})

    def _switch(self, arrangement: str, active: State, idle: State) -> tuple[int, Columns] | None:
        """The seat of the choice of a check's arrangement, with the check's state in each of its ways."""
        choice = self.seats.choice_of(arrangement)
        if choice is None:
            return None
        ways = self.seats.choices[choice].ways
        return self.seats.seat_of_choice(choice), [active if arrangement in way else idle for way in ways]

    def _never(self, arrangement: str) -> bool:
        return bool(arrangement) and self.seats.choice_of(arrangement) is None

    def _is_implied(self, arrangement: str, places: Sequence[Place]) -> bool:
        """Whether an arrangement holds wherever these places are filled."""
        positions = self.problem.places.positions
        return not arrangement or any(positions[p.position].arrangement == arrangement for p in places)

    # ---- places needed with others, sets

    def _dependent(self, place: Place) -> None:
        position = self.problem.places.positions[place.position]
        partners = partners_of(self.problem.places, place)
        if not partners:
            return
        catalogue, feature = self.problem.checks.catalogue, position.lacking_feature
        calls: dict[int, list[bool]] = {}
        for partner in partners:
            here = [
                c is not None and (not feature or lacks(catalogue, c.thing, feature)) for c in self.seats.at(partner)
            ]
            seat = self.seats.number_of[partner]
            calls[seat] = [a or b for a, b in zip(calls.get(seat, here), here, strict=True)]
        own = self.seats.number_of[place]
        filled = [c is not None for c in self.seats.at(place)]
        always = None if position.arrangement else True
        states: dict[int, Columns] = {s: [(called, None, None) for called in column] for s, column in calls.items()}
        called = calls.get(own, [False] * len(filled))
        states[own] = [(call, there, always) for call, there in zip(called, filled, strict=True)]
        if position.arrangement:
            switch = self._switch(position.arrangement, (False, None, True), (False, None, False))
            if switch is None:
                return  # never open: empty already
            states[switch[0]] = switch[1]
        if len(states) == 1:
            states[own] = [s if holds(*s) else None for s in states[own]]  # type: ignore[misc]
        self._put(CalledFor(frozenset(states)), states)

    def _sets(self) -> None:
        """Uses of sets by the seats of their members; the seats of one such group say the same of all its uses."""
        members: dict[tuple[str, str], list[Candidate]] = {}
        for candidate in self.problem.numbered:
            if candidate.set_use is not None:
                members.setdefault(candidate.set_use, []).append(candidate)
        groups: dict[frozenset[int], dict[tuple[str, str], int]] = {}
        for use, candidates in members.items():
            seats = frozenset(self.seats.number_of[c.place] for c in candidates)
            uses = groups.setdefault(seats, {})
            uses[use] = len(uses)
        for seats, uses in groups.items():
            states = {seat: self._uses_in(seat, uses, members) for seat in sorted(seats)}
            self._put(Alike(seats), states)

    def _uses_in(
        self, seat: int, uses: dict[tuple[str, str], int], members: dict[tuple[str, str], list[Candidate]]
    ) -> Columns:
        """The uses of sets in each value of a seat; None where it has a part of one."""
        whole = {use: sum(self.seats.number_of[c.place] == seat for c in members[use]) for use in uses}
        found: Columns = []
        for value in self.seats.all[seat].values:
            there = [c.set_use for c in value if c is not None and c.set_use in uses]
            right = all(there.count(use) == whole[use] for use in there if use is not None)
            found.append(tuple(sorted({uses[use] for use in there if use is not None})) if right else None)
        return found

    # ---- joints

    def _joint(self, first: int, second: int, arrangement: str, several: list[JointAt]) -> None:
        """All joints between two seats of one arrangement: of both corners, and of several names."""
        if self._never(arrangement):
            return
        firsts, seconds = self._classes(several, 0), self._classes(several, 1)
        if first == second:
            pairs = list(zip(firsts, seconds, strict=True))
            left = [[self._masks(at, [a], [b], i)[0] for a, b in pairs] for i, at in enumerate(several)]
            self._alone(first, [all(of[k] for of in left) for k in range(len(pairs))])
            return

        def allowed(ones: list[Hashable], others: list[Hashable]) -> list[int]:
            masks = [(1 << len(others)) - 1] * len(ones)
            for i, at in enumerate(several):
                for k, mask in enumerate(self._masks(at, ones, others, i)):  # type: ignore[arg-type]
                    masks[k] &= mask
            return masks

        rows, columns, bits = rows_and_columns(firsts, seconds, allowed)
        if len(bits) == 1 and not any(columns) and bits[0]:
            return  # it rules nothing out
        places = [p for at in several for p in (at.first, at.second)]
        if self._is_implied(arrangement, places):
            self._put(Joint(first, second, bits), {first: [*rows], second: [*columns]})
            return
        switch = self._switch(arrangement, (("is", ACTIVE),), (("is", IDLE),))
        assert switch is not None
        states = {first: [*as_known("row", rows)], second: [*as_known("column", columns)], switch[0]: switch[1]}
        self._put(Joint(first, second, bits, switch[0]), states)

    def _classes(self, several: list[JointAt], end: int) -> list[tuple[int | None, ...]]:
        """The interface classes of each value of a seat at some joints; None where the place is empty."""
        checks = self.problem.checks
        found = []
        for at in several:
            rule, here = checks.rule_of(at), at.ends[end]
            found.append(
                [
                    None if c is None else checks.interface_class(rule, rule.ends[end], c.thing, here.feature)
                    for c in self.seats.at(here.place)
                ]
            )
        return [*zip(*found, strict=True)]

    def _masks(
        self,
        at: JointAt,
        ones: Sequence[tuple[int | None, ...]],
        others: Sequence[tuple[int | None, ...]],
        index: int,
    ) -> list[int]:
        """For each first key the bits of the seconds that this joint leaves to it; an empty place rules nothing out."""
        every = (1 << len(others)) - 1
        there = [bit for bit, other in enumerate(others) if other[index] is not None]
        empty = sum(1 << bit for bit, other in enumerate(others) if other[index] is None)
        here = [one[index] for one in ones if one[index] is not None]
        if not there or not here:
            return [every] * len(ones)
        some = others[there[0]][index]  # stands in for an empty place, whose bit is put right
        seconds = [some if other[index] is None else other[index] for other in others]
        noes = iter(self.problem.checks.ruled_out(at, 0, here, seconds))  # type: ignore[arg-type]
        return [every if one[index] is None else every & ~next(noes) | empty for one in ones]

    # ---- stacks and figures

    def _figure(self, at: FigureAt) -> None:
        if self._never(at.figure.arrangement):
            return
        if at.figure.formula and at.figure.compared_with != "as made":
            self._by_formula(at)
        elif at.figure.compared_with == "as made":
            self._by_sum(at, None, None)  # no vehicle, nothing as made: no sum is a no
        else:
            low, high = limits_of(at.figure, None)
            self._by_sum(at, *(None if limit is None else round(limit * STEPS) for limit in (low, high)))

    def _terms(self, at: FigureAt, place: Place) -> Iterator[tuple[int, list[TermValue | None]]]:
        """The terms of a figure in one place, and what each value of its seat adds; None where it is empty."""
        for i, where in enumerate(at.places):
            if where == place:
                yield i, [None if c is None else self.problem.checks.term(at, i, c) for c in self.seats.at(place)]

    def _by_sum(self, at: FigureAt, low: int | None, high: int | None) -> None:
        term = self.problem.checks.term
        terms = {i: column for p in dict.fromkeys(at.places) for i, column in self._terms(at, p)}
        counts = [
            max((t.beliefs for c in self.problem.candidates[p] if (t := term(at, i, c)).is_sized), default=1)
            for i, p in enumerate(at.places)
        ]
        spanned = prod(counts) > MOST_BELIEFS
        beliefs = [*product(*(range(1 if spanned else count) for count in counts))]
        adds: dict[int, Columns] = {}
        for place in dict.fromkeys(at.places):
            here = [(i, column) for i, column in terms.items() if at.places[i] == place]
            adder = _Adder(at, low, high, None if spanned else beliefs)
            values = range(len(self.seats.at(place)))
            seat = self.seats.number_of[place]
            assert seat not in adds  # a figure stands in one corner
            adds[seat] = [adder.of([(i, column[v]) for i, column in here]) for v in values]
        switch = None
        if at.figure.arrangement:
            switch = self._switch(at.figure.arrangement, NOTHING, IDLE)
            assert switch is not None
        kept = {seat: tuple(dict.fromkeys(column)) for seat, column in adds.items()}
        if all(s in (NOTHING, FREE) for states in kept.values() for s in states):
            return  # nothing to judge
        limits = tuple(limit for limit in (None if low is None else -low, high) if limit is not None)
        factor = Sum(kept, limits, switch[0] if switch else None)
        states: dict[int, Columns] = {}
        for seat, column in adds.items():
            begun = factor.begun(seat)
            states[seat] = [begun[s] for s in column]
        if switch:
            states[switch[0]] = switch[1]
        if not any(self._is_same(other, factor, states) for other in self._sums):
            self._sums.append(len(self.factors))
            self._put(factor, states)

    def _is_same(self, number: int, factor: Sum, states: dict[int, Columns]) -> bool:
        """Whether a sum says what an earlier one does: mostly that of the other corner."""
        other = self.factors[number]
        assert isinstance(other, Sum)
        same = (other.limits, other.seats) == (factor.limits, factor.seats)
        return same and all(self.states[seat][number] == column for seat, column in states.items())

    def _by_formula(self, at: FigureAt) -> None:
        """States are what is known of each of the figure's seats: the values of its terms, or that it is empty."""
        places = tuple(dict.fromkeys(at.places))
        order = tuple(self.seats.number_of[p] for p in places)
        states: dict[int, Columns] = {}
        for k, place in enumerate(places):
            columns = [column for _, column in self._terms(at, place)]
            states[order[k]] = [
                tuple(tuple(c) if i == k else None for i in range(len(places))) for c in zip(*columns, strict=True)
            ]
        switch = self._switch(at.figure.arrangement, ACTIVE, IDLE) if at.figure.arrangement else None
        if switch:
            states[switch[0]] = switch[1]
        factor = Tabulated(order, _ruled_out_by(self.problem, at, places), switch[0] if switch else None)
        if len(states) == 1:
            states[order[0]] = [None if factor.is_no(s) else s for s in states[order[0]]]  # type: ignore[arg-type]
        self._put(factor, states)


class _Adder(msgspec.Struct, frozen=True):
    """What the terms of one place add to a sum, as in the facts for swap.lp; ``beliefs`` None: the span of all."""

    at: FigureAt
    low: int | None
    high: int | None
    beliefs: list[tuple[int, ...]] | None

    def of(self, terms: list[tuple[int, TermValue | None]]) -> State:
        """The state of one value: nothing, absent, free (a size is missing), or its sums by belief."""
        known = [(i, t) for i, t in terms if t is not None]
        if not known:
            return NOTHING
        if any(t.absent for _, t in known):
            return ABSENT
        if any(not t.is_sized for _, t in known) or (self.low is None and self.high is None):
            return FREE
        factors = [term.factor for term in self.at.figure.terms]
        if (self.low is None or self.high is None) and self.beliefs is not None:
            return (sum(self._best(factors[i], t) for i, t in known),)
        found: list[int] = []
        for belief in self.beliefs or ((),):
            ends = [t.worst_steps(factors[i], belief[i] if belief else None) for i, t in known]
            found += [-sum(most for _, most in ends)] if self.low is not None else []
            found += [sum(least for least, _ in ends)] if self.high is not None else []
        return tuple(found)

    def _best(self, factor: float, term: TermValue) -> int:
        """What a term adds under the belief that serves one limit best. With one limit it holds under some combination
        of beliefs if it does under that of the best of each term, as each term is believed by itself."""
        ends = [term.worst_steps(factor, belief) for belief in range(term.beliefs)]
        return min(-most for _, most in ends) if self.low is not None else min(least for least, _ in ends)


def _ruled_out_by(problem: Problem, at: FigureAt, places: tuple[Place, ...]) -> Callable[[tuple[Hashable, ...]], bool]:
    empty = {i: problem.checks.term(at, i, None) for i in range(len(at.places))}

    def is_no(values: tuple[Hashable, ...]) -> bool:
        terms: list[TermValue] = []
        for i, place in enumerate(at.places):
            here = values[places.index(place)]
            assert isinstance(here, tuple)
            term = here[at.places[:i].count(place)]
            terms.append(empty[i] if term is None else term)
        if all(v is None for here in values for v in here):  # type: ignore[attr-defined]
            return False  # of nothing there is nothing to judge
        return judge_figure(at.figure, terms, None).verdict.is_no

    return is_no
