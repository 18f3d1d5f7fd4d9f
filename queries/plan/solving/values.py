"""What may stand in the places of a relaxed plan, and what it costs by itself at least
(queries/plan/solving/bounds.py)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cached_property
from itertools import product

import msgspec

from knockon.graph.model.layouts.layout import Place
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.standing import partners_of
from knockon.queries.plan.solving.levels import CHANGES, NOT_KNOWN, PRICE, TOLD, priorities
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import Wanted

BITS = 40
"""Far more than any sum of one level takes."""


class Units:
    """Costs of several levels as one number, which compares as the levels do, one after the other."""

    def __init__(self, prefer: Iterable[str]) -> None:
        order = priorities(prefer)
        told = sorted(TOLD, key=order.__getitem__)
        self._shift = {level: BITS * i for i, level in enumerate(told)}
        self.of = {level: 1 << shift for level, shift in self._shift.items()}
        self.known = self.of[NOT_KNOWN]

    def packed(self, costs: Mapping[str, int]) -> int:
        """The costs of a filling as one number."""
        return sum(costs[level] * unit for level, unit in self.of.items())

    def no_less_known(self, most: int) -> int:
        """The greatest cost with no more than so many checks not known."""
        return (most + 1) * self.known - 1


class Value(msgspec.Struct, frozen=True):
    """What may stand in the places of a variable: the number of a candidate for each, or none for any; what it costs by
    itself at least."""

    members: tuple[int | None, ...]
    cost: int


class Values:
    """What may stand in the places of one problem, and what that costs by itself at least."""

    def __init__(self, problem: Problem, units: Units) -> None:
        self.problem, self.units = problem, units
        self._values: dict[tuple[tuple[Place, ...], frozenset[str] | None], list[Value]] = {}
        self._costs: dict[int, int] = {}

    def at(self, places: tuple[Place, ...], held: frozenset[str] | None) -> list[Value]:
        """What may stand in some places, under the axle rule where there are two."""
        key = places, held
        if key not in self._values:
            self._values[key] = list(self._made(places, held))
        return self._values[key]

    def _made(self, places: tuple[Place, ...], held: frozenset[str] | None) -> Iterator[Value]:
        ids = self.problem.ids
        if not self._is_closed(places[0], held):
            for together in self._alike(places):
                yield Value(tuple(ids[c] for c in together), sum(map(self._cost, together)))
        if not self._must_be_filled(places, held):
            yield Value((None,) * len(places), sum(self._cost_of_none(p, held) for p in places))

    def _alike(self, places: tuple[Place, ...]) -> Iterator[tuple[Candidate, ...]]:
        allowed = [[c for c in self.problem.candidates[p] if self._is_allowed(c)] for p in places]
        if len(places) == 1:
            yield from ((c,) for c in allowed[0])
            return
        keys: dict[str, tuple[list[Candidate], list[Candidate]]] = {}
        for hand, candidates in enumerate(allowed):
            for candidate in candidates:
                keys.setdefault(candidate.alike, ([], []))[hand].append(candidate)
        for both in keys.values():
            yield from product(*both)

    def _is_allowed(self, candidate: Candidate) -> bool:
        """What is due goes; a wanted place has what is asked; what must be kept is, or the same again."""
        place, problem = candidate.place, self.problem
        if candidate.stays and place in self._due:
            return False
        if place in problem.request.keep and not problem.keeps_number(candidate):
            return False
        return all(problem.grants(w, candidate) for w in self._wishes.get(place, ()))

    @cached_property
    def _wishes(self) -> dict[Place, list[Wanted]]:
        found: dict[Place, list[Wanted]] = {}
        for wanted in self.problem.request.wants:
            for place in wanted.places:
                found.setdefault(place, []).append(wanted)
        return found

    @cached_property
    def _due(self) -> frozenset[Place]:
        return frozenset(p for p in self.problem.places.all if self.problem.is_due(p))

    def _cost(self, candidate: Candidate) -> int:
        number = self.problem.ids[candidate]
        if number not in self._costs:
            self._costs[number] = 0 if candidate.stays else self._cost_of_new(candidate)
        return self._costs[number]

    def _cost_of_new(self, candidate: Candidate) -> int:
        place, units, offered = candidate.place, self.units.of, self.problem.offered
        cost = 0 if place in self._may_cost_nothing else units[CHANGES]
        if candidate.set_use is None:
            quantity = self.problem.places.positions[place.position].quantity
            price = offered.cents(candidate.number, quantity) - offered.savings.get(candidate.number, 0) * quantity
            cost += price * units[PRICE]
        return cost

    @cached_property
    def _may_cost_nothing(self) -> frozenset[Place]:
        """Places whose change may be no change of its own: what is there is due, of one use, or pressed in."""
        problem = self.problem
        there = (p for p in problem.places.all if p in problem.found or p in problem.perhaps)
        positions = problem.places.positions
        return frozenset(
            p for p in there if p in self._due or problem.is_one_use(p) or positions[p.position].pressed_in
        )

    def _cost_of_none(self, place: Place, held: frozenset[str] | None) -> int:
        """What is found and given up is a change, where the place is there still and called for by nothing else."""
        given_up = (
            held is not None
            and not self._is_closed(place, held)
            and place in self.problem.found
            and place not in self._may_cost_nothing
            and not partners_of(self.problem.places, place)
        )
        return self.units.of[CHANGES] if given_up else 0

    def _is_closed(self, place: Place, held: frozenset[str] | None) -> bool:
        arrangement = self.problem.places.positions[place.position].arrangement
        return held is not None and bool(arrangement) and arrangement not in held

    def _must_be_filled(self, places: Sequence[Place], held: frozenset[str] | None) -> bool:
        if any(p in self._wishes or p in self.problem.request.keep for p in places):
            return True
        return any(self._is_always_filled(p, held, ()) for p in places)

    def _is_always_filled(self, place: Place, held: frozenset[str] | None, asking: tuple[Place, ...]) -> bool:
        """Whether it is so in every filling: it is needed, or goes with what always is."""
        position = self.problem.places.positions[place.position]
        if self._is_closed(place, held) or (held is None and position.arrangement):
            return False
        partners = partners_of(self.problem.places, place)
        if not partners:
            return bool(position.need != "optional")
        if position.lacking_feature or place in asking:
            return False
        return any(self._is_always_filled(p, held, (*asking, place)) for p in partners)


class OpenFigure(msgspec.Struct, frozen=True):
    """Of a figure, by number: the candidates with which it is a no in every filling that has them (``never``), and
    those of one of its places with which it is not known (``not_known``)."""

    sort: str
    arrangement: str
    never: tuple[int, ...]
    not_known: tuple[int, ...]


def open_figures(problem: Problem) -> Iterator[OpenFigure]:
    """All figures that are judged. Of several places with something new that lacks a size one counts: a figure is not
    known once. It is the place that most figures read; so what lacks all its sizes costs most of them.

    Where a set may state a figure, or sources contradict each other whether a feature is there, it may be another
    unproven check, or none: nothing is told of it.
    """
    checks, ids = problem.checks, problem.ids
    reading: dict[Place, int] = {}
    for at in problem.figure_ids.values():
        for place in dict.fromkeys(at.places):
            reading[place] = reading.get(place, 0) + 1
    for at in problem.figure_ids.values():
        terms = [
            (place, c, checks.term(at, i, c)) for i, place in enumerate(at.places) for c in problem.candidates[place]
        ]
        never = tuple(dict.fromkeys(ids[c] for _, c, term in terms if term.absent and not c.stays))
        told = any(term.maybe_absent or checks.states_figure(at, c) for _, c, term in terms)
        hub = max(at.places, key=reading.__getitem__)
        open_ = (ids[c] for place, c, term in terms if place == hub and term.missing and not c.stays)
        yield OpenFigure(
            problem.sort_of[at.figure.figure], at.figure.arrangement, never, () if told else tuple(dict.fromkeys(open_))
        )
