"""Partners: all parts that meet one part, by joint and verdict. Costs interface classes, not pairs of parts."""

from __future__ import annotations

from bisect import insort
from collections import Counter
from collections.abc import Mapping
from functools import cached_property
from itertools import islice

import msgspec

from knockon.graph.judge.verdicts import SEVERITY, Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.things import Part, SetAside
from knockon.queries.answers import SHORT_CAUTIONS, Answer, short_cautions_on
from knockon.queries.fits.checking.candidates import Candidate, new_parts
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.meeting import Meeting, meetings_of
from knockon.queries.fits.number_chains import superseding
from knockon.queries.fits.skipped import told, touching


class Partner(msgspec.Struct, frozen=True):
    """One part on the other side of a joint; ``claimed``: somebody says that they belong together; ``set_fault``: a set
    is used whole, and this one has a member that lacks what its place needs. ``mirror``: the other hand's number, which
    goes there on the other side. ``superseded_by``: the numbers said to have taken its place, without their sizes."""

    number: str
    name: str
    verdict: Verdict
    claimed: bool
    set_fault: str = ""
    mirror: str = ""
    superseded_by: tuple[str, ...] = ()


class Listed:
    """The parts that meet one at a joint, the best verdict first, then by number: counted at once, each made when it
    is asked for."""

    def __init__(self, meeting: Meeting, own: Candidate) -> None:
        self._meeting, self._own = meeting, meeting.class_of(meeting.own.seats.seat_of(own.number))
        seats = meeting.other.seats
        self._few = {seat: self._weighed(own, seat) for seat in sorted(meeting.weighed(own) | seats.of_sets)}
        """The seats of whose verdict more is weighed than sizes: verdict, whether it is claimed, a set's fault."""
        self._by_verdict = meeting.by_class(self._own)

    def _weighed(self, own: Candidate, seat: int) -> tuple[Verdict, bool, str]:
        meeting = self._meeting
        verdict, weighing = meeting.weigh(own, seat)
        is_set = seat in meeting.other.seats.of_sets
        fault = meeting.checks.fault_of_set(meeting.other.seats.numbers[seat]) if is_set else ""
        return Verdict.DOES_NOT_FIT if fault else verdict, weighing.claimed, fault

    @cached_property
    def counts(self) -> Mapping[Verdict, int]:
        """How many there are of each verdict that some have."""
        repeated = self._meeting.other.seats.repeated
        found = Counter({verdict: len(seats) for verdict, seats in self._by_verdict.items()})
        if self._few:
            for verdict, seats in self._by_verdict.items():
                found[verdict] -= len(self._few.keys() & set(seats))
            found.update(verdict for seat, (verdict, _, _) in self._few.items() if seat not in repeated)
        return {verdict: found[verdict] for verdict in Verdict if found[verdict]}

    def of(self, verdict: Verdict, most: int | None = None) -> list[Partner]:
        """The first of a verdict."""
        seats = self._meeting.other.seats
        plain = (seat for seat in self._by_verdict.get(verdict, ()) if seat not in self._few)
        found = [self._made(seat, (verdict, False, "")) for seat in islice(plain, most)]
        weighed = (s for s, about in self._few.items() if about[0] is verdict and s not in seats.repeated)
        for seat in sorted(weighed, key=seats.numbers.__getitem__)[:most]:
            insort(found, self._made(seat, self._few[seat]), key=lambda p: p.number)
        return found[:most]

    def claimed(self, verdict: Verdict) -> list[Partner]:
        """Those of a verdict of whom somebody says that they belong together."""
        repeated = self._meeting.other.seats.repeated
        few = [s for s, (of, claimed, _) in self._few.items() if of is verdict and claimed and s not in repeated]
        return sorted((self._made(seat, self._few[seat]) for seat in few), key=lambda p: p.number)

    def _made(self, seat: int, about: tuple[Verdict, bool, str]) -> Partner:
        return _partner(self._meeting.checks, self._meeting.other.seats.numbers[seat], *about)

    @cached_property
    def all(self) -> tuple[Partner, ...]:
        """Each of them."""
        if not self._few:
            return self._plain
        seats = self._meeting.other.seats
        numbers = {seats.numbers[seat] for seat in self._few}
        partners = [p for p in self._plain if p.number not in numbers]
        for seat, about in self._few.items():
            if seat not in seats.repeated:
                insort(partners, self._made(seat, about), key=_order)
        return tuple(partners)

    @property
    def _plain(self) -> tuple[Partner, ...]:
        """All but sets, nothing weighed beside the sizes; remembered by class."""
        told, of_sets = self._meeting.told, self._meeting.other.seats.of_sets
        if self._own not in told:
            told[self._own] = tuple(
                self._made(seat, (verdict, False, ""))
                for verdict, standing in self._by_verdict.items()
                for seat in standing
                if seat not in of_sets
            )
        found: tuple[Partner, ...] = told[self._own]
        return found

    def __len__(self) -> int:
        return sum(self.counts.values())


