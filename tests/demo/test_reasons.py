"""Reasons are minimal: drop any one cited check and the old part may stay; keep only the cited ones and it may not."""

from __future__ import annotations

import random
from collections.abc import Iterable
from functools import cache

import pytest
from msgspec.structs import replace

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place, Places
from knockon.graph.model.layouts.mechanism import Joint, Layout
from knockon.graph.model.rules import FitRule, RuleEnd
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.plan.changes import FORCED_BY_FIT, FORCED_BY_KNOWN, Change
from knockon.queries.plan.reasons.reasons import Reason, Reasoner, places_asked
from knockon.queries.plan.solving.planner import STRUCTURE, Planner
from knockon.queries.plan.solving.problem import Problem
from knockon.queries.plan.solving.request import read_request
from knockon.queries.plan.swap import SwapAnswer
from tests.demo.demo import AS_FOUND, LAYOUT, demo, swapped

WISHES: list[tuple[str, tuple[str, ...], tuple[str, ...]]] = [
    (AS_FOUND, ("rotor=LARCH-201",), ()),
    ("tansy-mk-a", ("drive flange=ROWAN-241",), ()),
]
FAR_REACHING: list[tuple[str, tuple[str, ...], tuple[str, ...]]] = [  # nearly everything is forced: a sample of it
    ("tansy-mk-b", ("rotor=LARCH-301",), ()),
    ("tansy-mk-c", ("outer joint=ROWAN-201",), ()),
]
NONE: list[tuple[str, tuple[str, ...], tuple[str, ...]]] = [
    (AS_FOUND, ("rotor=LARCH-201",), ("outer joint",)),
    ("tansy-mk-a", ("drive flange=ROWAN-942",), ("outer joint",)),
    ("tansy-mk-a", ("rotor=LARCH-201",), ("knuckle",)),
    ("tansy-mk-b", ("hub nut=ROWAN-352",), ("outer joint",)),
    ("tansy-mk-b", ("caliper=LARCH-303L",), ("knuckle",)),
]
WORDS = {"axle rule": "axle", "unknown not allowed": "unknown", "arrangement": "arrangement"}


def problem_of(catalogue: Catalogue, vehicle: str, want: tuple[str, ...], keep: tuple[str, ...]) -> Problem:
    places = Places(catalogue.layouts[LAYOUT])
    request = read_request(catalogue, places, want=want, keep=keep)
    return Problem(Checks(catalogue, places), catalogue.vehicles[vehicle], request)


@cache
def planner_of(vehicle: str, want: tuple[str, ...], keep: tuple[str, ...]) -> Planner:
    """A planner of its own, that has found nothing yet."""
    return Planner(problem_of(demo(), vehicle, want, keep))


def atoms(planner: Planner, cites: Iterable[str]) -> list[str]:
    return [WORDS.get(c) or planner.problem.sort_of[c] for c in cites]


def place_of(change: Change) -> Place:
    return Place(change.position, change.side)


def reasons_of(answer: SwapAnswer, status: str) -> list[tuple[Place, Reason]]:
    return [(place_of(c), c.reason) for c in answer.changes if c.status == status and c.reason is not None]


def assert_minimal(planner: Planner, cites: tuple[str, ...], kept: Place | None) -> None:
    cited = atoms(planner, cites)
    assert not planner.is_possible(cited, kept), (kept, cites, "the cited checks do not rule it out")
    for one in cited:
        assert planner.is_possible([c for c in cited if c != one], kept), (kept, cites, "is not needed:", one)


@pytest.mark.parametrize("wish", WISHES, ids=lambda w: f"{w[0]}: {w[1][0]}")
def test_reasons_by_fit_are_minimal(wish: tuple[str, tuple[str, ...], tuple[str, ...]]) -> None:
    vehicle, want, keep = wish
    found = reasons_of(swapped(vehicle, *want, keep=keep), FORCED_BY_FIT)
    assert found
    for place, reason in found:
        if reason.cites:
            assert_minimal(planner_of(*wish), reason.cites, place)
        else:  # asked for, or due: nothing at all can keep it
            assert not planner_of(*wish).is_possible([], place)


@pytest.mark.parametrize("wish", WISHES, ids=lambda w: f"{w[0]}: {w[1][0]}")
def test_reasons_by_what_is_known_are_minimal(wish: tuple[str, tuple[str, ...], tuple[str, ...]]) -> None:
    vehicle, want, keep = wish
    answer = swapped(vehicle, *want, keep=keep)
    assert answer.plan is not None
    planner = Planner(problem_of(demo(), vehicle, want, keep))
    planner.limit_unknowns(answer.plan.costs["not known"])
    for place, reason in reasons_of(answer, FORCED_BY_KNOWN):
        assert_minimal(planner, reason.cites, place)
        assert planner.is_possible(set(planner.problem.sorts) | {"arrangement", "axle"}, place)  # unknowns allowed


