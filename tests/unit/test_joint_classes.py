"""Joints by class: what the program is told of classes is what judging each pair of candidates gives."""

from __future__ import annotations

import random

import pytest

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import JointAt, Places
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.plan.solving.classes import classes_of
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import read_request
from tests.demo.demo import AS_FOUND, LAYOUT, demo, rows_of, with_tables, written
from tests.unit.small import TABLES, world

SIZED = ("internal_spline", "external_spline", "journal", "internal_thread", "external_thread", "bolt_circle", "spigot")


def pair_by_pair(problem: Problem, at: JointAt) -> dict[tuple[int, int], set[str]]:
    """What counts of each pair of candidates, judged by itself."""
    found: dict[tuple[int, int], set[str]] = {}
    for first in problem.candidates[at.first]:
        for second in problem.candidates[at.second]:
            result = problem.checks.joint(at, first, second)
            names = set()
            if result.verdict.is_no:
                names = {"no"}
            elif problem.counts_first(at, first, second):
                lacking = [o.lacks for o in result.judged.outcomes]
                bought = [not c.stays and c.number not in problem.kit for c in (first, second)]
                outside = any(lacks[i] and bought[i] for lacks in lacking for i in (0, 1))
                names = {"first_open", "outside_open"} if problem.kit and outside else {"first_open"}
            elif result.verdict.is_unproven:
                names = {"other_open"}
            if names:
                found[(problem.ids[first], problem.ids[second])] = names
    return found


def told(problem: Problem, at: JointAt) -> dict[tuple[int, int], set[str]]:
    """The same as the facts say it."""
    classes = classes_of(problem, at)
    members = [dict[int, list[int]](), dict[int, list[int]]()]
    verdicts: dict[tuple[int, int], set[str]] = {}
    for fact in (f for line in classes.facts(0) for f in line.split()):
        name, arguments = fact.rstrip(").").split("(")
        numbers = [int(n) for n in arguments.split(",")]
        if name == "class":
            members[numbers[1] - 1].setdefault(numbers[3], []).append(numbers[2])
        else:
            verdicts.setdefault((numbers[1], numbers[2]), set()).add(name)
    return {(c, d): names for (k, m), names in verdicts.items() for c in members[0][k] for d in members[1][m]}


def more_of_the_demo(seed: int) -> Catalogue:
    """The demo with some 60 parts more: copies with other sizes or none, fewer or other claims, notes of work."""
    rng = random.Random(seed)
    tables = {name: rows_of(name) for name in ("parts.csv", "claims.csv", "notes.csv", "offers.csv")}
    old = rng.sample([r for r in tables["parts.csv"] if r["part type"] != "set"], 60)
    for name in SIZED:
        tables[f"features/{name}.csv"] = rows_of(f"features/{name}.csv")
    for part in old:
        new = part["part"] + "-2"
        tables["parts.csv"].append({**part, "part": new, "mirror of": "", "drawn as": ""})
        for name, rows in tables.items():
            if name.startswith("features/"):
                for row in [r for r in rows if r["part"] == part["part"]]:
                    other = rng.choice([r for r in rows if r["feature"] == row["feature"]])
                    rows.append({**rng.choice((row, other)), "part": new, "source": row["source"]})
        if rng.random() < 0.5:
            claims = [c for c in tables["claims.csv"] if c["part"] == part["part"]]
            tables["claims.csv"] += [{**c, "part": new} for c in claims if rng.random() < 0.7]
    return with_tables({name: written(rows) for name, rows in tables.items()})


@pytest.mark.parametrize("with_kit", [False, True])
@pytest.mark.parametrize("seed", [0, 1])
def test_classes_say_of_every_pair_what_judging_it_says(seed: int, with_kit: bool) -> None:
    catalogue = more_of_the_demo(seed) if seed else demo()
    places = Places(catalogue.layouts[LAYOUT])
    kit = {line.part: 1 for line in next(iter(catalogue.kits.values())).lines} if with_kit else {}
    request = read_request(catalogue, places, want=("rotor=LARCH-201",))
    problem = Problem(Checks(catalogue, places), catalogue.vehicles[AS_FOUND], request, kit)
    pairs = classes = 0
    for at in problem.joint_ids.values():
        if problem.candidates[at.first] and problem.candidates[at.second]:
            expected = pair_by_pair(problem, at)
            assert told(problem, at) == expected, at.joint.joint
            pairs += len(expected)
            classes += len(classes_of(problem, at).verdicts)
    assert 0 < classes < pairs


def test_what_is_claimed_and_noted_tells_candidates_apart() -> None:
    """Of two hubs without sizes, one that goes with an axle is no more like the other beside that axle."""
    more = {
        "parts.csv": TABLES["parts.csv"] + "HUB-!,another hub,drive flange,either,no,,,stall\n",
        "claims.csv": TABLES["claims.csv"] + "HUB-!,goes with,,AXLE-25,,stall\n",
    }
    catalogue = world(more)
    places = Places(catalogue.layouts["cart axle"])
    problem = Problem(Checks(catalogue, places), catalogue.vehicles["cart"], read_request(catalogue, places))
    for at in problem.joint_ids.values():
        assert told(problem, at) == pair_by_pair(problem, at)
