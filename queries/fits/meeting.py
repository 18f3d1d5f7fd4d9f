"""Where parts meet: a layout's joints prepared for questions about one part, kept for as long as the catalogue lives.

For each place stand the parts that may be bought for it, for each end of a joint the interface class of each of them
(graph/judge/postings.py), and for each class that was asked for the verdicts beside all of the other end. What is
weighed beside the sizes (claims, notes of work, sets) concerns few: these are looked up from the part that is asked
about, and judged one by one (``_weighed``). Everybody else's verdict is that of their classes.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Set
from functools import cached_property
from typing import Any

from knockon.graph.judge.beliefs import Interface, Known, interface_of
from knockon.graph.judge.comparisons import bits_of, chosen, mask_of
from knockon.graph.judge.postings import feature_at, hands_of, numbers_of, posting_of
from knockon.graph.judge.verdict_rows import VerdictRows
from knockon.graph.judge.verdicts import Judged, Verdict, Weighing, verdict_of
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import JointAt, Place, PlaceEnd, Places
from knockon.queries.fits.checking.candidates import Candidate, alike, new_parts
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.claims import Claims

CLASSES_REMEMBERED = 16
"""Of so many classes of each end it is remembered who meets them: a list of a million parts takes room."""


class Seats:
    """What may be bought for a place: parts by number, then members of sets. A seat is a place in that order."""

    def __init__(self, catalogue: Catalogue, places: Places, place: Place) -> None:
        self._catalogue, self.place = catalogue, place
        self._listed: dict[str, frozenset[int]] = {}
        self.part_type = places.positions[place.position].part_type
        every = numbers_of(catalogue, self.part_type)
        hands = hands_of(catalogue, self.part_type)
        fitting = {"left": b"\0\1", "right": b"\0\2"}.get(place.side, b"\0\1\2\3")
        taken = [i for i, hand in enumerate(hands) if hand in fitting]
        self.taken: Iterable[int] | None = None if len(taken) == len(every) else taken
        """Which of the parts of the type; None: all."""
        self.parts = every if self.taken is None else tuple(every[i] for i in taken)
        sets = catalogue.sets_at.get(place.position, ())
        found = new_parts(catalogue, places, place, sets) if sets else iter(())
        self.members = tuple(c for c in found if c.set_use is not None)
        self.numbers = (*self.parts, *(c.number for c in self.members))
        self.of_sets = frozenset(range(len(self.parts), len(self.numbers)))

    @cached_property
    def of_number(self) -> dict[str, list[int]]:
        """The seats that a number's claims and notes speak of."""
        found: dict[str, list[int]] = {number: [seat] for seat, number in enumerate(self.parts)}
        for seat, member in enumerate(self.members, len(self.parts)):
            for number in dict.fromkeys(member.numbers):
                found.setdefault(number, []).append(seat)
        return found

    def of_numbers(self, numbers: Set[str]) -> frozenset[int]:
        """The seats that these numbers' claims and notes speak of."""
        return frozenset(seat for number in self.of_number.keys() & numbers for seat in self.of_number[number])

    def listed_for(self, vehicle: str, claims: Claims) -> frozenset[int]:
        """The seats of what is listed for a vehicle; remembered."""
        if vehicle not in self._listed:
            self._listed[vehicle] = self.of_numbers(claims.numbers_listed(vehicle))
        return self._listed[vehicle]

    @cached_property
    def repeated(self) -> frozenset[int]:
        """Seats whose number stands at an earlier one."""
        first = {number: seat for seat, number in reversed([*enumerate(self.numbers)])}
        return frozenset(seat for seat in self.of_sets if first[self.numbers[seat]] != seat)

    def seat_of(self, number: str) -> int:
        """The first seat of a number that stands at one."""
        seat = bisect_left(self.parts, number)
        if seat < len(self.parts) and self.parts[seat] == number:
            return seat
        return self.numbers.index(number, len(self.parts))

    def candidate(self, seat: int) -> Candidate:
        """The thing at a seat."""
        if seat >= len(self.parts):
            return self.members[seat - len(self.parts)]
        number = self.parts[seat]
        return Candidate(self.place, number, number, alike(self._catalogue, number))


