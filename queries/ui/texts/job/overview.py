"""Vehicles and plans in one screen: dangers first."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layout_words import DANGER
from knockon.queries.job.overview import OverviewAnswer, PlanStands, VehicleStands
from knockon.queries.ui.details import next_blocks
from knockon.queries.ui.naming import Naming, count, listed
from knockon.queries.ui.sentences import fits as fits_say
from knockon.queries.ui.sentences import job as say
from knockon.queries.ui.terminal.blocks import BAD, Block, Heading, Para


def overview_page(catalogue: Catalogue, answer: OverviewAnswer, command: Callable[..., str]) -> Sequence[Block]:
    """The vehicles with their dangers, then the plans; ``command`` says words as they are typed."""
    return list(_blocks(catalogue, answer, command))


def _blocks(catalogue: Catalogue, answer: OverviewAnswer, command: Callable[..., str]) -> Iterator[Block]:
    found = [v for v in answer.vehicles if not v.as_made]
    made = [v for v in answer.vehicles if v.as_made]
    for vehicle in found:
        for text in wrong_said(catalogue, vehicle):
            yield Para(text, mark="!", tone=BAD)
    yield Heading(say.VEHICLES)
    yield from (Para(named(v.title, v.vehicle), mark="-") for v in found)
    if made:
        yield Para(say.AS_MADE.format(vehicles=listed([v.vehicle for v in made])))
    if answer.plans:
        yield Heading(say.PLANS)
        yield from (Para(plan_said(p), mark="-") for p in answer.plans)
    yield from next_blocks(
        [command("vehicle", v.vehicle) for v in found[:2]]
        + [command("job-card", plan=p.plan) for p in answer.plans[:2]]
    )


def named(title: str, name: str) -> str:
    """A title with the name behind it."""
    return say.VEHICLE_NAMED.format(title=title, name=name) if title else name


def wrong_said(catalogue: Catalogue, vehicle: VehicleStands) -> list[str]:
    """What is wrong on a vehicle as it stands, safety-critical checks first; remarks are left to its own page."""
    said = []
    lead = Naming.on(catalogue, vehicle.vehicle).words[DANGER]
    wrong = [w for w in vehicle.wrong if not w.is_remark]
    dangers, others = ([w.check for w in wrong if w.safety_critical is critical] for critical in (True, False))
    if dangers:
        said.append(fits_say.DANGER_ON.format(lead=lead, vehicle=vehicle.vehicle, checks=listed(dangers)))
    if others:
        said.append(say.WRONG_ON.format(vehicle=vehicle.vehicle, checks=listed(others)))
    return said


def plan_said(plan: PlanStands) -> str:
    """A plan, and how far it is."""
    asked = listed([value for values in plan.request.values() for value in values])
    return say.PLAN_STANDS.format(plan=plan.plan, vehicle=plan.vehicle, asked=asked, far=how_far(plan))


def how_far(plan: PlanStands) -> str:
    """How far a plan is, in a few words."""
    if plan.built:
        return say.IS_BUILT
    if plan.closed:
        return say.IS_CLOSED
    if plan.ticked:
        return say.IS_TICKED.format(steps=count(plan.ticked, "step"))
    if plan.accepted:
        return say.HAS_COME.format(numbers=count(plan.accepted, "part number"))
    return say.IS_ORDERED if plan.orders else say.IS_PLANNED
