"""A plan that gives up the arrangement of the vehicle though nobody asked for that: what stands in the way of keeping
it."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from knockon.graph.layout import Place
from knockon.queries.planner import Filling, Planner
from knockon.queries.problem import Problem
from knockon.queries.reasons import Reason, Reasoner


@dataclass(frozen=True, slots=True)
class GivenUp:
    """The vehicle's own arrangement: what the best plan that keeps it costs (None: there is none); why there is none,
    or none that rests on no more unknowns than the plan which gives it up."""

    arrangement: str
    costs: dict[str, int] | None
    reason: Reason | None


def given_up(problem: Problem, filling: Filling, now: Collection[str], asked: Sequence[Place]) -> GivenUp | None:
    """What was given up unasked of the arrangements that hold ``now``; None where they stay, or a wish names
    the new one or a place of it."""
    positions = problem.places.positions
    wanted = {positions[p.position].arrangement for p in asked} & filling.arrangements
    wanted |= set(problem.request.arrangements)
    lost: list[str] = []
    for choice in problem.places.layout.choices:
        own = set(choice.arrangements) & set(now)
        if len(own) == 1 and not own & filling.arrangements and not wanted & set(choice.arrangements):
            lost += own
    if not lost:
        return None
    was = problem.places.layout.said(lost)
    request = replace(problem.request, arrangements=(*problem.request.arrangements, *lost))
    planner = Planner(Problem(problem.checks, problem.vehicle, request))
    best = planner.best()
    reasoner = Reasoner(planner, None, asked)
    if best is None:
        return GivenUp(was, None, reasoner.reason_for_none())
    most = filling.costs["not known"]
    if best.costs["not known"] <= most:
        return GivenUp(was, best.costs, None)
    planner.limit_unknowns(most)
    return GivenUp(was, best.costs, reasoner.reason_for_none(unknown_limited=True))
