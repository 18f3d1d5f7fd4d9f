"""Figures by formula: what the solver is told of the combinations it meets is what a table of all would say."""

from __future__ import annotations

import math
import random
from collections.abc import Mapping
from itertools import product

import pytest

from knockon.graph.formulas import formula, formula_names
from knockon.graph.judge.figures import EMPTY, TermValue
from knockon.graph.model.layouts.layout import FigureAt, Place, Places
from knockon.graph.model.layouts.mechanism import Figure, FigureTerm
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.plan.solving import planner as planner_module
from knockon.queries.plan.solving.facts import facts_of
from knockon.queries.plan.solving.formulas import NAMES, FormulaFigure, Told, by_formula, terms_at
from knockon.queries.plan.solving.planner import Planner
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import read_request
from tests.demo.demo import AS_FOUND, demo, rows_of, with_tables, written

SIZES = (0.0, 5.0, 10.0, 10.0 + 1e-12, 12.5, 20.0, 20.00001, 40.0)
FORMULAS = ["", *formula_names()]
WIDTHS = (0.0, 0.0, 0.001, 0.5, 8.0)


def drawn(rng: random.Random) -> TermValue:
    """What some candidate contributes; now and then of every odd sort."""
    kept = rng.random() < 0.3
    if rng.random() < 0.05:
        return TermValue(absent=True, kept=kept)
    if rng.random() < 0.08:
        return TermValue(missing=True, maybe_absent=rng.random() < 0.2, kept=kept)
    ends = [(low, low + rng.choice(WIDTHS)) for low in rng.sample(SIZES, 2)]
    sizes = tuple(ends[: 1 if rng.random() < 0.85 else 2])
    apart = len(sizes) > 1 and (sizes[0][1] < sizes[1][0] or sizes[1][1] < sizes[0][0])
    odd = rng.random() < 0.04
    return TermValue(sizes, maybe_absent=odd, contested=apart, rank=rng.choice((1, 3, 3, 5)), kept=kept)


def some_figure(rng: random.Random, name: str, compared_with: str) -> FormulaFigure:
    """A figure by this formula (blank: a sum) whose terms stand in fewer places than there are terms."""
    roles = formula(name).arguments if name else ("a", "b", "c")
    places = [Place(f"p{i}") for i in range(3)]
    terms = tuple(
        FigureTerm(i, places[i % 3].position, "f", "d", rng.choice((1.0, -1.0)), r) for i, r in enumerate(roles)
    )
    low, high = sorted(rng.choice((-20.0, 0.0, 3.0, 15.0, 50.0, 70.0)) + rng.choice((0.0, 0.5)) for _ in range(2))
    figure = Figure("f", "figure", "service", compared_with, name, low, high, safety_critical=True, terms=terms)
    at = FigureAt(figure, "", tuple(places[i % 3] for i in range(len(roles))))
    groups = []
    for inside in terms_at(at).values():
        members = [tuple(EMPTY for _ in inside), *(tuple(drawn(rng) for _ in inside) for _ in range(5))]
        groups.append(list(dict.fromkeys(members)))
    return FormulaFigure(at, groups, {}, rng.choice((None, 10.0, 60.0)))


@pytest.mark.parametrize("name", FORMULAS)
@pytest.mark.parametrize("compared_with", ["limits", "as made"])
def test_all_of_a_box_has_one_verdict(name: str, compared_with: str) -> None:
    rng = random.Random(f"{name} {compared_with}")
    widest = 0
    for _ in range(12):
        figure = some_figure(rng, name, compared_with)
        for _ in range(6):
            chosen = [rng.randrange(len(groups)) for groups in figure.groups]
            box = figure.box(chosen)
            assert all(g in inside for g, inside in zip(chosen, box, strict=True))
            assert {figure.name_of(member) for member in product(*box)} == {figure.name_of(chosen)}
            widest = max(widest, math.prod(map(len, box)))
    assert widest > 4  # more than the one combination it was asked of


