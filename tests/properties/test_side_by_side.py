"""Targets side by side have the very plans that asking for each of them by itself gives, on random small worlds.

KNOCKON_EXAMPLES sets how many worlds.
"""

from __future__ import annotations

import os
from collections.abc import Iterator
from typing import TYPE_CHECKING

from knockon.graph.model.layouts.layout import Places
from knockon.queries.fits.checking.candidates import NOT_RECORDED
from knockon.queries.plan.side_by_side import SideBySideAnswer, compare_targets
from knockon.queries.plan.solving.levels import in_order
from knockon.queries.plan.solving.request import Request, Wanted
from knockon.queries.plan.swap import plan_swap
from tests.oracle.folders import folder

if TYPE_CHECKING:
    from knockon.graph.model.catalogue import Catalogue
    from knockon.graph.model.things import Vehicle

WORLDS = max(12, int(os.environ.get("KNOCKON_EXAMPLES") or 300) // 5)
PREFER = (), ("price",), ("unproven",)
LEAST_COMPARED = WORLDS // 6
"""So many targets at least must have been compared, or the worlds show nothing."""


def _asked() -> Iterator[tuple[Catalogue, Vehicle, Request]]:
    """Each arrangement of each choice of a random vehicle's layout that has a leading position."""
    for seed, case, catalogue in folder(0, WORLDS):
        vehicle = catalogue.vehicles[case.vehicle.name]
        layout = catalogue.layouts[vehicle.layout]
        for choice in layout.choices:
            for arrangement in choice.arrangements if len(choice.arrangements) > 1 else ():
                if any(p.arrangement == arrangement and p.need == "needed" for p in layout.positions):
                    yield catalogue, vehicle, Request(arrangements=(arrangement,), prefer=PREFER[seed % len(PREFER)])


def _alone(catalogue: Catalogue, vehicle: Vehicle, position: str, numbers: tuple[str, ...], request: Request) -> object:
    places = Places(catalogue.layouts[vehicle.layout])
    there = tuple(p for p in places.all if p.position == position)
    asked = Request(wants=(Wanted("it", there, numbers),), prefer=request.prefer)
    plan = plan_swap(catalogue, vehicle.vehicle, asked, reasons=False).plan
    return plan.costs if plan else None


def test_each_target_costs_what_it_costs_alone_and_the_first_is_the_plan_of_the_arrangement() -> None:
    compared = 0
    for catalogue, vehicle, request in _asked():
        answer = compare_targets(catalogue, vehicle, request)
        for target in answer.targets:
            assert target.costs == _alone(catalogue, vehicle, answer.position, target.numbers, request)
        for without in answer.without_plan:
            if not without.not_accepted:
                assert _alone(catalogue, vehicle, answer.position, without.numbers, request) is None
        _is_in_order(answer, request)
        _first_is_the_plan(catalogue, vehicle, request, answer)
        compared += len(answer.targets)
    assert compared >= LEAST_COMPARED


def _is_in_order(answer: SideBySideAnswer, request: Request) -> None:
    order = ("not known", *in_order(request.prefer))
    costs = [[t.costs[level] for level in order] for t in answer.targets]
    assert costs == sorted(costs)


def _first_is_the_plan(catalogue: Catalogue, vehicle: Vehicle, request: Request, answer: SideBySideAnswer) -> None:
    """Unless the plan of the arrangement leaves something not recorded there, or a part yet to be found."""
    plan = plan_swap(catalogue, vehicle.vehicle, request, reasons=False).plan
    if plan is None:
        assert not answer.targets
        return
    lead = [f.number for f in plan.filled if f.place.removeprefix("left ").removeprefix("right ") == answer.position]
    if lead and all(n != NOT_RECORDED and n in catalogue.parts for n in lead):
        assert answer.targets[0].costs == plan.costs
