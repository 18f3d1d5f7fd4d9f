"""Plans of which only the candidates that can matter are loaded, beside those of all candidates, on random small
worlds. KNOCKON_EXAMPLES sets how many worlds."""

from __future__ import annotations

import os

import pytest

from knockon.graph.model.layouts.layout import Places
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.plan.combinations import combinations
from knockon.queries.plan.solving import loading, narrowed
from knockon.queries.plan.solving.bounds import Bounds
from knockon.queries.plan.solving.classes import all_classes
from knockon.queries.plan.solving.levels import ARRANGEMENT, AXLE
from knockon.queries.plan.solving.narrowed import Narrowed
from knockon.queries.plan.solving.planner import Planner
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.tree_costs import NEVER
from knockon.queries.plan.swap import plan_swap
from tests.oracle.engine import request_for_engine
from tests.oracle.folders import folder
from tests.oracle.motion import Request

WORLDS = int(os.environ.get("KNOCKON_EXAMPLES") or 100)
FIRST = 41_000


@pytest.fixture(autouse=True)
def _one_by_one(monkeypatch: pytest.MonkeyPatch) -> None:
    """Begin with as little as may be, and load in small steps."""
    monkeypatch.setattr(loading, "FIRST_LOADED", 1)
    monkeypatch.setattr(loading, "MOST_AT_ONCE", 2)


def test_answers_are_the_same_as_with_all_candidates(monkeypatch: pytest.MonkeyPatch) -> None:
    """The whole answer of a swap, with its reasons, what each unknown rests on, and the other plans."""
    loads = 0
    load_more = Narrowed._load_more

    def counted(self: Narrowed) -> None:
        nonlocal loads
        loads += 1
        load_more(self)

    for seed, case, catalogue in folder(FIRST, FIRST + WORLDS):
        request = request_for_engine(case.world, case.request)
        monkeypatch.setattr(narrowed, "FEW", 10**9)
        whole = repr(plan_swap(catalogue, case.vehicle.name, request))
        with monkeypatch.context() as narrow:
            narrow.setattr(narrowed, "FEW", 0)
            narrow.setattr(Narrowed, "_load_more", counted)
            part = repr(plan_swap(catalogue, case.vehicle.name, request))
        assert part == whole, seed
    assert loads > WORLDS // 2


def test_combinations_are_the_same_as_with_all_candidates(monkeypatch: pytest.MonkeyPatch) -> None:
    for seed, case, catalogue in folder(FIRST, FIRST + WORLDS // 2):
        given = [f"{position}={part}" for position, part in case.request.wants]
        answers = []
        for few in (10**9, 0):
            monkeypatch.setattr(narrowed, "FEW", few)
            answers.append(repr(combinations(catalogue, case.world.layout, given, first=5)))
        assert answers[0] == answers[1], seed


def test_no_filling_costs_less_than_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    """Of all checks and of some: the best filling with each thing kept, and each candidate in it."""
    monkeypatch.setattr(narrowed, "FEW", 10**9)
    told = 0
    for seed, case, catalogue in folder(FIRST, FIRST + WORLDS // 2):
        places = Places(catalogue.find("layout", case.world.layout))
        vehicle = catalogue.find("vehicle", case.vehicle.name)
        problem = Problem(Checks(catalogue, places), vehicle, request_for_engine(case.world, case.request))
        solved, bounds = Planner(problem), Bounds(problem, all_classes(problem))
        names = list(problem.sorts)
        for sorts in (None, frozenset(), frozenset(names[::2]), frozenset((*names[::3], ARRANGEMENT, AXLE))):
            assumed = [*names, ARRANGEMENT, AXLE] if sorts is None else list(sorts)
            for kept in (None, *(p for p in problem.found if problem.staying(p) is not None)):
                least = bounds.least(sorts, kept)
                best = solved.best_of_only(assumed, kept)
                if best is None:
                    continue
                cost = bounds.units.packed(best.costs)
                assert least.any <= cost, (seed, sorts, kept)
                assert all(least.of(problem.ids[c]) <= cost for c in best.chosen.values()), (seed, sorts, kept)
                told += 0 < least.any < NEVER
    assert told > WORLDS


def test_nothing_is_told_of_where_nothing_can_stand() -> None:
    """What a wish rules out is in no filling."""
    for _seed, case, catalogue in folder(FIRST, FIRST + 10):
        wants = Request(wants=case.request.wants)
        if not wants.wants:
            continue
        places = Places(catalogue.find("layout", case.world.layout))
        problem = Problem(
            Checks(catalogue, places),
            catalogue.find("vehicle", case.vehicle.name),
            request_for_engine(case.world, wants),
        )
        least = Bounds(problem, all_classes(problem)).least()
        for wanted in problem.request.wants:
            refused = (c for p in wanted.places for c in problem.candidates[p] if not problem.grants(wanted, c))
            assert all(least.of(problem.ids[c]) >= NEVER for c in refused)
