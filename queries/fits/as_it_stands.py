"""What is a no between things that stand together: on a vehicle as it is, and in a filling."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from knockon.graph.model.layouts.layout import Place
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


def noes_at(
    checks: Checks, vehicle: Vehicle | None, chosen: Mapping[Place, Candidate], places: Iterable[Place]
) -> tuple[Evidence, ...]:
    """Every joint and figure at some places that is a no on what stands there, each once for both hands."""
    here, found = set(places), dict[str, Evidence]()
    for at in checks.places.joints:
        if at.joint.joint in found or not (at.first in here or at.second in here):
            continue
        first, second = chosen.get(at.first), chosen.get(at.second)
        if first is None or second is None:
            continue
        if checks.joint(at, first, second).verdict.is_no:
            found[at.joint.joint] = joint_evidence(checks, at, first, second)
    for figure in checks.places.figures:
        if figure.figure.figure not in found and here & set(figure.places):
            standing = {p: chosen.get(p) for p in figure.places}
            if checks.figure(figure, standing, checks.as_made_value(figure, vehicle)).verdict.is_no:
                found[figure.figure.figure] = figure_evidence(checks, figure, standing, vehicle)
    return tuple(found.values())