@pytest.mark.parametrize("wish", FAR_REACHING, ids=lambda w: f"{w[0]}: {w[1][0]}")
def test_far_reaching_reasons_are_minimal_too(wish: tuple[str, tuple[str, ...], tuple[str, ...]]) -> None:
    planner = planner_of(*wish)
    request = planner.problem.request
    filling = planner.best()
    assert filling is not None
    reasoner = Reasoner(planner, filling, places_asked(w.places for w in request.wants))
    forced = [p for p in planner.problem.found if p.side == "left" and p not in planner.may_stay(unknown_limited=False)]
    assert len(forced) > 20
    for place in random.Random(0).sample(forced, 5):
        assert_minimal(planner, reasoner.reason(place, unknown_limited=False).cites, place)


def test_some_reasons_are_by_what_is_known() -> None:
    found = reasons_of(swapped(*[AS_FOUND, "rotor=LARCH-201"]), FORCED_BY_KNOWN)
    assert {p.position for p, _ in found} >= {"hub split pin", "joint boot", "front hose", "rear wheel cylinder"}
    for change in swapped(AS_FOUND, "rotor=LARCH-201").changes:
        if change.status == FORCED_BY_KNOWN:
            assert change.reason is not None and "unknown not allowed" in change.reason.cites
            assert change.rests_on and all(u.to_measure for u in change.rests_on)


@pytest.mark.parametrize("wish", NONE, ids=lambda w: f"{w[0]}: {', '.join(w[1])}, keep {', '.join(w[2]) or 'nothing'}")
def test_the_reason_of_none_is_minimal(wish: tuple[str, tuple[str, ...], tuple[str, ...]]) -> None:
    vehicle, want, keep = wish
    answer = swapped(vehicle, *want, keep=keep)
    assert answer.plan is None and answer.none is not None
    assert answer.none.cites and answer.opens
    assert_minimal(planner_of(*wish), answer.none.cites, None)


# ------------------------------------------- a fresh problem that knows only the cited checks


def only(cites: Iterable[str]) -> Catalogue:
    """The demo world with a layout in which no check but those cited can say anything."""
    cited = set(cites)
    layout = demo().layouts[LAYOUT]
    kinds = demo().vocabulary.kinds
    some = next(iter(kinds))
    silent = FitRule(
        "silent", (RuleEnd(0, "one", some), RuleEnd(1, "other", some)), safety_critical=False, conditions=()
    )

    def joint(one: Joint) -> Joint:
        quiet = replace(one, rule="silent", feature="nothing", other_feature="nothing either")
        return one if one.joint in cited else quiet

    bare = Layout(
        layout=LAYOUT,
        choices=layout.choices,
        positions=layout.positions,
        joints=tuple(joint(j) for j in layout.joints),
        figures=tuple(f for f in layout.figures if f.figure in cited),
    )
    vocabulary = replace(demo().vocabulary, rules={**demo().vocabulary.rules, "silent": silent})
    return replace(demo(), vocabulary=vocabulary, layouts={LAYOUT: bare})


def is_possible(wish: tuple[str, tuple[str, ...], tuple[str, ...]], cites: Iterable[str], kept: Place | None) -> bool:
    cited = list(cites)
    planner = Planner(problem_of(only(cited), *wish))
    structure = {WORDS[c] for c in cited if c in WORDS}
    assert structure <= set(STRUCTURE) - {"unknown"}
    return planner.is_possible([*planner.problem.sorts, *structure], kept)


@pytest.mark.parametrize("position", ["knuckle", "outer joint", "hub collar"])
def test_a_fresh_problem_with_only_the_cited_checks_rules_it_out(position: str) -> None:
    wish = WISHES[0]
    change = next(c for c in swapped(wish[0], *wish[1]).changes if c.position == position)
    assert change.reason is not None
    cites = change.reason.cites
    assert not is_possible(wish, cites, place_of(change))
    for one in cites:
        assert is_possible(wish, [c for c in cites if c != one], place_of(change)), one


def test_a_fresh_problem_finds_no_plan_for_the_same_reason() -> None:
    wish = NONE[0]
    answer = swapped(wish[0], *wish[1], keep=wish[2])
    assert answer.none is not None
    assert not is_possible(wish, answer.none.cites, None)
    for one in answer.none.cites:
        assert is_possible(wish, [c for c in answer.none.cites if c != one], None), one


# --------------------------------------------------------------------- how it is told


@pytest.mark.parametrize("wish", WISHES, ids=lambda w: f"{w[0]}: {w[1][0]}")
def test_each_cited_check_is_told_once_and_in_an_order_that_follows(
    wish: tuple[str, tuple[str, ...], tuple[str, ...]],
) -> None:
    vehicle, want, keep = wish
    for change in swapped(vehicle, *want, keep=keep).changes:
        if change.reason is None:
            continue
        told = [s.sort for s in change.reason.steps]
        assert len(told) == len(set(told))
        assert set(told) == set(change.reason.cites)
        for step in change.reason.steps:
            if step.evidence is not None and step.kind == "joint":
                assert step.verdict is not None and step.verdict.is_no
                assert step.evidence.check == step.sort
            if step.kind == "joint":
                assert step.evidence is not None or step.sought, step