class PartnersAt(msgspec.Struct, frozen=True):
    """All partners at one joint, the best verdict first."""

    joint: str
    position: str
    other_position: str
    partners: tuple[Partner, ...]


class CountedAt(msgspec.Struct, frozen=True):
    """The same, each partner made when it is asked for."""

    joint: str
    position: str
    other_position: str
    partners: Listed


def counted(at: PartnersAt | CountedAt) -> dict[Verdict, int]:
    """How many there are of each verdict that some have, the best first."""
    if isinstance(at, CountedAt):
        return dict(at.partners.counts)
    found = Counter(partner.verdict for partner in at.partners)
    return {verdict: found[verdict] for verdict in Verdict if found[verdict]}


def first_of(at: PartnersAt | CountedAt, verdict: Verdict, most: int | None = None) -> list[Partner]:
    """The first of a verdict."""
    if isinstance(at, CountedAt):
        return at.partners.of(verdict, most)
    return [p for p in at.partners if p.verdict is verdict][:most]


def claimed_of(at: PartnersAt | CountedAt, verdict: Verdict) -> list[Partner]:
    """Those of a verdict of whom somebody says that they belong together."""
    if isinstance(at, CountedAt):
        return at.partners.claimed(verdict)
    return [p for p in at.partners if p.verdict is verdict and p.claimed]


class PartnersAnswer(Answer, frozen=True):
    """All partners of a part; ``set_aside``: rows of the layouts that touch it and could not be used."""

    part: str
    name: str
    joints: tuple[PartnersAt, ...]
    cautions: tuple[str, ...] = SHORT_CAUTIONS
    set_aside: tuple[SetAside, ...] = ()
    superseded_by: tuple[str, ...] = ()


class PartnersCounted(msgspec.Struct, frozen=True):
    """All partners of a part, counted: for a page that names the first of them."""

    part: str
    name: str
    joints: tuple[CountedAt, ...]
    cautions: tuple[str, ...] = SHORT_CAUTIONS
    set_aside: tuple[SetAside, ...] = ()
    superseded_by: tuple[str, ...] = ()


def partners_of(catalogue: Catalogue, number: str) -> PartnersAnswer:
    """All partners of a part by joint. Raises UnknownNameError."""
    found = partners_counted(catalogue, number)
    return PartnersAnswer(
        part=found.part,
        name=found.name,
        joints=tuple(PartnersAt(c.joint, c.position, c.other_position, c.partners.all) for c in found.joints),
        cautions=found.cautions,
        set_aside=found.set_aside,
        superseded_by=found.superseded_by,
    )


def partners_counted(catalogue: Catalogue, number: str) -> PartnersCounted:
    """The same, where few of many are looked at. Raises UnknownNameError."""
    part: Part = catalogue.find("part", number)
    found: dict[tuple[str, str, str], CountedAt] = {}
    positions: set[str] = set()
    for meetings in meetings_of(catalogue):
        places = meetings.places
        own = {p: c for p in places.all for c in [*new_parts(catalogue, places, p, {part.part})][:1]}
        positions |= {p.position for p in own}
        for at in places.joints:
            for place, other in ((at.first, at.second), (at.second, at.first)):
                key = (at.joint.joint, place.position, other.position)
                if place in own and key not in found:
                    found[key] = CountedAt(*key, Listed(meetings.meeting(at, place != at.first), own[place]))
    aside = touching(catalogue, catalogue.layouts.values(), positions, {part.part_type})
    return PartnersCounted(
        part=part.part,
        name=part.name,
        joints=tuple(found.values()),
        cautions=(*short_cautions_on(catalogue), *told(aside)),
        set_aside=aside,
        superseded_by=superseding(catalogue, part.part),
    )


def _partner(checks: Checks, number: str, verdict: Verdict, claimed: bool = False, fault: str = "") -> Partner:
    part = checks.catalogue.parts[number]
    return Partner(
        number=number,
        name=part.name,
        verdict=verdict,
        claimed=claimed,
        set_fault=fault,
        mirror=part.mirror_of or "",
        superseded_by=superseding(checks.catalogue, number),
    )


def _order(partner: Partner) -> tuple[int, str]:
    return SEVERITY[partner.verdict], partner.number
