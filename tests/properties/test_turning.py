"""Turning values on random small worlds equal those by brute force: each value on both sides tried, all judged anew."""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

import pytest

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place, Places
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.plan.measure import Measurement, Risk, measure_first
from knockon.queries.plan.solving.planner import Filling, Planner
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.turning.moving import moving
from knockon.queries.plan.turning.supposed import Read
from knockon.queries.plan.turning.turning import Turning, turns
from tests.oracle.engine import Comparison, loaded, request_for_engine
from tests.oracle.generate import Case, case_from_seed
from tests.properties.turning import Brute, Looked, Turn, sizes_to_read

SEEN: list[int] = []
SEEDS = (15, 18, 24, 47, 75, 125, 149)
"""Worlds that have a plan with a length to read, and few fillings: here every value is tried. Of many more worlds some
values are (test_turning_worlds.py)."""
MOST_READINGS = 2


def as_problem(case: Case, catalogue: Catalogue) -> tuple[Problem, Filling | None]:
    vehicle = catalogue.vehicles[case.vehicle.name]
    problem = Problem(
        Checks(catalogue, Places(catalogue.layouts[vehicle.layout])),
        vehicle,
        request_for_engine(case.world, case.request),
    )
    return problem, Planner(problem).best()


def differences(case: Case, most: int = MOST_READINGS) -> Iterator[tuple[str, list[str]]]:
    """For some readings of a case what differs between the program and brute force; nothing where they agree."""
    if "price" in case.request.prefer:
        return
    catalogue = loaded(case.world)
    comparison = Comparison(case, catalogue)
    plan = comparison.same_filling()
    problem, filling = as_problem(case, catalogue)
    if plan is None or filling is None or case.vehicle.as_made:
        return
    first, hidden = measure_first(problem, filling, ())
    named: list[Measurement | Risk] = [*first, *hidden]
    wanted = dict.fromkeys(
        ((place.position, place.side), one.feature, d) for one in named for place in one.places for d in one.dimensions
    )
    for looked in list(sizes_to_read(case, wanted))[:most]:
        assert problem.vehicle is not None
        place, kind = Place(*looked.place), _iri(catalogue, looked)
        read = Read(catalogue, problem.vehicle, place, looked.feature, kind, looked.dimension)
        start = moving(read)
        if start is None or start.value is None:
            continue
        found = turns(problem, read, start, filling)
        within, value = (Fraction(x).limit_denominator(1000) for x in (start.within, start.value))
        brute = Brute(case, plan, looked, within)
        expected = [t for out in (-1, 1) if (t := brute.turn(value, int(start.most), out)) is not None]
        yield f"{looked}", list(_compare(expected, found.turning, value))


def _iri(catalogue: Catalogue, looked: Looked) -> str:
    return next(iri for iri, kind in catalogue.vocabulary.kinds.items() if kind.label == looked.kind)


def _compare(expected: list[Turn], found: tuple[Turning, ...], start: Fraction) -> Iterator[str]:
    ours = sorted({(abs(t.value - start), t.value, t.holds, t.no_plan) for t in expected})
    theirs = [(abs(Fraction(t.steps, 1000) - start), Fraction(t.steps, 1000), t.holds, t.no_plan) for t in found]
    SEEN.append(len(ours))
    if ours != theirs:
        yield f"ours {[(float(v), h, n) for _, v, h, n in ours]}, theirs {[(float(v), h, n) for _, v, h, n in theirs]}"


@pytest.mark.parametrize("seed", SEEDS)
def test_turning_values_are_those_that_trying_every_value_finds(seed: int) -> None:
    for reading, different in differences(case_from_seed(seed)):
        assert not different, (reading, different)


def test_the_worlds_have_plans_that_turn() -> None:
    for seed in (18, 47):
        list(differences(case_from_seed(seed)))
    assert SEEN.count(2) >= 2
