"""What would open a request that nothing meets: the part that would have to exist, or what need not be asked."""

from __future__ import annotations

from dataclasses import replace

from knockon.queries.openings import Opening, openings
from knockon.queries.planner import Planner
from knockon.queries.problem import Problem
from knockon.queries.reasons import Reasoner, places_asked
from tests.unit.small import problem, world


def opened(of: Problem) -> tuple[Opening, ...]:
    """The openings of a problem that has no plan."""
    planner = Planner(of)
    assert planner.best() is None
    asked = places_asked(w.places for w in of.request.wants)
    return openings(of, Reasoner(planner, None, asked).reason_for_none())


def test_the_missing_part_is_named_with_the_size_of_its_neighbour() -> None:
    first, dropped = opened(problem(world(), "axle=AXLE-25", keep=("hub",)))
    (beside,) = first.beside
    assert (first.position, beside.number, beside.check) == ("hub", "AXLE-25", "hub on axle")
    assert [v.written for v in beside.sizes] == ["25 mm"]
    assert dropped.dropped == ("keep left hub", "keep right hub")


def test_what_is_avoided_opens_it_only_where_that_is_enough() -> None:
    of = problem(world(), "axle=AXLE-25")
    without = ("HUB-25L", "HUB-25R", "PAIR-25", "HUB-?")
    found = opened(Problem(of.checks, of.vehicle, replace(of.request, avoid=without)))
    assert found[-1].dropped == tuple(f"avoid {n}" for n in without)
    kept = replace(of.request, avoid=without, keep=problem(world(), keep=("hub",)).request.keep)
    assert not [o for o in opened(Problem(of.checks, of.vehicle, kept)) if o.dropped]


def test_wishes_that_nothing_meets() -> None:
    assert opened(problem(world(), "axle.diameter>=90 mm")) == (Opening(wishes=("axle.diameter>=90 mm",)),)
    together = opened(problem(world(), "axle=AXLE-20", "axle=AXLE-25"))
    assert together == (Opening(position="axle", wishes=("axle=AXLE-20", "axle=AXLE-25")),)
