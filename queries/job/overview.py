"""What there is to go on with: vehicles with what is wrong on them as they stand, named plans with how far they are."""

from __future__ import annotations

from pathlib import Path

import msgspec

from knockon.graph.jobs.events import ACCEPT
from knockon.graph.jobs.store import Job, job_names, read_job
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Places
from knockon.queries.answers import SHORT_CAUTIONS, Answer
from knockon.queries.fits.as_it_stands import Wrong, wrong_by_name
from knockon.queries.fits.checking.checks import Checks


class VehicleStands(msgspec.Struct, frozen=True):
    """A vehicle, whether it is one as made, and its checks that are a no as it stands."""

    vehicle: str
    title: str
    as_made: bool
    wrong: tuple[Wrong, ...] = ()


class PlanStands(msgspec.Struct, frozen=True):
    """A named plan: its vehicle, what it asks by option, how many orders were placed for it, how many part numbers
    came and are accepted, how many steps are ticked, whether its card is closed and its record written, and who wrote
    the last of that, and when (UTC)."""

    plan: str
    vehicle: str
    request: dict[str, tuple[str, ...]]
    orders: int
    accepted: int
    ticked: int
    closed: bool
    built: bool
    by: str
    at: str


class OverviewAnswer(Answer, frozen=True):
    """The vehicles, those as found first, and the plans by name."""

    vehicles: tuple[VehicleStands, ...]
    plans: tuple[PlanStands, ...]
    cautions: tuple[str, ...] = SHORT_CAUTIONS


def overview(catalogue: Catalogue, folder: Path) -> OverviewAnswer:
    """All vehicles and plans of a records folder. Raises RecordsError for a plan that cannot be read."""
    found: list[VehicleStands] = []
    checks: dict[str, Checks] = {}
    for vehicle in catalogue.vehicles.values():
        wrong: tuple[Wrong, ...] = ()
        if not vehicle.as_made and vehicle.layout in catalogue.layouts:
            if vehicle.layout not in checks:
                checks[vehicle.layout] = Checks(catalogue, Places(catalogue.layouts[vehicle.layout]))
            wrong = wrong_by_name(checks[vehicle.layout], vehicle)
        found.append(VehicleStands(vehicle.vehicle, vehicle.title, vehicle.as_made, wrong))
    plans = tuple(_stands(read_job(folder, name)) for name in job_names(folder))
    return OverviewAnswer(tuple(sorted(found, key=lambda v: v.as_made)), plans)


def _stands(job: Job) -> PlanStands:
    planned, last = job.planned, job.events[-1]
    return PlanStands(
        plan=job.name,
        vehicle=planned.vehicle,
        request=planned.request,
        orders=len(job.orders),
        accepted=len({e.part for e in job.received if e.verdict == ACCEPT}),
        ticked=len(job.ticked),
        closed=job.closed is not None,
        built=job.built is not None,
        by=last.by,
        at=last.at,
    )
