"""The swap: what a request forces on a vehicle and why, what to order, what to measure first."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
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
from knockon.queries.fits.number_chains import ChainOf, chains_of
from knockon.queries.fits.skipped import told, touching
from knockon.queries.plan.arrangements import GivenUp, given_up
from knockon.queries.plan.changes import KEPT, NOTHING_FOUND, Change, Findings, changes_of, findings_of
from knockon.queries.plan.cheapest_order import CheapestOrder
from knockon.queries.plan.figures import ToldFigure, told_figures, told_meetings
from knockon.queries.plan.measure import Measurement, Risk, measure_first, record_first, with_turning
from knockon.queries.plan.openings.openings import Opening, openings
from knockon.queries.plan.openings.specification import specifications
from knockon.queries.plan.openings.specified import Specification
from knockon.queries.plan.openings.would_open import would_open
from knockon.queries.plan.orders import consumables_of, order_groups
from knockon.queries.plan.reasons.reasons import Reason, Reasoner, places_asked, reason_without_unknowns
from knockon.queries.plan.solving.asked import Asked
from knockon.queries.plan.solving.levels import NOT_KNOWN
from knockon.queries.plan.solving.narrowed import planner_of
from knockon.queries.plan.solving.patience import BEST_PLAN, OPENING, OTHER_PLANS, REASONS, Patience, TimeUp
from knockon.queries.plan.solving.planner import Filling, Planner
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import Request, TypedRequest, Wanted, asked_of, read_request
from knockon.queries.plan.solving.undecided import (
    BEST,
    GIVEN_UP,
    OPENINGS,
    OTHERS,
    PLAN,
    UNKNOWNS,
    WHY_NONE,
    NotDecided,
    Undecided,
)
from knockon.queries.plan.solving.unproven import joints_that_count, unproven_checks
from knockon.queries.plan.sweep import Sweep, sweeps

__all__ = ["Alternative", "Plan", "Request", "SwapAnswer", "Turns", "Wanted", "plan_swap", "read_request", "swap"]


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
    hundredths. ``superseded``: the chains of those numbers of the order that are said to be superseded."""

    arrangement: Several
    costs: dict[str, int]
    proved: bool
    was: Several
    filled: tuple[Filled, ...]
    groups: tuple[OrderGroup, ...]
    unproven: tuple[Evidence, ...]
    superseded: tuple[ChainOf, ...] = ()


class Alternative(msgspec.Struct, frozen=True):
    """Another plan, better than the first on some level: its costs, and where it differs (place, first plan, this
    plan)."""

    costs: dict[str, int]
    differs: tuple[tuple[Place, str, str], ...]


class Turns(msgspec.Struct, frozen=True):
    """Of which measurements it is asked at which readings the plan turns: of the ``first`` so many, where no more than
    ``among`` things could stand somewhere."""

    first: int
    among: int = 1_500


NO_TURNING, FIRST_PAGE = Turns(0), Turns(5)


