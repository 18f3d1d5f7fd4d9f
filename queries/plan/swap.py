"""The swap: what a request forces on a vehicle and why, what to order, what to measure first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Unpack

import msgspec
from msgspec.structs import replace

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place, Places
from knockon.graph.model.several import Several
from knockon.graph.model.things import SetAside, Vehicle
from knockon.queries.answers import SHORT_CAUTIONS, Answer, OrderGroup, OrderLine, cautions_on, cautions_with
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.fits.checking.joint_evidence import joint_evidence
from knockon.queries.fits.checking.standing import arrangements_of
from knockon.queries.fits.lacking import Lacking, lacking, lacking_told
from knockon.queries.fits.skipped import told, touching
from knockon.queries.plan.arrangements import GivenUp, given_up
from knockon.queries.plan.changes import KEPT, NOTHING_FOUND, Change, Findings, changes_of, findings_of
from knockon.queries.plan.figures import ToldFigure, told_figures, told_meetings
from knockon.queries.plan.measure import Measurement, Risk, measure_first, record_first
from knockon.queries.plan.openings.openings import Opening, openings
from knockon.queries.plan.openings.specification import specifications
from knockon.queries.plan.openings.specified import Specification
from knockon.queries.plan.openings.would_open import would_open
from knockon.queries.plan.orders import consumables_of, order_groups
from knockon.queries.plan.reasons.reasons import Reason, Reasoner, places_asked, reason_without_unknowns
from knockon.queries.plan.solving.asked import Asked
from knockon.queries.plan.solving.levels import NOT_KNOWN
from knockon.queries.plan.solving.planner import Filling, Planner
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import Request, TypedRequest, Wanted, asked_of, read_request
from knockon.queries.plan.solving.unproven import joints_that_count, unproven_checks

__all__ = ["Alternative", "Plan", "Request", "SwapAnswer", "Wanted", "plan_swap", "read_request", "swap"]


class Filled(msgspec.Struct, frozen=True):
    """What stands in one place of a plan; not ``recorded``: nobody recorded what it is."""

    place: Place
    number: str
    thing: str
    stays: bool
    recorded: bool = True


class Plan(msgspec.Struct, frozen=True):
    """A filled layout that meets the request. ``arrangement``: what holds of each choice that the layout leaves, with
    semicolons; ``was``: the same of the vehicle now. ``costs``: the levels of preference by name, price in
    hundredths."""

    arrangement: Several
    costs: dict[str, int]
    proved: bool
    was: Several
    filled: tuple[Filled, ...]
    groups: tuple[OrderGroup, ...]
    unproven: tuple[Evidence, ...]


class Alternative(msgspec.Struct, frozen=True):
    """Another plan, better than the first on some level: its costs, and where it differs (place, first plan, this
    plan)."""

    costs: dict[str, int]
    differs: tuple[tuple[Place, str, str], ...]


class SwapAnswer(Answer, frozen=True):
    """The answer to a swap. ``plan`` is None when nothing fits; ``none`` then says why.

    ``given_up`` says what stands in the way of the vehicle's own arrangement where the plan leaves it unasked.
    ``unknowns`` says why a plan with checks not known needs them: what closes every plan without.
    ``stops`` are the joints between what stays and what is new: there the chain of changes ends. ``figures`` are the
    workshop's numbers for the plan against the vehicle as made, ``meetings`` what pairs that are ruled out would do.
    ``set_aside``: rows of the layout that touch what changes and could not be used, so that nobody checks them.
    ``record_first``: places of which nothing is recorded, and whose thing is taken to stay where it meets what changes.
    ``to_find``: what the parts of the plan that nobody has recorded would have to be; ``would_open``, where nothing
    fits: each way in which parts that nobody has recorded would give a plan, tried out.
    ``lacks_checks``: usual checks that the layout lacks. ``arrangements``: those that were asked for, in words;
    ``perhaps_there``: of these, those that the plan leaves as they are, though nothing tells that the vehicle has them.
    """

    vehicle: str
    title: str
    asked: tuple[Asked, ...]
    plan: Plan | None = None
    none: Reason | None = None
    opens: tuple[Opening, ...] = ()
    changes: tuple[Change, ...] = ()
    stops: tuple[Evidence, ...] = ()
    consumables: tuple[OrderLine, ...] = ()
    measure_first: tuple[Measurement, ...] = ()
    risks: tuple[Risk, ...] = ()
    findings: Findings = NOTHING_FOUND
    alternatives: tuple[Alternative, ...] = ()
    cautions: tuple[str, ...] = SHORT_CAUTIONS
    given_up: GivenUp | None = None
    figures: tuple[ToldFigure, ...] = ()
    meetings: tuple[ToldFigure, ...] = ()
    unknowns: Reason | None = None
    set_aside: tuple[SetAside, ...] = ()
    record_first: tuple[Place, ...] = ()
    to_find: tuple[Specification, ...] = ()
    would_open: tuple[tuple[Specification, ...], ...] = ()
    lacks_checks: tuple[Lacking, ...] = ()
    arrangements: tuple[str, ...] = ()
    perhaps_there: tuple[str, ...] = ()

    @property
    def is_settled(self) -> bool:
        """Whether there is a plan that rests on nothing unknown but the sizes of what stays, and on no part yet to be
        found."""
        lines = [line for group in self.plan.groups for line in group.lines] if self.plan else []
        known = self.plan is not None and not self.plan.costs[NOT_KNOWN] and not self.perhaps_there
        return known and all(x.recorded for x in lines)


def swap(
    catalogue: Catalogue, vehicle_name: str, *, alternatives: int = 3, **typed: Unpack[TypedRequest]
) -> SwapAnswer:
    """Answer a swap as it is typed. Raises RequestError or UnknownNameError."""
    vehicle, _, request = asked_of(catalogue, vehicle_name, typed)
    return plan_swap(catalogue, vehicle.vehicle, request, alternatives=alternatives)


def plan_swap(
    catalogue: Catalogue,
    vehicle_name: str,
    request: Request,
    *,
    alternatives: int = 3,
    reasons: bool = True,
    checks: Checks | None = None,
) -> SwapAnswer:
    """Plan a request on a vehicle: best plan, forced changes with minimal reasons, what to measure first.

    Without ``reasons`` only the plan, or why there is none. ``checks``: of its layout, where other requests are planned
    with them too. Raises UnknownNameError where the vehicle or its layout is not in the records.
    """
    vehicle: Vehicle = catalogue.find("vehicle", vehicle_name)
    places = Places(catalogue.find("layout", vehicle.layout))
    problem = Problem(checks or Checks(catalogue, places), vehicle, request)
    planner = Planner(problem)
    asked = places_asked(w.places for w in request.wants)
    filling = planner.best()
    lacks, usual = lacking(catalogue, [places.layout]), cautions_on(catalogue, [places.layout])
    answer = SwapAnswer(
        vehicle=vehicle.vehicle,
        title=vehicle.title,
        asked=request.in_words,
        findings=findings_of(problem),
        lacks_checks=lacks,
        arrangements=tuple(map(places.layout.titled, request.arrangements)),
    )
    if filling is None:
        none = Reasoner(planner, None, asked).reason_for_none()
        opens = openings(problem, none) if reasons else ()
        aside = touching(catalogue, [places.layout], places.positions, vehicle=vehicle.vehicle)
        return replace(
            answer,
            none=none,
            opens=opens,
            would_open=would_open(problem, none, opens, asked) if reasons else (),
            cautions=(*usual, *told(aside), *lacking_told(lacks)),
            set_aside=aside,
        )
    changes = changes_of(planner, filling, asked, with_reasons=reasons)
    unproven = unproven_checks(problem, filling)
    measurements, risks = measure_first(problem, filling, unproven)
    unknowns = reason_without_unknowns(planner, asked) if reasons and filling.costs[NOT_KNOWN] else None
    changed = {c.position for c in changes if c.status != KEPT}
    aside = touching(catalogue, [places.layout], changed, vehicle=vehicle.vehicle)
    standing = cautions_with(catalogue, (c.number for c in filling.chosen.values()), usual)
    return replace(
        answer,
        plan=Plan(
            arrangement=places.layout.said(filling.arrangements),
            costs=filling.costs,
            proved=filling.proved,
            was=places.layout.said(problem.arranged),
            filled=filled_places(places, filling),
            groups=order_groups(problem, filling, changes),
            unproven=unproven,
        ),
        opens=openings(problem, unknowns, filling) if unknowns else (),
        changes=changes,
        stops=stops_of(problem, filling),
        consumables=consumables_of(problem, filling),
        measure_first=measurements,
        risks=risks,
        alternatives=tuple(_alternatives(planner, filling, alternatives)),
        cautions=(*standing, *told(aside), *lacking_told(lacks)),
        given_up=given_up(problem, filling, asked) if reasons else None,
        figures=told_figures(problem, filling),
        meetings=told_meetings(problem.checks, ruled_out(changes, answer.findings)),
        unknowns=unknowns,
        set_aside=aside,
        record_first=record_first(problem, filling),
        to_find=specifications(problem, filling),
        perhaps_there=tuple(map(places.layout.titled, perhaps_there(problem, filling))),
    )


def perhaps_there(problem: Problem, filling: Filling) -> Iterator[str]:
    """The arrangements asked for that the filling takes to be on the vehicle: it brings none of their parts, and
    nothing that is recorded tells that they are there."""
    own = arrangements_of(problem.vehicle, problem.places) if problem.vehicle else frozenset()
    positions = problem.places.positions
    for arrangement in (a for a in problem.request.arrangements if a not in own):
        there = [c for p, c in filling.chosen.items() if positions[p.position].arrangement == arrangement]
        if there and all(c.stays and not c.recorded for c in there):
            yield arrangement


def ruled_out(changes: Sequence[Change], findings: Findings) -> list[Evidence]:
    """The checks that are a no: in the reasons of the changes, beside them, and on the vehicle as it stands."""
    return [*against_the_old(changes), *(e for c in changes for e in c.evidence), *findings.wrong]


def against_the_old(changes: Sequence[Change]) -> list[Evidence]:
    """The checks that speak against what changes: in the reasons, and beside them."""
    found = [e for c in changes for s in (c.reason.steps if c.reason else ()) if (e := s.evidence) is not None]
    return [*found, *(e for c in changes for e in c.also)]


def filled_places(places: Places, filling: Filling) -> tuple[Filled, ...]:
    """The filling in the layout's order."""
    chosen = ((p, filling.chosen[p]) for p in places.all if p in filling.chosen)
    return tuple(Filled(p, c.number, c.thing, c.stays, c.recorded) for p, c in chosen)


def stops_of(problem: Problem, filling: Filling) -> tuple[Evidence, ...]:
    """The joints between what stays and what is new, in the layout's order."""
    pairs = ((at, filling.chosen[at.first], filling.chosen[at.second]) for at in joints_that_count(problem, filling))
    return tuple(joint_evidence(problem.checks, at, a, b) for at, a, b in pairs if a.stays != b.stays)


def _alternatives(planner: Planner, first: Filling, most: int) -> list[Alternative]:
    found = []
    last = first
    for _ in range(most):
        planner.exclude_no_better(last.costs)
        other = planner.best()
        if other is None:
            break
        found.append(Alternative(other.costs, differences(planner.problem.places, first, other)))
        last = other
    return found


def differences(places: Places, first: Filling, other: Filling) -> tuple[tuple[Place, str, str], ...]:
    """Where two fillings differ: place, what the first has, what the other has (blank: empty)."""

    def said(candidate: Candidate | None) -> str:
        return "" if candidate is None else candidate.number + (" (stays)" if candidate.stays else "")

    def pair(place: Place) -> tuple[str, str]:
        return said(first.chosen.get(place)), said(other.chosen.get(place))

    return tuple((p, *pair(p)) for p in places.all if pair(p)[0] != pair(p)[1])
