"""A reason found for one hand serves the other only where it is a minimal reason there too."""

from __future__ import annotations

from knockon.graph.model.layout import Place
from knockon.queries.plan.changes import FORCED_BY_FIT, Change, changes_of
from knockon.queries.plan.solving.planner import Planner
from tests.unit.small import TABLES, planned, problem, with_rows, world

PATTERNS = {
    "features/fitting_place.csv": "part,feature,pattern,source\n"
    "CAP-1,rim,small,book\nCAP-2,rim,big,book\nHUB-20L,rim,small,book\nHUB-25L,rim,big,book\n"
} | with_rows("parts.csv", "CAP-2,big cap,hub washer or collar,either,yes,,,book")
PATTERNS["parts.csv"] = PATTERNS["parts.csv"].replace("HUB-?,hub from a stall,drive flange,either,no,,,stall\n", "")


def caps(wanted: str) -> tuple[Planner, dict[str, Change]]:
    of = problem(world(PATTERNS), wanted)
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


def test_the_same_on_both_sides_is_one_reason() -> None:
    _, found = caps("axle=AXLE-25")
    assert found["left cap"].reason is found["right cap"].reason is not None
    assert "cap on hub" in TABLES["joints.csv"]
