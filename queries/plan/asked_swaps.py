"""The swaps that the records themselves suggest, each with its best plan: whole answers that hang on a size.

Nobody writes down what others will ask. So these are counted: for every vehicle as found (where there is none: every
one as made) and every model as made that has another arrangement of its layout, the swap that wants that model's part
in the first position which only that arrangement needs (its rotor, say).
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cached_property

import msgspec

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import FigureAt, JointAt, Place, Places, fitted
from knockon.graph.model.things import Vehicle
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.plan.solving.narrowed import planner_of
from knockon.queries.plan.solving.patience import PLANS, Patience, TimeUp
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import Request, Wanted
from knockon.queries.plan.solving.too_large import TooLarge
from knockon.queries.plan.solving.unproven import figures_that_count, joints_that_count

MOST_PLANS = 4
"""Plans that are made unless more are asked for: each takes about half a second on the demo world."""
MOST_CANDIDATES = 4_000
"""Things that may stand in the places of a layout (the demo world has 559), beyond which no plan is made here: the work
grows with their pairs."""
SECONDS = 10.0
"""Time after which a plan is taken as it is: the best found."""


class AskedSwap(msgspec.Struct, frozen=True, dict=True):
    """One swap and the checks of its best plan, with what stands on each place."""

    vehicle: str
    want: str
    problem: Problem
    chosen: dict[Place, Candidate]
    joints: tuple[JointAt, ...]
    figures: tuple[FigureAt, ...]

    @cached_property
    def said(self) -> str:
        """The swap as it is asked: ``tansy-m080, rotor=LARCH-201``."""
        return f"{self.vehicle}, {self.want}"

    @property
    def standing(self) -> Vehicle | None:
        """The vehicle that is asked about."""
        return self.problem.vehicle


class AskedSwaps(msgspec.Struct, frozen=True):
    """The swaps that have a plan; ``without_plan`` names those that have none, ``passed_over`` counts those for which
    no plan was made."""

    planned: tuple[AskedSwap, ...] = ()
    without_plan: tuple[str, ...] = ()
    passed_over: int = 0


def asked_swaps(catalogue: Catalogue, most: int = MOST_PLANS, patience: Patience | None = None) -> AskedSwaps:
    """At most this many plans (0: none). Cost: one plan each; vehicles with the same parts are planned once.
    ``patience``: the time that each may take (else ``SECONDS``)."""
    patience = patience or Patience(SECONDS)
    planned, without, too_many = [], [], 0
    asked = list(_questions(catalogue))
    tables = {name: Checks(catalogue, Places(layout)) for name, layout in catalogue.layouts.items()}
    for done, (vehicle, wanted) in enumerate(asked[:most]):
        patience.heard(PLANS, done, min(most, len(asked)))
        problem = Problem(tables[vehicle.layout], vehicle, Request((wanted,)))
        if len(problem.numbered) > MOST_CANDIDATES:
            too_many += 1
            continue
        try:
            filling = planner_of(problem, patience.anew()).best()
        except (TimeUp, TooLarge):
            too_many += 1
            continue
        if filling is None:
            without.append(f"{vehicle.vehicle}, {wanted.text}")
            continue
        joints = tuple(joints_that_count(problem, filling))
        figures = tuple(figures_that_count(problem, filling))
        planned.append(AskedSwap(vehicle.vehicle, wanted.text, problem, filling.chosen, joints, figures))
    return AskedSwaps(tuple(planned), tuple(without), max(0, len(asked) - most) + too_many)


def _questions(catalogue: Catalogue) -> Iterator[tuple[Vehicle, Wanted]]:
    told = set()
    for layout in catalogue.layouts.values():
        here = [v for v in catalogue.vehicles.values() if v.layout == layout.layout]
        places = Places(layout)
        models = [v for v in here if v.as_made]
        for vehicle in [v for v in here if not v.as_made] or models:
            for model in models:
                wanted = _wanted(places, vehicle, model)
                key = (vehicle.fittings, vehicle.made_as, wanted)
                if wanted is not None and key not in told:
                    told.add(key)
                    yield vehicle, wanted


def _wanted(places: Places, vehicle: Vehicle, model: Vehicle) -> Wanted | None:
    """The wish for the model's part in the first position that only its arrangement needs; None: the same one."""
    other = set(model.arrangements) - set(vehicle.arrangements)
    own = {p.position for p in places.layout.positions if p.arrangement in other and p.need == "needed"}
    there = [(place, fitting.part) for place, fitting in fitted(model, places).items() if fitting.part]
    lead = next((place.position for place, _ in there if place.position in own), "")
    found = [(place, number) for place, number in there if place.position == lead]
    if not lead:
        return None
    numbers = tuple(dict.fromkeys(number for _, number in found))
    return Wanted(f"{lead}={numbers[0]}", tuple(place for place, _ in found), numbers)
