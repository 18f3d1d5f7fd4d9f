"""Where parts are recorded and none fits: the specification of a part with which there would be a plan, tried out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from knockon.graph.model.layouts.layout import Place
from knockon.queries.plan.openings.openings import Opening
from knockon.queries.plan.openings.specification import specifications
from knockon.queries.plan.openings.specified import Specification
from knockon.queries.plan.reasons.reasons import Reason, Reasoner
from knockon.queries.plan.solving.narrowed import planner_of
from knockon.queries.plan.solving.patience import Patience, TimeUp
from knockon.queries.plan.solving.problem import Problem

MOST_TRIED = 6
"""So many positions are tried one by one, in the order in which the reason names them."""
MOST_TOGETHER = 4
"""So many times more positions are added, where one alone does not open it."""


def would_open(
    problem: Problem,
    reason: Reason,
    opens: Sequence[Opening],
    asked: Sequence[Place],
    patience: Patience | None = None,
) -> tuple[tuple[Specification, ...], ...]:
    """Each way to open a request that no known part meets: the parts, mostly one, that would have to exist.

    A position is tried with a part yet to be found beside the known ones; only where that gives a plan is its
    specification told. Where no single part would do, those that the reason names are tried together, with what then
    stands in the way. Raises TimeUp.
    """
    positions = _positions(problem, reason, opens)
    ways = [found for p in positions if (found := _specified(_sought(problem, (p,)), patience))]
    if ways or not positions:
        return tuple(ways)
    sought = positions
    for _ in range(MOST_TOGETHER):
        tried = _sought(problem, sought)
        found = _specified(tried, patience)
        if found:
            return (found,)
        more = Reasoner(planner_of(tried, patience), None, asked).reason_for_none()
        grown = tuple(dict.fromkeys((*sought, *_positions(problem, more, ()))))
        if grown == sought:
            break
        sought = grown
    return ()


def _positions(problem: Problem, reason: Reason, opens: Sequence[Opening]) -> tuple[str, ...]:
    """The positions that speak in it, but for those where something is to be kept or a number is asked for."""
    fixed = {p.position for p in problem.request.keep}
    fixed |= {p.position for w in problem.request.wants if w.numbers for p in w.places}
    named = [o.position for o in opens if o.position]
    named += [p.position for o in opens for w in problem.request.wants if w.text in o.wishes for p in w.places]
    named += _standing(problem, _places_of(reason))
    return tuple(p for p in dict.fromkeys(named) if p not in fixed)[:MOST_TRIED]


def _places_of(reason: Reason) -> Iterator[Place]:
    for step in reason.steps:
        yield from (step.place, step.given_place)
        yield from step.evidence.places if step.evidence is not None else ()


def _standing(problem: Problem, places: Iterable[Place]) -> list[str]:
    """The positions of these places, in the layout's order."""
    here = set(places)
    return list(dict.fromkeys(p.position for p in problem.places.all if p in here))


def _sought(problem: Problem, positions: tuple[str, ...]) -> Problem:
    return Problem(problem.checks, problem.vehicle, problem.request, problem.kit, frozenset(positions))


def _specified(sought: Problem, patience: Patience | None) -> tuple[Specification, ...]:
    """What the parts yet to be found of the best plan would have to be; none where there is no plan, or no part can be
    what is asked."""
    filling = planner_of(sought, patience).best()
    if filling is not None and not filling.proved:
        raise TimeUp
    found = specifications(sought, filling) if filling is not None else ()
    return found if all(s.is_possible for s in found) else ()
