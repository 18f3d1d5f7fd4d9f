"""The places of a layout: corners and vehicle, joints and figures once for each corner, what hangs on what."""

from __future__ import annotations

from knockon.graph.model.layouts.layout import Place, Places, fitted
from knockon.graph.model.layouts.mechanism import Figure, FigureTerm, Joint, Layout, Position
from knockon.graph.model.things import Fitting, Vehicle


def position(name: str, level: str = "corner", carried_by: str = "") -> Position:
    return Position(name, level, name, 1, "needed", name, 1, carried_by=carried_by)


LAYOUT = Layout(
    "cart",
    positions=(position("hub"), position("cap", carried_by="hub"), position("axle", "vehicle"),
               position("pin", "vehicle", carried_by="hub")),
    joints=(
        Joint("cap on hub", "cap", "rim", "hub", "rim", "r"),
        Joint("hub on axle", "hub", "bore", "axle", "journal", "r"),
        Joint("pin in axle", "pin", "pin", "axle", "hole", "r"),
        Joint("lid on box", "lid", "x", "box", "y", "r"),
    ),
    figures=(
        Figure("play", "stack", "service", "limits", terms=(FigureTerm(1, "hub", "bore", "length"),
                                                            FigureTerm(2, "axle", "journal", "length"))),
        Figure("length", "stack", "service", "limits", terms=(FigureTerm(1, "axle", "journal", "length"),)),
        Figure("nothing", "stack", "service", "limits", terms=(FigureTerm(1, "lid", "x", "length"),)),
        Figure("bare", "stack", "service", "limits"),
    ),
)  # fmt: skip
PLACES = Places(LAYOUT)
LEFT, RIGHT, AXLE = Place("hub", "left"), Place("hub", "right"), Place("axle")


def test_corner_positions_stand_twice_and_in_order() -> None:
    assert [str(p) for p in PLACES.all] == ["left hub", "right hub", "left cap", "right cap", "axle", "pin"]


def test_seen_from_a_corner_and_from_the_vehicle() -> None:
    assert PLACES.at("hub", "left") == LEFT
    assert PLACES.at("axle", "left") == AXLE
    assert PLACES.at("lid", "left") is None
    assert PLACES.seen_from("hub", "") == (LEFT, RIGHT)
    assert PLACES.seen_from("axle", "right") == (AXLE,)
    assert PLACES.seen_from("lid", "") == ()


def test_joints_and_figures_once_for_each_corner_and_only_where_their_places_are() -> None:
    assert [(j.joint.joint, j.side) for j in PLACES.joints] == [
        *(("cap on hub", "left"), ("cap on hub", "right"), ("hub on axle", "left"), ("hub on axle", "right")),
        ("pin in axle", ""),
    ]
    assert [(f.figure.figure, f.side) for f in PLACES.figures] == [("play", "left"), ("play", "right"), ("length", "")]
    play = PLACES.figures[1]
    assert play.places == (RIGHT, AXLE)
    assert play.places[0] == RIGHT


def test_what_a_place_hangs_on() -> None:
    assert PLACES.carrier(Place("cap", "right")) == RIGHT
    assert PLACES.carrier(LEFT) is None
    assert PLACES.carrier(Place("pin")) is None  # two hubs could carry it: neither is taken for it


def test_the_features_that_are_read_at_a_position() -> None:
    assert PLACES.features_at("axle") == {"journal", "hole"}
    assert PLACES.features_at("hub") == {"bore", "rim"}


def test_a_row_for_one_side_stands_before_a_row_for_both() -> None:
    rows = (Fitting("hub", "", "HUB-1"), Fitting("hub", "left", "HUB-2"), Fitting("axle", "", "AXLE-1"),
            Fitting("cap", "", ""), Fitting("lid", "", "LID-1"), Fitting("pin", "", "", "item-9"))  # fmt: skip
    found = fitted(Vehicle("v", "cart", True, fittings=rows), PLACES)
    assert {str(p): f.part or f.item for p, f in found.items()} == {
        "left hub": "HUB-2",
        "right hub": "HUB-1",
        "axle": "AXLE-1",
        "pin": "item-9",
    }


def test_a_place_reads_as_text_and_still_knows_what_it_is_made_of() -> None:
    assert LEFT == "left hub" and {"left hub": 1}[LEFT] == 1 and f"the {LEFT}" == "the left hub"
    assert (LEFT.position, LEFT.side, LEFT.other_hand, AXLE.other_hand) == ("hub", "left", RIGHT, AXLE)
    other = Place("left hub")  # of the vehicle: a position that has the same words
    assert other != LEFT and len({other, LEFT}) == 2 and str(other) == str(LEFT)


def test_a_joint_knows_its_ends_from_either_of_its_places() -> None:
    at = next(j for j in PLACES.joints if j.joint.joint == "hub on axle" and j.side == "left")
    here, there = at.ends
    assert (here.number, here.place, here.feature) == (0, LEFT, "bore")
    assert (there.number, there.place, there.feature) == (1, AXLE, "journal")
    assert (at.end_at(AXLE), at.beyond(there), at.end_at(LEFT), at.beyond(here)) == (there, here, here, there)
    assert at.in_order(LEFT, "hub", "axle") == at.in_order(AXLE, "axle", "hub") == ("hub", "axle")
