"""Other ways round: a part of the plan cannot be had. What else could stand there, and where is each other way blocked?

Each thing that the records offer for its place is tried by a plan of its own: another number, or what is there now. A
way that has a plan is compared with the plan that had the part. A way that has none is stopped by checks, with their
sizes. Nothing is invented: no adapter, no machining that the records do not know.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Unpack

import msgspec
from msgspec.structs import replace

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place
from knockon.queries.answers import SHORT_CAUTIONS, Answer, cautions_on
from knockon.queries.as_typed import RequestError
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.plan.line_changes import LineChange, line_changes
from knockon.queries.plan.reasons.links import Step
from knockon.queries.plan.reasons.reasons import Reason
from knockon.queries.plan.solving.asked import Asked
from knockon.queries.plan.solving.levels import NOT_KNOWN, in_order
from knockon.queries.plan.solving.patience import Patience
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import Request, TypedRequest, Wanted, asked_of
from knockon.queries.plan.solving.undecided import BEST, PLAN, NotDecided, Undecided, is_undecided
from knockon.queries.plan.swap import SwapAnswer, plan_swap

MOST_TRIED = 24
"""So many ways are tried for a part, the best one first, then by number; the answer says how many were not."""
Progress = Callable[[int, int], None]


def unseen(done: int, whole: int) -> None:
    """Progress that nobody sees."""


class Route(msgspec.Struct, frozen=True):
    """A way that has a plan: with another number in the part's place, or (``stays``) with what is there now; without a
    number nothing stands there.

    ``wish`` asks for it, ``asked`` is all that its plan asks. ``costs``: the levels of preference by name, price in
    hundredths; ``lines``: the order lines that are not those of the plan with the part. ``settled``: it rests on
    nothing that is not known."""

    number: str
    numbers: tuple[str, ...]
    wish: str
    asked: tuple[Asked, ...]
    stays: bool
    costs: dict[str, int]
    lines: tuple[LineChange, ...]
    settled: bool
    proved: bool


class Stopped(msgspec.Struct, frozen=True):
    """A way that has no plan, and why. ``unsafe``: it goes together and must not be used, or the records do not accept
    it (``not_accepted``, in their words)."""

    number: str
    numbers: tuple[str, ...]
    wish: str
    stays: bool
    reason: Reason | None = None
    unsafe: bool = False
    not_accepted: str = ""


class RoutesAnswer(Answer, frozen=True):
    """The ways round a part, those that have a plan first, best first; then those that are stopped, the unsafe ones
    first. ``places``: where the plan has the part; ``costs``: those of the plan with it. ``untried``: how many more
    ways there are."""

    vehicle: str
    title: str
    asked: tuple[Asked, ...]
    part: str
    numbers: tuple[str, ...]
    places: tuple[Place, ...]
    costs: dict[str, int]
    routes: tuple[Route, ...] = ()
    stopped: tuple[Stopped, ...] = ()
    untried: int = 0
    cautions: tuple[str, ...] = SHORT_CAUTIONS
    not_decided: tuple[NotDecided, ...] = ()

    @property
    def is_good(self) -> bool:
        """Whether some way has a plan that rests on nothing unknown."""
        return any(route.settled for route in self.routes)


def routes(
    catalogue: Catalogue,
    vehicle_name: str,
    part: str,
    *,
    progress: Progress = unseen,
    patience: Patience | None = None,
    **typed: Unpack[TypedRequest],
) -> RoutesAnswer:
    """The ways round a part of the best plan for a request as it is typed. Cost: one plan each.

    The best plan without the part is sought first, among all that may stand there: where it has none, no way has one,
    tried or not; else its own way is tried first.

    Raises UnknownNameError; RequestError where there is no plan, or where the plan does not buy the part.
    """
    vehicle, places, request = asked_of(catalogue, vehicle_name, typed)
    number = catalogue.find("part", part).part
    numbers = _hands(catalogue, number)
    checks = Checks(catalogue, places)
    patience = patience or Patience()

    def planned(asked: Request) -> SwapAnswer:
        return plan_swap(
            catalogue, vehicle.vehicle, asked, alternatives=0, reasons=False, checks=checks, patience=patience.anew()
        )

    base = planned(request)
    if base.plan is None:
        raise RequestError("there is no plan to find another way for. Ask knockon swap why")
    at = tuple(f.place for f in base.plan.filled if f.number in numbers and not f.stays)
    if not at:
        raise RequestError(f"the plan does not buy {number}. Name a part of its order list")
    without = replace(
        request,
        wants=tuple(w for w in request.wants if not set(w.numbers) & set(numbers)),
        avoid=(*request.avoid, *numbers),
    )
    problem = Problem(checks, vehicle, without)
    ways = list(_ways(problem, at, numbers))
    if len(without.wants) < len(request.wants) and ways:  # it was asked for itself: something like it must stand there
        others = tuple(sorted({n for wanted, _ in ways for n in wanted.numbers}))
        wish = Wanted(f"another {at[0].position}", ways[0][0].places, others)
        best = planned(replace(without, wants=(*without.wants, wish)))
    else:
        best = planned(without)
    first = {f.number for f in best.plan.filled if f.place in at} if best.plan is not None else set()
    tried = sorted(ways, key=lambda way: not first & set(way[0].numbers))
    undecided = Undecided(patience)
    if best.plan is None and is_undecided(best.not_decided, PLAN):
        undecided.add(PLAN)
    found: list[Route] = []
    if best.plan is not None and not first and len(without.wants) == len(request.wants):
        found.append(_route(base, best, Wanted("", ()), stays=False))
    stopped: list[Stopped] = list(_not_accepted(problem, at[0].position))
    for done, (wanted, stays) in enumerate(tried[:MOST_TRIED]):
        progress(done, min(len(tried), MOST_TRIED))
        answer = planned(replace(without, wants=(*without.wants, wanted)))
        if answer.plan is not None:
            found.append(_route(base, answer, wanted, stays))
        elif is_undecided(answer.not_decided, PLAN):
            undecided.add(PLAN, wanted.numbers[0])
        else:
            stopped.append(_stopped(wanted, stays, answer.none))
    undecided.add_all(BEST, (r.number for r in found if not r.proved))
    order = (NOT_KNOWN, *in_order(request.prefer))
    return RoutesAnswer(
        vehicle=vehicle.vehicle,
        title=vehicle.title,
        asked=request.in_words,
        part=number,
        numbers=numbers,
        places=at,
        costs=base.plan.costs,
        routes=tuple(sorted(found, key=lambda r: ([r.costs[level] for level in order], r.number))),
        stopped=tuple(sorted(stopped, key=lambda s: (not s.unsafe, not s.stays, s.number))),
        untried=max(0, len(tried) - MOST_TRIED),
        cautions=cautions_on(catalogue, [places.layout]),
        not_decided=undecided.all,
    )


def _hands(catalogue: Catalogue, number: str) -> tuple[str, ...]:
    """A number, and that of its other hand."""
    part = catalogue.parts.get(number)
    return tuple(sorted({number, part.mirror_of} - {""})) if part else (number,)


def _ways(problem: Problem, at: tuple[Place, ...], numbers: tuple[str, ...]) -> Iterator[tuple[Wanted, bool]]:
    """A wish for each other thing that may stand in the first of these positions, both hands of it one; whether it is
    what stands there now."""
    position = at[0].position
    here = tuple(p for p in at if p.position == position)
    found: dict[str, set[str]] = {}
    staying: set[str] = set()
    for place in here:
        for candidate in _others(problem, place, numbers):
            found.setdefault(candidate.alike, set()).update(_hands(problem.checks.catalogue, candidate.number))
            staying |= {candidate.alike} if candidate.stays else set()
    for alike, own in sorted(found.items()):
        named = tuple(sorted(own))
        yield Wanted(f"{position}={named[0]}", here, named), alike in staying


def _others(problem: Problem, place: Place, numbers: tuple[str, ...]) -> Iterator[Candidate]:
    yield from (c for c in problem.candidates[place] if c.is_known and c.number not in numbers)


def _not_accepted(problem: Problem, position: str) -> Iterator[Stopped]:
    """The parts for that position which no plan would use unasked."""
    catalogue, part_type = problem.checks.catalogue, problem.places.positions[position].part_type
    for _, part in sorted(catalogue.parts.items()):
        if part.not_accepted and catalogue.vocabulary.is_a(part.part_type, part_type):
            wish = f"{position}={part.part}"
            yield Stopped(part.part, (part.part,), wish, stays=False, unsafe=True, not_accepted=part.not_accepted)


def _route(base: SwapAnswer, answer: SwapAnswer, wanted: Wanted, stays: bool) -> Route:
    assert answer.plan is not None
    return Route(
        number=next(iter(wanted.numbers), ""),
        numbers=wanted.numbers,
        wish=wanted.text,
        asked=answer.asked,
        stays=stays and all(f.stays for f in answer.plan.filled if f.place in wanted.places),
        costs=answer.plan.costs,
        lines=line_changes(base, answer),
        settled=answer.is_settled,
        proved=answer.plan.proved,
    )


def _stopped(wanted: Wanted, stays: bool, reason: Reason | None) -> Stopped:
    own = set(wanted.numbers)
    steps = reason.steps if reason is not None else ()
    unsafe = any(s.verdict is Verdict.DO_NOT_USE and own & set(about(s)) for s in steps)
    return Stopped(wanted.numbers[0], wanted.numbers, wanted.text, stays, reason, unsafe)


def about(step: Step) -> tuple[str, ...]:
    """The numbers that a link of a reason is about."""
    things = step.evidence.things if step.evidence is not None else ()
    return (step.given, step.ruled_out, *things)


__all__ = ["Route", "RoutesAnswer", "Stopped", "routes"]