class End:
    """One end of a joint: the interface class of each seat of its place, and the seats of each class."""

    def __init__(self, checks: Checks, seats: Seats, at: JointAt, number: int) -> None:
        self.seats = seats
        rule = checks.rule_of(at)
        end, self._feature = rule.ends[number], at.ends[number].feature
        self.dimensions, self._end, self._checks = checks.dimensions(rule)[number], end, checks
        posting = posting_of(checks.catalogue, rule, end, self._feature, seats.part_type)
        classes = posting.classes
        self.classes = list(classes) if seats.taken is None else [classes[i] for i in seats.taken]
        self.interfaces = list(posting.interfaces)
        places = {interface: k for k, interface in enumerate(self.interfaces)} if seats.members else {}
        for member in seats.members:
            interface = self.interface_of(member)
            if interface not in places:
                places[interface] = len(self.interfaces)
                self.interfaces.append(interface)
            self.classes.append(places[interface])

    def interface_of(self, candidate: Candidate) -> Interface:
        """The interface of a thing at this end."""
        features = self._checks.catalogue.features_of(candidate.thing)
        return interface_of(feature_at(features, self._end, self._feature), self.dimensions)

    @cached_property
    def members(self) -> list[list[int]]:
        """The seats of each class."""
        found: list[list[int]] = [[] for _ in self.interfaces]
        for seat, k in enumerate(self.classes):
            found[k].append(seat)
        return found

    @cached_property
    def masks(self) -> list[int]:
        """The same as sets of bits."""
        return [mask_of(seats) for seats in self.members]


ByVerdict = dict[Verdict, tuple[int, ...]]
"""The seats of each verdict, in order; a verdict that none has is left out."""


class Meeting:
    """A joint seen from one of its ends: what stands in the other place, by verdict."""

    def __init__(self, checks: Checks, at: JointAt, number: int, own: End, other: End) -> None:
        self.checks, self.at, self.number, self.own, self.other = checks, at, number, own, other
        self._plain = Weighing(safety_critical=checks.is_safety_critical(at))
        self._judged: dict[int, list[tuple[Judged, int]]] = {}
        self._seats: dict[int, ByVerdict] = {}
        self._reached: list[int | None] = [None] * len(own.interfaces)
        self._met: dict[int, tuple[str, ...]] = {}
        self.told: dict[int, Any] = {}
        """What an answer tells of those who meet a class, nothing weighed beside the sizes; remembered as they are."""

    @cached_property
    def _rows(self) -> VerdictRows:
        return VerdictRows(self.checks.rule_of(self.at), self.number, self.other.interfaces)

    def class_of(self, seat: int) -> int:
        """The class of one of this end's seats."""
        return self.own.classes[seat]

    def judged(self, own: int) -> list[tuple[Judged, int]]:
        """What was judged of one of this end's classes, with the other end's classes as bits; remembered."""
        if own not in self._judged:
            if len(self._judged) >= CLASSES_REMEMBERED:
                first = next(iter(self._judged))
                for remembered in (self._judged, self._seats, self.told):
                    remembered.pop(first, None)
            self._judged[own] = self._rows.of(self.own.interfaces[own])
        return self._judged[own]

    def by_class(self, own: int) -> ByVerdict:
        """The other end's seats beside one of this end's classes, nothing weighed beside the sizes; remembered."""
        row = self.judged(own)
        if own not in self._seats:
            masks: dict[Verdict, int] = {}
            for judged, mask in row:
                verdict = verdict_of(judged, self._plain)
                masks[verdict] = masks.get(verdict, 0) | mask
            members = self.other.members
            found = {v: sorted(s for k in bits_of(masks[v]) for s in members[k]) for v in Verdict if v in masks}
            self._seats[own] = {v: tuple(seats) for v, seats in found.items() if seats}
        return self._seats[own]

    def weigh(self, own: Candidate, seat: int) -> tuple[Verdict, Weighing]:
        """The verdict on a thing and one at a seat of the other end, with all that is weighed."""
        k = self.other.classes[seat]
        row = self.judged(self.class_of(self.own.seats.seat_of(own.number)))
        judged = next(judged for judged, mask in row if mask >> k & 1)
        weighing = self.checks.weighing(self.at, *self.pair(own, seat))
        return verdict_of(judged, weighing), weighing

    @cached_property
    def _most(self) -> int:
        """The other end's seats, as bits, that anything may reach: nothing is unknown that could rule less out."""
        unknown = Interface("not recorded", tuple(Known() for _ in self.own.dimensions))
        return self._seats_of((1 << len(self.other.interfaces)) - 1 & ~self._rows.noes(unknown))

    def _seats_of(self, classes: int) -> int:
        found = 0
        for mask in chosen(self.other.masks, classes):
            found |= mask
        return found

    def reached(self, own: int) -> int:
        """The other end's seats, as bits, that are no no beside one of this end's classes; remembered."""
        found = self._reached[own]
        if found is None:
            every = (1 << len(self.other.interfaces)) - 1
            classes = every & ~self._rows.noes(self.own.interfaces[own])
            found = self._reached[own] = self._seats_of(classes)
        return found

    def seats_reached(self, seats: int) -> int:
        """The other end's seats, as bits, that are no no beside some of these of this end."""
        own, reached, most, found = self.own, self._reached, self._most, 0
        if 4 * seats.bit_count() < len(own.interfaces):
            near: Iterable[int] = {own.classes[seat] for seat in bits_of(seats)}
        else:
            near = (k for k, mask in enumerate(own.masks) if mask & seats)
        for k in near:
            known = reached[k]
            found |= self.reached(k) if known is None else known
            if found == most:
                break
        return found

    def numbers_met(self, seat: int) -> tuple[str, ...]:
        """The numbers at the other end that are no no beside a seat of this end, in order of their seats; remembered
        by class."""
        own = self.own.classes[seat]
        if own not in self._met:
            if len(self._met) >= CLASSES_REMEMBERED:
                del self._met[next(iter(self._met))]
            self._met[own] = tuple(chosen(self.other.seats.numbers, self.seats_reached(1 << seat)))
        return self._met[own]

    def weighed(self, own: Candidate) -> frozenset[int]:
        """The other end's seats whose verdict beside this thing may rest on more than the sizes.

        Those that a claim, a note of work on this joint or a set has to do with together with it. ``Checks.joint``
        weighs nothing else of two new parts.
        """
        seats, claims = self.other.seats, self.checks.claims
        numbers = claims.beside(own, seats.place.position) | self.checks.noted_with(self.at, own)
        found = seats.of_numbers(numbers)
        for vehicle in claims.made_in(own):
            found |= seats.listed_for(vehicle, claims)
        if own.set_use is not None:
            first = len(seats.parts)
            found |= {first + i for i, member in enumerate(seats.members) if member.set_use == own.set_use}
        return found

    def pair(self, own: Candidate, seat: int) -> tuple[Candidate, Candidate]:
        """The thing and the one at a seat of the other end, as the joint has them."""
        other = self.other.seats.candidate(seat)
        return (own, other) if self.number == 0 else (other, own)


