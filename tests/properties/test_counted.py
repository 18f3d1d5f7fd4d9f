"""The number of combinations beside the fillings that the solver lists, and those of the oracle."""

from __future__ import annotations

import random
from collections.abc import Iterable
from dataclasses import replace

import clingo
import pytest

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Places
from knockon.graph.records import records_from_text
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.plan.combinations import combinations
from knockon.queries.plan.counting import count, network
from knockon.queries.plan.counting.count import Number, count_combinations
from knockon.queries.plan.solving.facts import facts_of
from knockon.queries.plan.solving.formulas import Told, by_formula
from knockon.queries.plan.solving.planner import Planner, _program
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import read_request
from tests.demo.demo import LAYOUT, demo
from tests.oracle.engine import loaded
from tests.oracle.generate import Case
from tests.oracle.motion import Request
from tests.oracle.questions import combination_differences
from tests.oracle.small import chain, change, vehicle
from tests.oracle.world import Row, Size, Source, Stack, StackTerm, Window, World, one_of
from tests.unit.small import TABLES, with_rows

CART = "cart axle"


def bare(catalogue: Catalogue, layout: str, *given: str) -> Problem:
    """A layout without a vehicle, with what must be used."""
    places = Places(catalogue.find("layout", layout))
    return Problem(Checks(catalogue, places), None, read_request(catalogue, places, want=given))


def listed(problem: Problem) -> int:
    """How many fillings the solver lists: every model of swap.lp with all checks on, by what stands where."""
    control = clingo.Control(["--opt-mode=ignore", "--warn=none"])
    formulas = by_formula(problem)
    for text in (_program(), facts_of(problem, formulas), ":- check_sort(S), not on(S)."):
        control.add("base", [], text)
    if formulas:
        control.register_propagator(Told(formulas))  # type: ignore[arg-type]
    control.ground([("base", [])])
    control.configuration.solve.models = 0  # type: ignore[union-attr]
    with control.solve(yield_=True) as handle:
        return len({frozenset(s.arguments[0].number for s in m.symbols(shown=True) if s.name == "in") for m in handle})


def agreed(problem: Problem) -> int:
    """The number of combinations, on which counting and listing agree."""
    number = listed(problem)
    assert count_combinations(problem) == Number(number)
    return number


# ------------------------------------------------------------------------------------- a small world


def cart(*given: str, **tables: str) -> Problem:
    """The cart's axle, with some tables of its own."""
    return bare(records_from_text({**TABLES, **tables}).catalogue, CART, *given)


def test_a_small_world_is_counted_as_it_is_listed() -> None:
    """Two axles; to each its own hubs, or any of the unknown ones; the set only with hubs of 25 mm."""
    assert agreed(cart()) == 5
    assert agreed(cart("axle=AXLE-20")) == 2
    assert agreed(cart("hub=PAIR-25")) == 1
    assert agreed(cart("axle=AXLE-20", "hub=PAIR-25")) == 0


def test_a_set_is_counted_once_and_whole() -> None:
    caps = with_rows("parts.csv", "CAP-2,another cap,hub washer or collar,either,yes,,,book")
    assert agreed(cart(**caps)) == 9  # with each cap, but for the set's own


@pytest.mark.parametrize("low", ["-9 mm", "0 mm", "4 mm"])
@pytest.mark.parametrize("sort", ["formula", "stack"])
def test_figures_by_formula_and_sums_are_counted_as_they_are_judged(low: str, sort: str) -> None:
    """Without the joint any axle takes any hub, unless the figure forbids it; an unknown hub is never forbidden."""
    figure = "figure,fit_clearance" if sort == "formula" else "stack,"
    head = "layout,figure,is,formula,sort,low,high,unit,compared with,standing,source,says\n"
    terms = "layout,figure,order,position,feature,dimension,factor,role\n"
    roles = ("hole", "shaft") if sort == "formula" else ("", "")
    factors = ("", "") if sort == "formula" else ("1", "-1")
    joints = TABLES["joints.csv"].splitlines(keepends=True)
    tables = {
        "joints.csv": "".join(line for line in joints if "hub on axle" not in line),
        "figures.csv": f"{head}cart axle,room,{figure},service,{low},90 mm,mm,limits,from memory,nobody,too little\n",
        "figure_terms.csv": f"{terms}cart axle,room,1,hub,bore,diameter,{factors[0]},{roles[0]}\n"
        f"cart axle,room,2,axle,seat,diameter,{factors[1]},{roles[1]}\n",
    }
    assert agreed(cart(**tables)) == {"-9 mm": 8, "0 mm": 7, "4 mm": 4}[low]
    assert agreed(cart("axle.diameter>=99 mm", **tables)) == 0  # nothing there adds anything


