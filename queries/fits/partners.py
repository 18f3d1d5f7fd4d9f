"""Partners: all parts that meet one part, by joint and verdict. Costs interface classes, not pairs of parts."""

from __future__ import annotations

import msgspec

from knockon.graph.judge.verdicts import SEVERITY, Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import JointAt, Place, Places
from knockon.graph.model.things import Part, SetAside
from knockon.queries.answers import SHORT_CAUTIONS, Answer, short_cautions_on
from knockon.queries.fits.checking.candidates import Candidate, new_parts
from knockon.queries.fits.checking.checks import Checks
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
    for layout in catalogue.layouts.values():
        checks = Checks(catalogue, Places(layout))
        own = {p: c for p in checks.places.all for c in [*new_parts(catalogue, checks.places, p, {part.part})][:1]}
        candidates: dict[Place, tuple[Candidate, ...]] = {}
        positions |= {p.position for p in own}
        for at in checks.places.joints:
            for place, other in ((at.first, at.second), (at.second, at.first)):
                key = (at.joint.joint, place.position, other.position)
                if place in own and key not in found:
                    if other not in candidates:
                        candidates[other] = tuple(new_parts(catalogue, checks.places, other))
                    found[key] = _at(checks, at, own[place], candidates[other])
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


def _at(checks: Checks, at: JointAt, own: Candidate, others: tuple[Candidate, ...]) -> PartnersAt:
    is_first = own.place == at.first
    things = [c.thing for c in others]
    checks.judge_all(at, [own.thing] if is_first else things, things if is_first else [own.thing])
    partners: dict[str, Partner] = {}
    for other in others:
        pair = (own, other) if is_first else (other, own)
        result = checks.joint(at, *pair)
        part = checks.catalogue.parts[other.number]
        fault = checks.fault_of_set(other.number) if other.set_use else ""
        verdict = Verdict.DOES_NOT_FIT if fault else result.verdict
        claimed, mirror = result.weighing.claimed, part.mirror_of or ""
        by = superseding(checks.catalogue, other.number)
        partners.setdefault(
            other.number,
            Partner(
                number=other.number,
                name=part.name,
                verdict=verdict,
                claimed=claimed,
                set_fault=fault,
                mirror=mirror,
                superseded_by=by,
            ),
        )
    ordered = sorted(partners.values(), key=lambda p: (SEVERITY[p.verdict], p.number))
    other_place = at.second if is_first else at.first
    return PartnersAt(at.joint.joint, own.place.position, other_place.position, tuple(ordered))
