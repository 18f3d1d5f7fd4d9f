"""Targets side by side: one request that several parts would meet, a plan for each of them.

The parts are those that may stand in the leading position: the first that only the wanted arrangement needs (the rotor,
of disc brakes), else the position of which a property is wanted. Each plan is the very one that asking for that part
gives.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Unpack

import msgspec
from msgspec.structs import replace

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Places
from knockon.graph.model.things import Vehicle
from knockon.queries.answers import SHORT_CAUTIONS, Answer, cautions_on
from knockon.queries.as_typed import RequestError
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.plan.changes import KEPT, KEPT_AFTER_WORK, MOVED_OVER, Findings, findings_of
from knockon.queries.plan.reasons.reasons import Reason
from knockon.queries.plan.solving.asked import Asked
from knockon.queries.plan.solving.levels import NOT_KNOWN, in_order
from knockon.queries.plan.solving.patience import Patience
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import Request, TypedRequest, Wanted, asked_of
from knockon.queries.plan.solving.undecided import BEST, PLAN, NotDecided, Undecided, is_undecided
from knockon.queries.plan.swap import SwapAnswer, plan_swap

WHEEL = "wheel"
"""The part type whose change the owner wants to know of first: it is chosen by eye, and dear."""
STAY, AFTER_WORK, CHANGE = "stay", "stay after work", "change"
Progress = Callable[[int, int], None]


def unseen(done: int, whole: int) -> None:
    """Progress that nobody sees."""


class Target(msgspec.Struct, frozen=True):
    """One part that would meet the request, and the best plan with it.

    ``wish`` asks for it alone. ``costs``: the levels of preference by name, price in hundredths; ``lines``: numbers on
    the order list, parts yet to be found with them; ``wheels``: stay, stay after work or change (blank: the layout has
    none); ``measure``: how many things must be measured on the vehicle first; ``to_find``: part types of the plan of
    which no part is recorded. ``there``: it is on the vehicle already. ``proved``: no better plan with it was left out
    for want of time.
    """

    number: str
    numbers: tuple[str, ...]
    wish: str
    costs: dict[str, int]
    lines: int
    wheels: str
    measure: int
    to_find: tuple[str, ...]
    there: bool
    settled: bool
    proved: bool


class NoTarget(msgspec.Struct, frozen=True):
    """One part that would meet the request, with which there is no plan: why, or why it is not accepted."""

    number: str
    numbers: tuple[str, ...]
    wish: str
    reason: Reason | None = None
    not_accepted: str = ""


class SideBySideAnswer(Answer, frozen=True):
    """The targets that have a plan, best first by the levels of preference (``order``), and those that have none.

    ``position``: where they would stand. ``arrangements``: those that were asked for, in words; ``prefer``: the levels
    that were preferred. ``findings``: what is wrong or unknown on the vehicle as it stands.
    """

    vehicle: str
    title: str
    asked: tuple[Asked, ...]
    arrangements: tuple[str, ...]
    position: str
    order: tuple[str, ...]
    targets: tuple[Target, ...]
    without_plan: tuple[NoTarget, ...]
    findings: Findings
    prefer: tuple[str, ...] = ()
    cautions: tuple[str, ...] = SHORT_CAUTIONS
    not_decided: tuple[NotDecided, ...] = ()

    @property
    def is_settled(self) -> bool:
        """Whether one target at least has a plan that rests on nothing unknown."""
        return any(t.settled for t in self.targets)


def side_by_side(
    catalogue: Catalogue,
    vehicle_name: str,
    *,
    progress: Progress = unseen,
    patience: Patience | None = None,
    **typed: Unpack[TypedRequest],
) -> SideBySideAnswer:
    """A plan for each part that would meet a request as it is typed. Cost: one plan each.

    Raises RequestError, UnknownNameError; RequestError too where nothing wanted leaves a choice of parts.
    """
    vehicle, _, request = asked_of(catalogue, vehicle_name, typed)
    return compare_targets(catalogue, vehicle, request, progress, patience)


def compare_targets(
    catalogue: Catalogue,
    vehicle: Vehicle,
    request: Request,
    progress: Progress = unseen,
    patience: Patience | None = None,
) -> SideBySideAnswer:
    """As ``side_by_side``, of a request that was read."""
    places = Places(catalogue.find("layout", vehicle.layout))
    lead = leading_position(places, request)
    checks = Checks(catalogue, places)
    problem = Problem(checks, vehicle, request)
    patience = patience or Patience()
    undecided = Undecided(patience)
    asked = list(_targets(problem, lead))
    planned: list[Target] = []
    without: list[NoTarget] = [*_not_accepted(problem, lead)]
    cautions = dict.fromkeys(cautions_on(catalogue, [places.layout]))
    for done, wanted in enumerate(asked):
        progress(done, len(asked))
        one = replace(request, wants=(*request.wants, wanted))
        answer = plan_swap(
            catalogue, vehicle.vehicle, one, alternatives=0, reasons=False, checks=checks, patience=patience.anew()
        )
        cautions |= dict.fromkeys(answer.cautions)
        if answer.plan is None and is_undecided(answer.not_decided, PLAN):
            undecided.add(PLAN, *wanted.numbers[:1])
        elif answer.plan is None:
            without.append(NoTarget(wanted.numbers[0], wanted.numbers, wanted.text, answer.none))
        else:
            planned.append(_target(catalogue, answer, wanted))
    progress(len(asked), len(asked))
    undecided.add_all(BEST, (t.number for t in planned if not t.proved))
    order = (NOT_KNOWN, *in_order(request.prefer))
    planned.sort(key=lambda t: ([t.costs[level] for level in order], t.number))
    return SideBySideAnswer(
        vehicle=vehicle.vehicle,
        title=vehicle.title,
        asked=request.in_words,
        arrangements=tuple(map(places.layout.titled, request.arrangements)),
        position=lead,
        order=order,
        targets=tuple(planned),
        without_plan=tuple(sorted(without, key=lambda n: n.number)),
        findings=findings_of(problem),
        prefer=request.prefer,
        cautions=tuple(cautions),
        not_decided=undecided.all,
    )


def leading_position(places: Places, request: Request) -> str:
    """Where the parts would stand that are compared. Raises RequestError where nothing that is wanted leaves a
    choice."""
    for arrangement in request.arrangements:
        own = (p.position for p in places.layout.positions if p.arrangement == arrangement and p.need == "needed")
        lead = next(own, "")
        if lead:
            return lead
    lead = next((w.places[0].position for w in request.wants if not w.numbers), "")
    if not lead:
        raise RequestError("there is nothing to compare. Ask for an arrangement or a property, not for one part")
    return lead


def _targets(problem: Problem, lead: str) -> Iterator[Wanted]:
    """A wish for each part that may stand there and meets what is wanted: both hands of it are one."""
    places = tuple(p for p in problem.places.all if p.position == lead)
    named = tuple(p for p in places if any(p in w.places for w in problem.request.wants))
    found: dict[str, set[str]] = {}
    for place in named or places:
        wishes = [w for w in problem.request.wants if place in w.places]
        for candidate in problem.candidates[place]:
            if candidate.is_known and all(problem.grants(w, candidate) for w in wishes):
                found.setdefault(candidate.alike, set()).update(_both_hands(problem, candidate.number))
    for numbers in sorted(sorted(n) for n in found.values()):
        yield Wanted(f"{lead}={numbers[0]}", places, tuple(numbers))


def _both_hands(problem: Problem, number: str) -> set[str]:
    part = problem.checks.catalogue.parts.get(number)
    return {number, part.mirror_of} - {""} if part else {number}


def _not_accepted(problem: Problem, lead: str) -> Iterator[NoTarget]:
    """The parts for that position which no plan would use unasked."""
    catalogue = problem.checks.catalogue
    part_type = problem.places.positions[lead].part_type
    for part in (p for _, p in sorted(catalogue.parts.items()) if p.not_accepted):
        if catalogue.vocabulary.is_a(part.part_type, part_type) and part.part not in problem.request.avoid:
            yield NoTarget(part.part, (part.part,), f"{lead}={part.part}", not_accepted=part.not_accepted)


def _target(catalogue: Catalogue, answer: SwapAnswer, wanted: Wanted) -> Target:
    assert answer.plan is not None
    lines = [line for group in answer.plan.groups for line in group.lines]
    return Target(
        number=wanted.numbers[0],
        numbers=wanted.numbers,
        wish=wanted.text,
        costs=answer.plan.costs,
        lines=len({line.number or line.name for line in lines}),
        wheels=_wheels(catalogue, answer),
        measure=len(answer.measure_first),
        to_find=tuple(dict.fromkeys(line.name for line in lines if not line.recorded)),
        there=all(f.stays for f in answer.plan.filled if f.place in wanted.places),
        settled=answer.is_settled,
        proved=answer.plan.proved,
    )


def _wheels(catalogue: Catalogue, answer: SwapAnswer) -> str:
    """What becomes of the wheels, the worst of them."""
    found = [c.status for c in answer.changes if catalogue.vocabulary.is_a(c.part_type, WHEEL)]
    if any(status not in (KEPT, MOVED_OVER, KEPT_AFTER_WORK) for status in found):
        return CHANGE
    return (AFTER_WORK if KEPT_AFTER_WORK in found else STAY) if found else ""
