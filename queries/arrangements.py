"""A plan that gives up the arrangement of the vehicle though nobody asked for that: what stands in the way of keeping
it."""

from __future__ import annotations

from collections.abc import Sequence
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


def given_up(problem: Problem, filling: Filling, was: str, asked: Sequence[Place]) -> GivenUp | None:
    """What was given up unasked; None where the arrangement stays, or a wish names a place of the new one."""
    positions = problem.places.positions
    if not was or filling.arrangement in ("", was) or was not in problem.places.layout.arrangements:
        return None
    if any(positions[p.position].arrangement == filling.arrangement for p in asked):
        return None
    planner = Planner(Problem(problem.checks, problem.vehicle, replace(problem.request, arrangement=was)))
    best = planner.best()
    reasoner = Reasoner(planner, None, asked)
    if best is None:
        return GivenUp(was, None, reasoner.reason_for_none())
    most = filling.costs["not known"]
    if best.costs["not known"] <= most:
        return GivenUp(was, best.costs, None)
    planner.limit_unknowns(most)
    return GivenUp(was, best.costs, reasoner.reason_for_none(unknown_limited=True))
