"""What is a no between things that stand together: on a vehicle as it is, and in a filling."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

import msgspec

from knockon.graph.model.layouts.layout import FigureAt, JointAt, Place
from knockon.graph.model.things import Vehicle
from knockon.queries.fits.checking.candidates import Candidate, as_found
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.fits.checking.figure_evidence import figure_evidence
from knockon.queries.fits.checking.joint_evidence import joint_evidence


def wrong_now(checks: Checks, vehicle: Vehicle) -> tuple[Evidence, ...]:
    """Every joint and figure that is a no between the things of a vehicle as it stands."""
    now = as_found(checks.catalogue, checks.places, vehicle)
    return noes_at(checks, vehicle, now, now)


class Wrong(msgspec.Struct, frozen=True):
    """A check that is a no on a vehicle as it stands, by name, whether it is safety-critical, and whether it misses its
    limits by so little that it is a remark."""

    check: str
    safety_critical: bool
    is_remark: bool = False


def wrong_by_name(checks: Checks, vehicle: Vehicle) -> tuple[Wrong, ...]:
    """The same without what it rests on: enough where many vehicles are asked."""
    now = as_found(checks.catalogue, checks.places, vehicle)
    return tuple(
        Wrong(
            at.figure.figure if isinstance(at, FigureAt) else at.joint.joint,
            at.figure.safety_critical if isinstance(at, FigureAt) else checks.is_safety_critical(at),
            isinstance(at, FigureAt) and _figure(checks, at, now, vehicle).is_remark,
        )
        for at in _noes(checks, vehicle, now, now)
    )


def noes_at(
    checks: Checks, vehicle: Vehicle | None, chosen: Mapping[Place, Candidate], places: Iterable[Place]
) -> tuple[Evidence, ...]:
    """Every joint and figure at some places that is a no on what stands there, each once for both hands."""
    found = []
    for at in _noes(checks, vehicle, chosen, places):
        if isinstance(at, FigureAt):
            found.append(_figure(checks, at, chosen, vehicle))
        else:
            found.append(joint_evidence(checks, at, chosen[at.first], chosen[at.second]))
    return tuple(found)


def _figure(checks: Checks, at: FigureAt, chosen: Mapping[Place, Candidate], vehicle: Vehicle | None) -> Evidence:
    return figure_evidence(checks, at, {p: chosen.get(p) for p in at.places}, vehicle)


def _noes(
    checks: Checks, vehicle: Vehicle | None, chosen: Mapping[Place, Candidate], places: Iterable[Place]
) -> Iterator[JointAt | FigureAt]:
    here, found = set(places), set[str]()
    for at in checks.places.joints:
        if at.joint.joint in found or not (at.first in here or at.second in here):
            continue
        first, second = chosen.get(at.first), chosen.get(at.second)
        if first is not None and second is not None and checks.joint(at, first, second).verdict.is_no:
            found.add(at.joint.joint)
            yield at
    for figure in checks.places.figures:
        if figure.figure.figure not in found and here & set(figure.places):
            standing = {p: chosen.get(p) for p in figure.places}
            if checks.figure(figure, standing, checks.as_made_value(figure, vehicle)).verdict.is_no:
                found.add(figure.figure.figure)
                yield figure
