"""What would open a request that nothing meets: the part that would have to exist, or what need not be asked."""

from __future__ import annotations

from msgspec.structs import replace

from knockon.queries.plan.openings.openings import Opening, openings
from knockon.queries.plan.reasons.reasons import Reasoner, places_asked
from knockon.queries.plan.solving.planner import Planner
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.swap import plan_swap
from tests.unit.small import problem, world


def opened(of: Problem) -> tuple[Opening, ...]:
    """The openings of a problem that has no plan."""
    planner = Planner(of)
    assert planner.best() is None
    asked = places_asked(w.places for w in of.request.wants)
    return openings(of, Reasoner(planner, None, asked).reason_for_none())


def test_the_missing_part_is_named_with_the_size_of_its_neighbour() -> None:
    of = problem(world(), "axle=AXLE-25")
    first, *_ = opened(Problem(of.checks, of.vehicle, replace(of.request, avoid=WITHOUT)))
    (beside,) = first.beside
    assert (first.position, beside.number, beside.check) == ("hub", "AXLE-25", "hub on axle")
    assert [v.written for v in beside.sizes] == ["25 mm"]


def test_no_other_part_is_offered_for_a_place_that_is_to_be_kept() -> None:
    """Nor for one in which a number is asked for: it would be no plan of what was asked."""
    (dropped,) = opened(problem(world(), "axle=AXLE-25", keep=("hub",)))
    assert dropped.dropped == ("keep left hub", "keep right hub")
    (dropped,) = opened(problem(world(), "hub=HUB-25L", keep=("axle", "cap")))
    assert dropped.dropped
    sized, *_ = opened(problem(world(), "axle.diameter>=24 mm", keep=("hub",)))
    assert (sized.position, sized.beside[0].number) == ("axle", "HUB-20L")


WITHOUT = ("HUB-25L", "HUB-25R", "PAIR-25", "HUB-?")


def drops(found: tuple[Opening, ...]) -> dict[tuple[str, ...], int]:
    return {o.dropped: o.not_known for o in found if o.dropped}


def test_of_what_is_avoided_each_that_alone_opens_it_is_named() -> None:
    """One hub of a pair opens nothing; the hub of unknown size does, and rests on what nobody knows."""
    of = problem(world(), "axle=AXLE-25")
    found = opened(Problem(of.checks, of.vehicle, replace(of.request, avoid=WITHOUT)))
    assert drops(found) == {
        ("avoid PAIR-25",): 0,
        ("avoid HUB-?",): 6,
    }  # on the axle, its studs and its cap, on both sides


def test_what_opens_it_only_together_is_named_together() -> None:
    of = problem(world(), "axle=AXLE-25")
    kept = replace(of.request, avoid=WITHOUT, keep=problem(world(), keep=("hub",)).request.keep)
    (words,) = drops(opened(Problem(of.checks, of.vehicle, kept)))
    assert words == ("keep left hub", "keep right hub", *(f"avoid {n}" for n in WITHOUT))


def test_what_changes_nothing_is_not_advised() -> None:
    of = problem(world(), "axle=AXLE-25", keep=("hub", "stud"))
    assert drops(opened(of)) == {("keep left hub", "keep right hub"): 0}


def test_a_plan_on_unknowns_is_told_only_what_makes_it_better_known() -> None:
    """Any plan is possible without what is to be kept: that alone is no advice."""
    of = problem(world(), "axle=AXLE-25", keep=("stud",))
    of.request = replace(of.request, avoid=("HUB-25L", "HUB-25R", "PAIR-25"))
    answer = plan_swap(of.checks.catalogue, "cart", of.request)
    assert answer.plan is not None and answer.plan.costs["not known"] == 6 and answer.unknowns is not None
    assert "unknown not allowed" in answer.unknowns.cites and len(answer.unknowns.cites) > 1
    assert drops(answer.opens) == {("avoid PAIR-25",): 0}


def test_wishes_that_nothing_meets() -> None:
    assert opened(problem(world(), "axle.diameter>=90 mm")) == (Opening(wishes=("axle.diameter>=90 mm",)),)
    together = opened(problem(world(), "axle=AXLE-20", "axle=AXLE-25"))
    assert together == (Opening(position="axle", wishes=("axle=AXLE-20", "axle=AXLE-25")),)