# ---------------------------------------------------------------------------------------- the demo


def some_free(seed: int, *given: str) -> Iterable[str]:
    """Wishes that leave twelve positions of the demo free: each of the others has what the best combination has."""
    best = Planner(bare(demo(), LAYOUT, *given)).best()
    assert best is not None
    free = set(random.Random(seed).sample(sorted({p.position for p in best.chosen}), 12))
    numbers = {p.position: c.number for p, c in sorted(best.chosen.items()) if p.side != "right"}
    return [*given, *(f"{position}={number}" for position, number in numbers.items() if position not in free)]


@pytest.mark.parametrize("given", ["drum", "rotor=LARCH-201", "rotor=LARCH-301"])
def test_the_demo_with_some_positions_free_is_counted_as_it_is_listed(given: str) -> None:
    counted = [agreed(bare(demo(), LAYOUT, *some_free(seed, given))) for seed in range(4)]
    assert min(counted) >= 1 and max(counted) > 4


# -------------------------------------------------------------------------------------- the oracle

TRIO = chain("a b c", {"a.1": (20,), "a.2": (21,), "b.1": (20, 20), "b.2": (21, 20), "c.1": (20,), "c.2": (21,)})
VAN = vehicle("a.1", "b.1", "c.1")


def differences(world: World, *wants: tuple[str, str]) -> list[str]:
    """Where the combinations of a world, or their number, are not the oracle's."""
    return [*combination_differences(Case(world, VAN, Request(wants=wants)), loaded(world))]


def test_a_filling_that_several_arrangements_allow_is_counted_once() -> None:
    """No place tells the arrangements apart: a joint is made in one only, another in the other only."""
    joints = tuple(replace(j, arrangement=a) for j, a in zip(TRIO.joints, ("east", "west"), strict=True))
    either = replace(TRIO, joints=joints, choices=one_of("east", "west"))
    assert not differences(either)
    number = combinations(loaded(either), either.layout).counted
    # of 8 fillings 4 are right between a and b (east), 4 between b and c (west), and 2 both
    assert number is not None and (number.number, number.exact) == ("6", True)


@pytest.mark.parametrize("window", [Window(20, 24), Window(22, 23), Window(21, None), Window(None, 22)])
def test_contested_sizes_and_empty_places_in_a_sum_are_counted_as_the_oracle_judges(window: Window) -> None:
    def wide(owner: str, low: int, high: int, source: str = "book") -> Row:
        feature, kind = ("a-b", "peg") if owner.startswith("a") else ("b-c", "peg")
        return Row(owner, feature, kind, (("width", Size(low, high)),), source)

    rows = (
        wide("a.1", 10, 11),
        wide("a.2", 10, 10),
        wide("a.2", 12, 13, "book two"),
        wide("b.1", 10, 12),
        wide("b.2", 9, 9, "book two"),
        wide("b.2", 11, 12),
    )
    terms = (StackTerm("a", "a-b", "width", 1), StackTerm("b", "b-c", "width", 1))
    sources = (*TRIO.sources, Source("book two", "drawing"))
    summed = replace(TRIO, rows=(*TRIO.rows, *rows), stacks=(Stack("sum", "service", terms, window),), sources=sources)
    for name in ("a", "b"):
        assert not differences(summed)
        summed = change(summed, name, need="optional")
    assert not differences(summed)


# ----------------------------------------------------------------------------------- what is too much


def test_what_is_too_large_to_count_is_told_from_below_or_not_at_all(monkeypatch: pytest.MonkeyPatch) -> None:
    whole = count_combinations(bare(demo(), LAYOUT))
    assert whole is not None and whole.exact and whole.number > 10**9
    monkeypatch.setattr(network, "MOST_WORK", 2_700)
    monkeypatch.setattr(count, "THINNED", (9, 3))
    some = count_combinations(bare(demo(), LAYOUT))
    assert some is not None and not some.exact and 0 < some.number < whole.number
    monkeypatch.setattr(network, "MOST_WORK", 1)
    assert count_combinations(bare(demo(), LAYOUT)) is None
