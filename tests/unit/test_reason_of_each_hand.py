"""A reason found for one hand serves the other only where it is a minimal reason there too."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from knockon.graph.model.layouts.layout import Place
from knockon.queries.plan.changes import FORCED_BY_FIT, Change, changes_of
from knockon.queries.plan.solving.planner import Planner
from knockon.queries.plan.swap import swap
from tests.unit.small import TABLES, planned, problem, with_rows, world

PATTERNS = {
    "features/fitting_place.csv": "part,feature,pattern,source\n"
    "CAP-1,rim,small,book\nCAP-2,rim,big,book\nHUB-20L,rim,small,book\nHUB-25L,rim,big,book\n"
} | with_rows("parts.csv", "CAP-2,big cap,hub washer or collar,either,yes,,,book")
PATTERNS["parts.csv"] = PATTERNS["parts.csv"].replace("HUB-?,hub from a stall,drive flange,either,no,,,stall\n", "")


def caps(wanted: str, changed: Mapping[str, str] = PATTERNS) -> tuple[Planner, dict[str, Change]]:
    of = problem(world(changed), wanted)
    planner, filling = planned(of)
    asked = tuple(p for w in of.request.wants for p in w.places)
    return Planner(of), {c.place: c for c in changes_of(planner, filling, asked) if c.position == "cap"}


def test_each_hand_has_a_minimal_reason_of_its_own() -> None:
    """The hub is asked for on one side. There the cap goes with it; on the other side only because the axle is another
    one. The left is told first, so that each of the two has to be refused once for the other hand."""
    for side, other in (("left", "right"), ("right", "left")):
        planner, found = caps(f"{side} hub=HUB-25{side[0].upper()}")
        near, far = found[f"{side} cap"], found[f"{other} cap"]
        assert near.status == far.status == FORCED_BY_FIT
        assert near.reason is not None and near.reason.cites == ("cap on hub",)
        assert far.reason is not None and set(far.reason.cites) == {"hub on axle", "cap on hub"}
        for change in (near, far):
            assert change.reason is not None
            cited = [planner.problem.sort_of[c] for c in change.reason.cites]
            place = Place(change.position, change.side)
            assert not planner.is_possible(cited, place)
            assert all(planner.is_possible([c for c in cited if c != one], place) for one in cited)


def test_where_one_hand_has_a_further_way_its_reason_cites_more_and_the_other_hands_does_not() -> None:
    """On the left a hub of the new axle's size would take the cap, were there one for the right hand too."""
    patterns = {
        "features/fitting_place.csv": PATTERNS["features/fitting_place.csv"] + "HUB-26L,rim,small,book\n",
        "features/register_bore.csv": TABLES["features/register_bore.csv"] + "HUB-26L,bore,25 mm,book\n",
        "parts.csv": PATTERNS["parts.csv"] + "HUB-26L,hub 26,drive flange,left,no,,,book\n",
    }
    planner, found = caps("axle=AXLE-25", patterns)
    cites = {side: change.reason.cites if change.reason else () for side, change in found.items()}
    assert set(cites["right cap"]) == {"hub on axle", "cap on hub"}
    assert set(cites["left cap"]) == {"hub on axle", "cap on hub", "axle rule"}
    sort_of = {**planner.problem.sort_of, "axle rule": "axle"}
    for side, names in cites.items():
        place, cited = Place("cap", side.split()[0]), [sort_of[c] for c in names]
        assert not planner.is_possible(cited, place)
        assert all(planner.is_possible([c for c in cited if c != one], place) for one in cited)


def test_the_same_on_both_sides_is_one_reason() -> None:
    _, found = caps("axle=AXLE-25")
    assert found["left cap"].reason is found["right cap"].reason is not None
    assert "cap on hub" in TABLES["joints.csv"]


@pytest.mark.parametrize(("left", "right"), [("HUB-25L", "HUB-20R"), ("HUB-20L", "HUB-25R")])
def test_two_hands_that_are_not_alike_and_are_both_to_be_kept_are_named(left: str, right: str) -> None:
    fittings = [f"odd,hub,{side},{number},,sound" for side, number in (("left", left), ("right", right))]
    odd = with_rows("vehicles.csv", "odd,an odd cart,cart axle,no,cart,cart") | with_rows("fittings.csv", *fittings)
    answer = swap(world(odd), "odd", want=["cap=CAP-1"], keep=["hub"])
    assert answer.plan is None and answer.none is not None
    (step,) = answer.none.steps
    said = (step.kind, step.given, step.given_place, step.ruled_out, step.place)
    assert said == ("axle rule", left, "left hub", right, "right hub")