class Meetings:
    """All joints of a layout."""

    def __init__(self, catalogue: Catalogue, places: Places) -> None:
        self.checks, self.places = Checks(catalogue, places), places
        self._seats: dict[tuple[str, str], Seats] = {}
        self._ends: dict[tuple[str, str, int], End] = {}
        self._meetings: dict[tuple[str, str, int], Meeting] = {}

    def seats(self, place: Place) -> Seats:
        """What may be bought for a place."""
        key = place.position, place.side
        if key not in self._seats:
            self._seats[key] = Seats(self.checks.catalogue, self.places, place)
        return self._seats[key]

    def _end(self, at: JointAt, end: PlaceEnd) -> End:
        key = at.joint.joint, at.side, end.number
        if key not in self._ends:
            self._ends[key] = End(self.checks, self.seats(end.place), at, end.number)
        return self._ends[key]

    @cached_property
    def _entered(self) -> dict[tuple[str, str, str], tuple[JointAt, int]]:
        found: dict[tuple[str, str, str], tuple[JointAt, int]] = {}
        for at in self.places.joints:
            for end in at.ends:
                found.setdefault((at.joint.joint, end.place.position, end.place.side), (at, end.number))
        return found

    def entered(self, joint: str, place: Place) -> Meeting | None:
        """A joint of this name seen from a place that is one of its ends; None if it has none there."""
        found = self._entered.get((joint, place.position, place.side))
        return self.meeting(*found) if found is not None else None

    def meeting(self, at: JointAt, number: int) -> Meeting:
        """A joint seen from the end of this number."""
        key = at.joint.joint, at.side, number
        if key not in self._meetings:
            own, other = at.ends[number], at.ends[1 - number]
            self._meetings[key] = Meeting(self.checks, at, number, self._end(at, own), self._end(at, other))
        return self._meetings[key]


def meetings_of(catalogue: Catalogue) -> Iterator[Meetings]:
    """Each layout's joints; kept with the catalogue, which they hold."""
    held = vars(catalogue).setdefault("meetings", {})
    for name, layout in catalogue.layouts.items():
        if name not in held:
            held[name] = Meetings(catalogue, Places(layout))
        yield held[name]
