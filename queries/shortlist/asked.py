"""What a swap asks, as the filter needs it: which parts may stand where at first, and which joints must hold.

Sides are taken together: what may stand in a position on one side may be met by what may stand on either. So a part is
only ruled out that neither side has a use for.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

import msgspec

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place, Places
from knockon.graph.model.layouts.mechanism import Joint, Position
from knockon.graph.model.things import Vehicle
from knockon.queries.fits.checking.candidates import Candidate, kept_in
from knockon.queries.fits.checking.standing import standing_on
from knockon.queries.plan.solving.request import Request


class Arc(NamedTuple):
    """A joint as it is looked at from one position: whatever stands there needs something at the ``other`` one that it
    is not a definite no with. ``end``, ``other_end``: the numbers of its ends."""

    joint: int
    end: int
    position: str
    other_end: int
    other: str


class Swap(msgspec.Struct, frozen=True):
    """A request on a vehicle: ``stays`` is what stands on it by position; in ``blank`` positions stands something that
    nobody recorded; ``only``: the numbers that a wish or a keep leaves a position; ``closed`` arrangements cannot
    hold, ``forced`` ones must."""

    catalogue: Catalogue
    places: Places
    request: Request
    stays: Mapping[str, tuple[Candidate, ...]]
    blank: frozenset[str]
    only: Mapping[str, frozenset[str]]
    forced: frozenset[str]
    closed: frozenset[str]

    @property
    def asked_for(self) -> frozenset[str]:
        """The numbers that the wishes name."""
        return frozenset(n for w in self.request.wants for n in w.numbers)

    @property
    def positions(self) -> Mapping[str, Position]:
        """The positions that may be filled, by name."""
        return {n: p for n, p in self.places.positions.items() if p.arrangement not in self.closed}

    @property
    def joints(self) -> tuple[Joint, ...]:
        """The joints that may have to hold."""
        open_ones = self.positions
        return tuple(
            j
            for j in self.places.layout.joints
            if j.arrangement not in self.closed and all(e.position in open_ones for e in j.ends)
        )

    def types_at(self) -> Iterator[tuple[str, str]]:
        """Each position with each part type that may stand there."""
        vocabulary = self.catalogue.vocabulary
        for name, position in sorted(self.positions.items()):
            for part_type in sorted({*vocabulary.part_types, position.part_type}):
                if vocabulary.is_a(part_type, position.part_type):
                    yield name, part_type

    def namesakes(self) -> frozenset[str]:
        """Positions of whose name another layout has one too: which of them a set's member means hangs on the set."""
        others = (o for o in self.catalogue.layouts.values() if o.layout != self.places.layout.layout)
        return frozenset(p.position for o in others for p in o.positions) & frozenset(self.positions)

    def arcs(self, unknown: frozenset[str]) -> Iterator[Arc]:
        """The joints that rule something out: those that hold whenever the position is filled, towards a position that
        is filled then too. None from or to ``unknown`` positions, in which something without sizes may stand."""
        for n, joint in enumerate(self.joints):
            for here, there in ((0, 1), (1, 0)):
                at, other = joint.ends[here].position, joint.ends[there].position
                if at == other or {at, other} & unknown:
                    continue
                if self._holds(joint.arrangement, at) and self._is_filled_with(other, at):
                    yield Arc(n, 2 * n + here, at, 2 * n + there, other)

    def holds_always(self, position: str) -> bool:
        """Whether a position is open in each plan."""
        return self.positions[position].arrangement in ("", *self.forced)

    def _holds(self, arrangement: str, at: str) -> bool:
        """Whether an arrangement holds in each plan that fills a position."""
        return arrangement in ("", self.positions[at].arrangement) or arrangement in self.forced

    def _is_filled_with(self, other: str, at: str) -> bool:
        """Whether each plan that fills one position fills the other."""
        here, there = self.positions[at], self.positions[other]
        if here.need == "with" and here.with_position == other and not here.lacking_feature:
            return True  # else it would not be called for
        if not self._holds(there.arrangement, at):
            return False
        if there.need == "with":
            return there.with_position == at and not there.lacking_feature
        return there.need != "optional"


def swap_asked(catalogue: Catalogue, places: Places, vehicle: Vehicle, request: Request) -> Swap:
    """What a request asks on a vehicle."""
    now = standing_on(catalogue, places, vehicle)
    stays: dict[str, list[Candidate]] = {}
    blank = set()
    for place in places.all:
        for candidate in kept_in(catalogue, place, now):
            if candidate.is_known:
                stays.setdefault(place.position, []).append(candidate)
            else:
                blank.add(place.position)
    forced, closed = _arrangements(places, request)
    by_position = {p: tuple(c) for p, c in stays.items()}
    only = dict(_only(places, request, by_position))
    return Swap(catalogue, places, request, by_position, frozenset(blank), only, forced, closed)


def _arrangements(places: Places, request: Request) -> tuple[frozenset[str], frozenset[str]]:
    """The arrangements that hold in each plan, and those that hold in none."""
    asked = {places.positions[p.position].arrangement for w in request.wants for p in w.places} | {
        *request.arrangements
    }
    forced, closed = set(), set()
    for choice in places.layout.choices:
        of_it = asked & set(choice.arrangements)
        left = of_it if of_it else set(choice.arrangements)
        closed |= set(choice.arrangements) - left
        forced |= left if len(left) == 1 else set()
    return frozenset(forced), frozenset(closed)


def _only(
    places: Places, request: Request, stays: Mapping[str, tuple[Candidate, ...]]
) -> Iterator[tuple[str, frozenset[str]]]:
    """The numbers that all places of a position are left with."""
    wanted: dict[Place, set[str]] = {}
    for wish in request.wants:
        for place in wish.places if wish.numbers else ():
            wanted.setdefault(place, set()).update(wish.numbers)
    for position in places.positions:
        here = [p for p in places.all if p.position == position]
        if all(p in wanted for p in here):
            yield position, frozenset(n for p in here for n in wanted[p])
        elif all(p in request.keep for p in here):
            yield position, frozenset(c.number for c in stays.get(position, ()))
