"""Trials: the same answers as solving each anew, fewer times solved, nothing remembered of another program."""

from __future__ import annotations

from itertools import combinations

import pytest

from knockon.graph.model.layouts.layout import Place
from knockon.queries.plan.solving.planner import Planner
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.trials import Trials
from tests.unit.small import AXLE, LEFT, RIGHT, planned, problem, world

BIG = "axle=AXLE-25"


def checks_of(of: Problem) -> list[str]:
    """The sorts of check of a problem, in a fixed order."""
    return ["arrangement", *of.sorts, "axle"]


def by_deletion(planner: Planner, ranked: list[str], kept: Place) -> tuple[str, ...]:
    """The same minimal set as the textbook finds it: from the last, each is left out if it can be; all solved anew."""
    cited = list(ranked)
    for sort in reversed(ranked):
        planner.forget()
        without = [s for s in cited if s != sort]
        if not planner.is_possible(without, kept):
            cited = without
    return tuple(cited)


@pytest.mark.parametrize(
    ("wish", "place"), [(BIG, LEFT), (BIG, RIGHT), ("left hub=HUB-25L", RIGHT), ("hub=PAIR-25", AXLE)], ids=str
)
@pytest.mark.parametrize("backwards", [False, True])
def test_the_minimal_set_is_that_of_deletion_in_any_order_of_preference(
    wish: str, place: Place, backwards: bool
) -> None:
    of = problem(world(), wish)
    ranked = checks_of(of)[:: -1 if backwards else 1]
    planner = Planner(of)
    assert not planner.is_possible(ranked, place)
    assert planner.trials.minimal(ranked, place) == by_deletion(Planner(of), ranked, place)


def test_what_is_remembered_is_what_solving_anew_gives() -> None:
    of = problem(world(), BIG)
    remembering, anew = Planner(of), Planner(of)
    for size in range(4):
        for sorts in combinations(checks_of(of), size):
            for kept in (LEFT, RIGHT, Place("cap", "left"), AXLE, None):
                anew.forget()
                assert remembering.is_possible(sorts, kept) == anew.is_possible(sorts, kept), (sorts, kept)


def test_a_trial_that_another_settles_is_not_solved(monkeypatch: pytest.MonkeyPatch) -> None:
    of = problem(world(), BIG)
    planner = Planner(of)
    joint = of.sort_of["hub on axle"]
    solved = []
    solve = Trials._solve

    def counted(trials: Trials, sorts: list[str], kept: Place | None, asked: int) -> tuple[bool, int]:
        solved.append(tuple(sorts))
        return solve(trials, sorts, kept, asked)

    monkeypatch.setattr(Trials, "_solve", counted)
    assert not planner.is_possible([joint], LEFT)
    assert not planner.is_possible([joint, "axle"], LEFT)  # more checks never make it possible again
    assert solved == [(joint,)]


def test_nothing_is_remembered_when_the_program_grows() -> None:
    planner, filling = planned(problem(world(), BIG))
    cap = Place("cap", "left")
    everything = checks_of(planner.problem)
    assert planner.is_possible(everything, None) and planner.is_possible(everything, cap)
    while (other := planner.best()) is not None:
        planner.exclude(other)
    assert not planner.is_possible(everything, None)
    assert filling.costs["not known"] == 0


def test_each_limit_of_unknowns_is_tried_by_itself() -> None:
    planner, _ = planned(problem(world(), "axle.diameter>=25 mm"))
    everything = [*checks_of(planner.problem), "unknown"]
    for most in (0, 3, 0):
        planner.limit_unknowns(most)
        alone = Planner(planner.problem)
        alone.limit_unknowns(most)
        for place in (LEFT, AXLE, Place("cap", "left"), None):
            assert planner.is_possible(everything, place) == alone.is_possible(everything, place), (most, place)