def test_a_box_reaches_as_far_as_its_verdict() -> None:
    terms = tuple(FigureTerm(i, f"p{i}", "f", "d") for i in range(2))
    figure = Figure("sum", "figure", "service", "as made", terms=terms)
    at = FigureAt(figure, "", (Place("p0"), Place("p1")))
    sized = [(TermValue(((float(n), float(n)),), rank=1),) for n in range(1, 10)]
    of = FormulaFigure(at, [[(EMPTY,), *sized], [(EMPTY,), *sized]], {}, 10.0)
    assert of.name_of((4, 5)) == "no" and of.name_of((5, 5)) == ""
    assert of.box((4, 5)) == [frozenset(range(1, 5)), frozenset(range(1, 6))]
    assert of.box((9, 9)) == [frozenset(range(1, 10)), frozenset({9})]


def more_parts(most: int) -> Mapping[str, str]:
    """Tables of the demo with wheel cylinders and calipers of more bores, some without one, cheaper and dearer."""
    tables = {name: rows_of(name) for name in ("parts.csv", "offers.csv", "claims.csv")}
    sizes = {name: rows_of(f"features/{name}.csv") for name in ("wheel_cylinder", "caliper_pistons")}
    rng = random.Random(3)
    for number in ("HAZEL-131", "HAZEL-231", "LARCH-203L"):
        kind = "caliper_pistons" if number == "LARCH-203L" else "wheel_cylinder"
        size = "diameter" if kind == "caliper_pistons" else "bore"
        for i in range(most):
            new = f"{number}-{i}"
            row = next(r for r in sizes[kind] if r["part"] == number)
            sizes[kind].append(
                {**row, "part": new, size: rng.choice(("", f"{14 + 4 * i} mm", f"{14 + 4 * i} ±0.5 mm"))}
            )
            part = next(r for r in tables["parts.csv"] if r["part"] == number)
            tables["parts.csv"].append({**part, "part": new, "mirror of": "", "drawn as": number})
            price = f"{rng.randint(5, 60)}.00"
            tables["offers.csv"].append({**tables["offers.csv"][0], "part": new, "price": price})
    return {
        **{name: written(rows) for name, rows in tables.items()},
        **{f"features/{name}.csv": written(rows) for name, rows in sizes.items()},
    }


def table_of(problem: Problem) -> str:
    """The verdict on every combination, as constraints."""
    lines = []
    for s, figure in by_formula(problem).items():
        for chosen in product(*(range(len(groups)) for groups in figure.groups)):
            here = ", ".join(f"value({s},{i},{g})" for i, g in enumerate(chosen))
            name = figure.name_of(chosen)
            lines += [f":- {here}, {'not ' if name == n else ''}judged({s},{n})." for n in NAMES]
    return "\n".join(lines)


@pytest.mark.parametrize("want", ["rotor=LARCH-201", "rear wheel cylinder=HAZEL-231-1"])
def test_the_plan_is_that_of_the_whole_table(want: str, monkeypatch: pytest.MonkeyPatch) -> None:
    catalogue = with_tables(more_parts(2))
    places = Places(catalogue.layouts["tansy front axle"])
    vehicle = catalogue.vehicles[AS_FOUND]
    problem = Problem(Checks(catalogue, places), vehicle, read_request(catalogue, places, want=(want,)))
    told = Planner(problem)
    with monkeypatch.context() as patched:
        patched.setattr(Told, "check", lambda *_: None)
        patched.setattr(planner_module, "facts_of", lambda *args: facts_of(*args) + table_of(problem))
        whole = Planner(problem)
        best = whole.best()
        assert best is not None
        expected = (best.chosen, best.costs, whole.may_stay(False), whole.possible())
        figure = next(iter(by_formula(problem).values()))
        sorts = [[s for s in problem.sorts if s != problem.sort_of[figure.at.figure.figure]], list(problem.sorts)]
        kept = [whole.is_possible(each, place) for each in sorts for place in places.all[::8]]
    filling = told.best()
    assert filling is not None
    assert (filling.chosen, filling.costs, told.may_stay(False), told.possible()) == expected
    assert [told.is_possible(each, place) for each in sorts for place in places.all[::8]] == kept
    assert len(demo().parts) < len(catalogue.parts)
