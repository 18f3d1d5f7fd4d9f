"""The seats of a layout: what may stand in a position of both corners at once, and which arrangements hold."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property
from itertools import combinations

import msgspec

from knockon.graph.model.layouts.layout import Place
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.standing import partners_of
from knockon.queries.plan.counting.network import TooLargeError
from knockon.queries.plan.solving.problem import Problem

MOST_ALIKE = 12
"""Arrangements of one choice that can all be without a part, at most."""

Value = tuple[Candidate | None, ...]
"""What stands in each place of a seat; None: it is empty."""


class Seat(msgspec.Struct, frozen=True):
    """A position: on the vehicle one place, else its places in both corners, of which the axle rule leaves only pairs
    of the same number, or its mirror, and both empty."""

    places: tuple[Place, ...]
    values: tuple[Value, ...]


class Choice(msgspec.Struct, frozen=True):
    """A choice of arrangements: ``ways`` are what may hold, each with its weight.

    A filling is one, whichever arrangement holds. Mostly a filled place says which one does. Where none of the choice's
    places is filled several may hold, and the fillings that are consistent under at least one of them are wanted: by
    inclusion and exclusion those under each, less those under two at once, and so on. So the ways are all sets of
    arrangements that can hold without a part, weighted 1 where their number is odd and -1 where it is even. Choices
    are independent of each other, since a place and a check stand in one arrangement at most.
    """

    ways: tuple[frozenset[str], ...]
    weights: tuple[int, ...]


class Seats(msgspec.Struct, frozen=True, dict=True):
    """All seats of a problem without a vehicle, and its choices, whose seats come after them."""

    problem: Problem

    @cached_property
    def all(self) -> tuple[Seat, ...]:
        """The seats, in the layout's order."""
        places: dict[str, list[Place]] = {}
        for place in self.problem.places.all:
            places.setdefault(place.position, []).append(place)
        return tuple(Seat(tuple(ps), tuple(self._values(ps))) for ps in places.values())

    def _values(self, places: list[Place]) -> Iterator[Value]:
        if not self.wanted & {*places}:
            yield (None,) * len(places)
        here = [self._granted(place) for place in places]
        if len(places) == 1:
            yield from ((c,) for c in here[0])
            return
        others: dict[str, list[Candidate]] = {}
        for candidate in here[1]:
            others.setdefault(candidate.alike, []).append(candidate)
        yield from ((c, other) for c in here[0] for other in others.get(c.alike, ()))

    def _granted(self, place: Place) -> list[Candidate]:
        wishes = [w for w in self.problem.request.wants if place in w.places]
        return [c for c in self.problem.candidates[place] if all(self.problem.grants(w, c) for w in wishes)]

    @cached_property
    def number_of(self) -> dict[Place, int]:
        """The seat of each place."""
        return {place: s for s, seat in enumerate(self.all) for place in seat.places}

    def at(self, place: Place) -> list[Candidate | None]:
        """What stands in a place in each value of its seat."""
        seat = self.all[self.number_of[place]]
        where = seat.places.index(place)
        return [value[where] for value in seat.values]

    @cached_property
    def wanted(self) -> frozenset[Place]:
        """Places that must be filled because a wish is about them."""
        return frozenset(p for w in self.problem.request.wants for p in w.places)

    def is_needed(self, place: Place) -> bool:
        """Whether a place must be filled wherever it is open."""
        position = self.problem.places.positions[place.position]
        return position.need != "optional" and not partners_of(self.problem.places, place)

    # ---- choices

    @cached_property
    def choices(self) -> tuple[Choice, ...]:
        """The layout's choices. Raises TooLargeError."""
        return tuple(self._choice(c.arrangements) for c in self.problem.places.layout.choices)

    def _choice(self, arrangements: tuple[str, ...]) -> Choice:
        only = set(self.problem.request.arrangements) & set(arrangements)
        held = [a for a in arrangements if not only or a in only]
        bare = [a for a in held if not any(map(self.is_needed, self.places_in(a)))]
        if len(bare) > MOST_ALIKE:
            raise TooLargeError
        sets = [frozenset((a,)) for a in held]
        sets += [frozenset(s) for n in range(2, len(bare) + 1) for s in combinations(bare, n)]
        return Choice(tuple(sets), tuple(1 if len(s) % 2 else -1 for s in sets))

    def places_in(self, arrangement: str) -> list[Place]:
        """The places that stand in one arrangement only."""
        positions = self.problem.places.positions
        return [p for p in self.problem.places.all if positions[p.position].arrangement == arrangement]

    @cached_property
    def _choice_of(self) -> dict[str, int]:
        return {a: i for i, c in enumerate(self.problem.places.layout.choices) for a in c.arrangements}

    def choice_of(self, arrangement: str) -> int | None:
        """The number of the choice of an arrangement; None where no choice has it: then it never holds."""
        return self._choice_of.get(arrangement)

    def seat_of_choice(self, choice: int) -> int:
        """The number of the seat of a choice."""
        return len(self.all) + choice
