"""Sums in the planning program: what a candidate adds in steps is its size, and no sum leaves the solver's 31 bits."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Mapping
from types import MappingProxyType

from knockon.graph.judge.figures import limits_of
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Places
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.plan.solving.facts import MOST_BELIEFS, facts_of
from knockon.queries.plan.solving.formulas import by_formula
from knockon.queries.plan.solving.planner import Planner
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import read_request
from tests.demo.demo import AS_FOUND, LAYOUT, demo, rows_of, with_tables, written

NUMBERS = re.compile(r"(?<!set_)\b(belief|step|rank|adds|dearer|line_price)\(([^)]*)\)")


def of(catalogue: Catalogue) -> Problem:
    """A swap on the demo's vehicle."""
    places = Places(catalogue.layouts[LAYOUT])
    request = read_request(catalogue, places, want=("rotor=LARCH-201",))
    return Problem(Checks(catalogue, places), catalogue.vehicles[AS_FOUND], request)


def many_nuts(more: int, others: Mapping[str, str] = MappingProxyType({})) -> Catalogue:
    """The demo with many more hub nuts, each higher than the one before, with sizes that differ in all digits."""
    tables = {name: rows_of(f"{name}.csv") for name in ("parts", "features/nut")}
    part = next(r for r in tables["parts"] if r["part"] == "ROWAN-252")
    rows = [r for r in tables["features/nut"] if r["part"] == "ROWAN-252"]
    for i in range(more):
        tables["parts"].append({**part, "part": f"ROWAN-252-{i:04}", "as written": ""})
        size = {"height": f"{15.5 + 0.0013 * i:.4f} mm"}
        tables["features/nut"] += [{**r, **size, "part": f"ROWAN-252-{i:04}"} for r in rows]
    return with_tables({**others, **{f"{name}.csv": written(rows) for name, rows in tables.items()}})


def scales_of(problem: Problem) -> dict[str, list[list[str]]]:
    """The facts about sums and prices, by name, each with its arguments."""
    found: dict[str, list[list[str]]] = defaultdict(list)
    for name, arguments in NUMBERS.findall(facts_of(problem, by_formula(problem))):
        found[name].append(arguments.split(","))
    return found


def test_what_a_candidate_adds_in_steps_is_its_size() -> None:
    for catalogue in (demo(), many_nuts(20)):
        problem = of(catalogue)
        facts = scales_of(problem)
        steps = {(int(s), int(q), int(k)): int(d) for s, q, k, d in facts["step"]}
        rank = {(int(s), int(q), int(c)): int(k) for s, q, c, k in facts["rank"]}
        adds = {(int(s), int(b), name, int(q)) for s, b, name, q in facts["adds"]}
        beliefs: dict[int, int] = defaultdict(int)
        for number, _ in facts["belief"]:
            beliefs[int(number)] += 1
        told = {
            (s, name, c, sum(steps[s, q, j] for j in range(k + 1)))
            for s, _, name, q in adds
            for (t, r, c), k in rank.items()
            if (t, r) == (s, q)
        }
        expected: set[tuple[int, str, int, int]] = set()
        for s, at in problem.figure_ids.items():
            if s not in beliefs:
                continue
            assert beliefs[s] < MOST_BELIEFS
            low, high = limits_of(at.figure, None)
            for i, place in enumerate(at.places):
                for candidate in problem.candidates[place]:
                    value, c = problem.checks.term(at, i, candidate), problem.ids[candidate]
                    for belief in range(value.beliefs) if value.is_sized else ():
                        a, b = value.steps(at.figure.terms[i].factor, belief)
                        d, e = value.worst_steps(at.figure.terms[i].factor, belief)
                        expected |= {(s, "under", c, e), (s, "maybe_under", c, a)} if low is not None else set()
                        expected |= {(s, "over", c, d), (s, "maybe_over", c, b)} if high is not None else set()
        assert told == expected and told


def test_no_sum_grows_with_the_number_of_candidates() -> None:
    """All candidates' sizes in steps of 10 nm: added up, those of 1,500 nuts are more than 31 bits hold."""
    problem = of(many_nuts(1500))
    facts = scales_of(problem)
    weights: dict[tuple[str, str], int] = defaultdict(int)
    for s, q, _, d in facts["step"]:
        weights[s, q] += abs(int(d))
    sums: dict[tuple[str, str, str], int] = defaultdict(int)
    for s, b, name, q in facts["adds"]:
        sums[s, b, name] += weights[s, q]
    assert 0 < max(sums.values()) < 2**31 / 10
    nuts = [i for i, c in enumerate(problem.numbered) if c.number.startswith("ROWAN-252-") and c.place.side == "left"]
    assert sum(1_550_000 + 130 * n for n in range(len(nuts))) > 2**31
    best = Planner(problem).best()
    assert best is not None and best.costs == Planner(of(demo())).best().costs  # type: ignore[union-attr]


def test_what_the_line_of_a_place_costs_in_steps_is_its_price() -> None:
    offer = next(r for r in rows_of("offers.csv") if r["part"] == "ROWAN-252")
    nuts = [{**offer, "part": f"ROWAN-252-{i:04}", "price": f"{9 + i % 3}.00"} for i in range(20)]
    problem = of(many_nuts(20, {"offers.csv": written([*rows_of("offers.csv"), *nuts])}))
    facts = scales_of(problem)
    dearer = {(int(p), int(k)): int(cents) for p, k, cents in facts["dearer"]}
    assert min(dearer.values()) > 0, "each price is more than the one before"
    told = {int(c): sum(dearer[int(p), j] for j in range(int(k) + 1)) for p, c, k in facts["line_price"]}
    expected = {}
    for candidate, c in problem.ids.items():
        quantity = problem.places.positions[candidate.place.position].quantity
        if not candidate.stays and candidate.set_use is None:
            expected[c] = problem.offered.cents(candidate.number, quantity)
    assert told == {c: cents for c, cents in expected.items() if cents}
    assert len(told) >= len(dearer) + 2 * 17, "what costs the same is one step"
