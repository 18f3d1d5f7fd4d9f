"""Partners: all parts that meet one part, by joint and verdict. Costs interface classes, not pairs of parts."""

from __future__ import annotations

from bisect import insort

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


class PartnersAt(msgspec.Struct, frozen=True):
    """All partners at one joint, the best verdict first."""

    joint: str
    position: str
    other_position: str
    partners: tuple[Partner, ...]


class PartnersAnswer(Answer, frozen=True):
    """All partners of a part; ``set_aside``: rows of the layouts that touch it and could not be used."""

    part: str
    name: str
    joints: tuple[PartnersAt, ...]
    cautions: tuple[str, ...] = SHORT_CAUTIONS
    set_aside: tuple[SetAside, ...] = ()
    superseded_by: tuple[str, ...] = ()


def partners_of(catalogue: Catalogue, number: str) -> PartnersAnswer:
    """All partners of a part by joint. Raises UnknownNameError."""
    part: Part = catalogue.find("part", number)
    found: dict[tuple[str, str, str], PartnersAt] = {}
    positions: set[str] = set()
    for meetings in meetings_of(catalogue):
        places = meetings.places
        own = {p: c for p in places.all for c in [*new_parts(catalogue, places, p, {part.part})][:1]}
        positions |= {p.position for p in own}
        for at in places.joints:
            for place, other in ((at.first, at.second), (at.second, at.first)):
                key = (at.joint.joint, place.position, other.position)
                if place in own and key not in found:
                    found[key] = PartnersAt(*key, _partners(meetings.meeting(at, place != at.first), own[place]))
    aside = touching(catalogue, catalogue.layouts.values(), positions, {part.part_type})
    cautions = (*short_cautions_on(catalogue), *told(aside))
    return PartnersAnswer(
        part=part.part,
        name=part.name,
        joints=tuple(found.values()),
        cautions=cautions,
        set_aside=aside,
        superseded_by=superseding(catalogue, part.part),
    )


def _partners(meeting: Meeting, own: Candidate) -> tuple[Partner, ...]:
    """All that stand at the other end: by their classes, but for the few of which more is weighed."""
    seats, checks = meeting.other.seats, meeting.checks
    plain = _plain(meeting, meeting.class_of(meeting.own.seats.seat_of(own.number)))
    few = meeting.weighed(own) | seats.of_sets
    if not few:
        return plain
    numbers = {seats.numbers[seat] for seat in few}
    partners = [p for p in plain if p.number not in numbers]
    for seat in sorted(few - seats.repeated):
        first, second = meeting.pair(own, seat)
        other = second if meeting.number == 0 else first
        result = checks.joint(meeting.at, first, second)
        fault = checks.fault_of_set(other.number) if other.set_use else ""
        verdict = Verdict.DOES_NOT_FIT if fault else result.verdict
        insort(partners, _partner(checks, other.number, verdict, result.weighing.claimed, fault), key=_order)
    return tuple(partners)


def _plain(meeting: Meeting, own: int) -> tuple[Partner, ...]:
    """All that stand at the other end beside a class, nothing weighed beside the sizes; members of sets are left to
    be weighed. Remembered."""
    by_verdict = meeting.by_class(own)
    if own not in meeting.told:
        seats, checks = meeting.other.seats, meeting.checks
        meeting.told[own] = tuple(
            _partner(checks, seats.numbers[seat], verdict)
            for verdict, standing in by_verdict.items()
            for seat in standing
            if seat not in seats.of_sets
        )
    return meeting.told[own]


def _order(partner: Partner) -> tuple[int, str]:
    return SEVERITY[partner.verdict], partner.number


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
