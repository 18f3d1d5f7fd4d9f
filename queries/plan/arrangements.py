"""A plan that gives up the arrangement of the vehicle though nobody asked for that: what stands in the way of keeping
it."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec
from msgspec.structs import replace

from knockon.graph.model.layouts.layout import Place
from knockon.queries.plan.reasons.reasons import Reason, Reasoner
from knockon.queries.plan.solving.levels import NOT_KNOWN
from knockon.queries.plan.solving.narrowed import planner_of
from knockon.queries.plan.solving.patience import Patience, TimeUp
from knockon.queries.plan.solving.planner import Filling
from knockon.queries.plan.solving.problem import Problem


class GivenUp(msgspec.Struct, frozen=True):
    """The vehicle's own arrangement: what the best plan that keeps it costs (None: there is none); why there is none,
    or none that rests on no more unknowns than the plan which gives it up."""

    arrangement: str
    costs: dict[str, int] | None
    reason: Reason | None


def given_up(
    problem: Problem, filling: Filling, asked: Sequence[Place], patience: Patience | None = None
) -> GivenUp | None:
    """What was given up unasked of the vehicle's own arrangements; None where they stay, or a wish names a place of the
    new one, or the new one itself. Raises TimeUp."""
    positions = problem.places.positions
    wanted = {positions[p.position].arrangement for p in asked} & filling.arrangements
    lost: list[str] = []
    for choice in problem.places.layout.choices:
        own = set(choice.arrangements) & set(problem.arranged)
        asked_for = (wanted | set(problem.request.arrangements)) & set(choice.arrangements)
        if not own & filling.arrangements and not asked_for:
            lost += own
    if not lost:
        return None
    was = problem.places.layout.said(lost)
    request = replace(problem.request, arrangements=(*problem.request.arrangements, *lost))
    planner = planner_of(Problem(problem.checks, problem.vehicle, request), patience)
    best = planner.best()
    reasoner = Reasoner(planner, None, asked)
    if best is None:
        return GivenUp(was, None, reasoner.reason_for_none())
    if not best.proved:
        raise TimeUp
    most = filling.costs[NOT_KNOWN]
    if best.costs[NOT_KNOWN] <= most:
        return GivenUp(was, best.costs, None)
    planner.limit_unknowns(most)
    return GivenUp(was, best.costs, reasoner.reason_for_none(unknown_limited=True))
