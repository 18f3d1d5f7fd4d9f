"""What a reason shows: things that can stand together, so that no sum or pair is told that nobody could build.

A set is used whole or not at all. Where the plan has a set and a reason puts the old thing in the place of one of its
members, the other members cannot stand there: shown is the loose part of the same drawing, if there is one.
"""

from __future__ import annotations

from collections.abc import Mapping

from knockon.graph.model.layouts.layout import Place
from knockon.queries.fits.checking.candidates import Candidate
from knockon.queries.plan.solving.problem import Problem

Things = Mapping[Place, Candidate | None]


def is_torn(problem: Problem, one: Candidate, things: Things) -> bool:
    """Whether a set's new member stands beside something else in the place of another member."""
    if one.set_use is None or one.stays:
        return False
    members = problem.of_set[one.set_use]
    return any(p in things and things[p] != member for p, member in members.items() if p != one.place)


def loose(problem: Problem, member: Candidate) -> Candidate | None:
    """The part that is sold by itself and made to the drawing of a set's member, as a new thing."""
    alike = (c for c in problem.candidates[member.place] if c.set_use is None and not c.stays)
    return next((c for c in alike if member.same_drawing and c.number == member.same_drawing), None)


def buildable(problem: Problem, things: Things) -> tuple[dict[Place, Candidate | None], frozenset[Place]]:
    """These things with the members of torn sets loose, and the places for which there is no such part."""
    found, lacking = dict(things), set[Place]()
    for place, one in things.items():
        if one is not None and is_torn(problem, one, things):
            found[place] = loose(problem, one)
            if found[place] is None:
                lacking.add(place)
    return found, frozenset(lacking)