class SwapAnswer(Answer, frozen=True):
    """The answer to a swap. ``plan`` is None when nothing fits; ``none`` then says why. Where ``not_decided`` names the
    plan, none was found in the time, and none is ruled out.

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
    ``turning_left_out``: where readings are not asked at which the plan turns, because of the size of the records, how
    many things could stand somewhere. ``order``: the cheapest order in short, where it was asked for and found.
    ``sweep``: what may touch since the plan changes a figure, such as the track.
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
    not_decided: tuple[NotDecided, ...] = ()
    turning_left_out: int = 0
    order: CheapestOrder | None = None
    sweep: tuple[Sweep, ...] = ()

    @property
    def is_settled(self) -> bool:
        """Whether there is a plan that rests on nothing unknown but the sizes of what stays, and on no part yet to be
        found."""
        lines = [line for group in self.plan.groups for line in group.lines] if self.plan else []
        known = self.plan is not None and not self.plan.costs[NOT_KNOWN] and not self.perhaps_there
        return known and all(x.recorded for x in lines)


def swap(
    catalogue: Catalogue,
    vehicle_name: str,
    *,
    alternatives: int = 3,
    turning: Turns = NO_TURNING,
    patience: Patience | None = None,
    **typed: Unpack[TypedRequest],
) -> SwapAnswer:
    """Answer a swap as it is typed. ``turning``: of which measurements also the readings at which the plan turns.

    Raises RequestError or UnknownNameError.
    """
    vehicle, _, request = asked_of(catalogue, vehicle_name, typed)
    return plan_swap(catalogue, vehicle.vehicle, request, alternatives=alternatives, turning=turning, patience=patience)


def plan_swap(
    catalogue: Catalogue,
    vehicle_name: str,
    request: Request,
    *,
    alternatives: int = 3,
    reasons: bool = True,
    turning: Turns = NO_TURNING,
    checks: Checks | None = None,
    patience: Patience | None = None,
) -> SwapAnswer:
    """Plan a request on a vehicle: best plan, forced changes with minimal reasons, what to measure first.

    Without ``reasons`` only the plan, or why there is none. ``checks``: of its layout, where other requests are planned
    with them too. ``patience``: how long it may search. Raises UnknownNameError where the vehicle or its layout is not
    in the records.
    """
    vehicle: Vehicle = catalogue.find("vehicle", vehicle_name)
    places = Places(catalogue.find("layout", vehicle.layout))
    problem = Problem(checks or Checks(catalogue, places), vehicle, request)
    planner = planner_of(problem, patience)
    asking = _Asking(planner, places_asked(w.places for w in request.wants), reasons, Undecided(planner.patience))
    answer = SwapAnswer(
        vehicle=vehicle.vehicle,
        title=vehicle.title,
        asked=request.in_words,
        findings=findings_of(problem),
        lacks_checks=lacking(catalogue, [places.layout]),
        arrangements=tuple(map(places.layout.titled, request.arrangements)),
    )
    planner.patience.heard(BEST_PLAN, 0, 0)
    try:
        filling = planner.best()
    except TimeUp:
        asking.undecided.add(PLAN)
        return asking.without_plan(answer)
    planner.patience.again()
    if filling is None:
        return asking.without_plan(asking.why_none(answer))
    planned = asking.planned(answer, filling, alternatives)
    if not (turning.first and planned.measure_first):
        return planned
    if len(problem.numbered) > turning.among:
        return replace(planned, turning_left_out=len(problem.numbered))
    measurements = with_turning(problem, filling, planned.measure_first, turning.first, planner.patience)
    return replace(planned, measure_first=measurements)


class _Asking(msgspec.Struct, frozen=True):
    """A swap on the way: its planner, the places that were asked about, whether reasons are sought, and what is not
    decided so far."""

    planner: Planner
    asked: Sequence[Place]
    reasons: bool
    undecided: Undecided

    @property
    def problem(self) -> Problem:
        """What is planned."""
        return self.planner.problem

    @property
    def catalogue(self) -> Catalogue:
        """The records."""
        return self.problem.checks.catalogue

    @property
    def _usual(self) -> tuple[str, ...]:
        return cautions_on(self.catalogue, [self.problem.places.layout])

    def _touching(self, answer: SwapAnswer, positions: Collection[str]) -> tuple[SetAside, ...]:
        return touching(self.catalogue, [self.problem.places.layout], positions, vehicle=answer.vehicle)

    def why_none(self, answer: SwapAnswer) -> SwapAnswer:
        """Why there is no plan, and what would open one."""
        patience, in_time = self.planner.patience, self.undecided.in_time
        patience.heard(REASONS, 0, 0)
        none = in_time(lambda: Reasoner(self.planner, None, self.asked).reason_for_none(), None, WHY_NONE)
        if none is None or not self.reasons:
            return replace(answer, none=none)
        patience.heard(OPENING, 0, 0)
        opens = in_time(lambda: openings(self.problem, none, patience=patience), (), OPENINGS)
        opened = in_time(lambda: would_open(self.problem, none, opens, self.asked, patience), (), OPENINGS)
        return replace(answer, none=none, opens=opens, would_open=opened)

    def without_plan(self, answer: SwapAnswer) -> SwapAnswer:
        """The answer where no plan was found."""
        aside = self._touching(answer, self.problem.places.positions)
        cautions = (*self._usual, *told(aside), *lacking_told(answer.lacks_checks))
        return replace(answer, cautions=cautions, set_aside=aside, not_decided=self.undecided.all)

    def planned(self, answer: SwapAnswer, filling: Filling, alternatives: int) -> SwapAnswer:
        """The answer with a plan."""
        planner, problem, patience, in_time = self.planner, self.problem, self.planner.patience, self.undecided.in_time
        places = problem.places
        if not filling.proved:
            self.undecided.add(BEST)
        changes = changes_of(planner, filling, self.asked, self.reasons, self.undecided)
        unproven = unproven_checks(problem, filling)
        measurements, risks = measure_first(problem, filling, unproven)
        unknowns = None
        if self.reasons and filling.costs[NOT_KNOWN]:
            unknowns = in_time(lambda: reason_without_unknowns(planner, self.asked), None, UNKNOWNS)
        aside = self._touching(answer, {c.position for c in changes if c.status != KEPT})
        standing = cautions_with(self.catalogue, (c.number for c in filling.chosen.values()), self._usual)
        opens: tuple[Opening, ...] = ()
        if unknowns:
            patience.heard(OPENING, 0, 0)
            opens = in_time(lambda: openings(problem, unknowns, filling, patience), (), OPENINGS)
        others = tuple(_alternatives(planner, filling, alternatives, self.undecided))
        unasked = None
        if self.reasons:
            unasked = in_time(lambda: given_up(problem, filling, self.asked, patience), None, GIVEN_UP)
        groups = order_groups(problem, filling, changes)
        figures = told_figures(problem, filling)
        return replace(
            answer,
            plan=Plan(
                arrangement=places.layout.said(filling.arrangements),
                costs=filling.costs,
                proved=filling.proved,
                was=places.layout.said(problem.arranged),
                filled=filled_places(places, filling),
                groups=groups,
                unproven=unproven,
                superseded=chains_of(self.catalogue, (line.number for g in groups for line in g.lines)),
            ),
            opens=opens,
            changes=changes,
            stops=stops_of(problem, filling),
            consumables=consumables_of(problem, filling),
            measure_first=measurements,
            risks=risks,
            alternatives=others,
            cautions=(*standing, *told(aside), *lacking_told(answer.lacks_checks)),
            given_up=unasked,
            figures=figures,
            sweep=sweeps(places.layout, figures),
            meetings=told_meetings(problem.checks, ruled_out(changes, answer.findings)),
            unknowns=unknowns,
            set_aside=aside,
            record_first=record_first(problem, filling),
            to_find=specifications(problem, filling),
            perhaps_there=tuple(map(places.layout.titled, perhaps_there(problem, filling))),
            not_decided=self.undecided.all,
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


def _alternatives(planner: Planner, first: Filling, most: int, undecided: Undecided) -> Iterator[Alternative]:
    """Plans that are better on some level. Of a plan that is not proved to be the best nobody can say which are."""
    last = first
    for done in range(most):
        planner.patience.heard(OTHER_PLANS, done, most)
        if not last.proved:
            undecided.add(OTHERS)
            return
        planner.exclude_no_better(last.costs)
        other = undecided.in_time(planner.best, None, OTHERS)
        if other is None:
            return
        yield Alternative(other.costs, differences(planner.problem.places, first, other))
        last = other


def differences(places: Places, first: Filling, other: Filling) -> tuple[tuple[Place, str, str], ...]:
    """Where two fillings differ: place, what the first has, what the other has (blank: empty)."""

    def said(candidate: Candidate | None) -> str:
        return "" if candidate is None else candidate.number + (" (stays)" if candidate.stays else "")

    def pair(place: Place) -> tuple[str, str]:
        return said(first.chosen.get(place)), said(other.chosen.get(place))

    return tuple((p, *pair(p)) for p in places.all if pair(p)[0] != pair(p)[1])
