"""What a user types: positions with or without a side, parts, properties, what to keep, renew, avoid and prefer."""

from __future__ import annotations

import pytest

from knockon.graph.model.catalogue import UnknownNameError
from knockon.graph.model.layouts.layout import Place, Places
from knockon.graph.model.things import Feature, Said, Statement
from knockon.queries.as_typed import RequestError, find_places
from knockon.queries.plan.solving.request import Wanted, read_request, read_wish
from tests.unit.small import AXLE, LEFT, RIGHT, world

CATALOGUE = world()
PLACES = Places(CATALOGUE.layouts["cart axle"])


@pytest.mark.parametrize(
    ("name", "places"),
    [
        ("hub", (LEFT, RIGHT)),
        (" HUB ", (LEFT, RIGHT)),
        ("left hub", (LEFT,)),
        ("hub right", (RIGHT,)),
        ("Right-Hub", (RIGHT,)),
        ("axle", (AXLE,)),
    ],
)
def test_what_a_position_means(name: str, places: tuple[Place, ...]) -> None:
    assert find_places(PLACES, name) == places


def test_the_vehicles_position_has_no_side() -> None:
    with pytest.raises(UnknownNameError) as caught:
        find_places(PLACES, "left axle")
    assert caught.value.nearest == ("axle",)


def test_a_position_that_does_not_exist() -> None:
    with pytest.raises(UnknownNameError, match="Nearest: hub"):
        find_places(PLACES, "hubb")


def test_a_part_brings_its_mirror() -> None:
    wish = read_wish(CATALOGUE, PLACES, "hub = hub-25l")
    assert (wish.places, wish.numbers) == ((LEFT, RIGHT), ("HUB-25L", "HUB-25R"))
    assert read_wish(CATALOGUE, PLACES, "left hub=HUB-25L").places == (LEFT,)


@pytest.mark.parametrize(
    ("text", "window"),
    [
        ("axle.diameter>=22 mm", (22.0, None)),
        ("axle.diameter <= 1 in", (None, 25.4)),
        ("axle.seat.diameter=25 mm", (25.0, 25.0)),
        ("axle.Diameter>=20..22 mm", (20.0, None)),
    ],
)
def test_a_property_has_a_window(text: str, window: tuple[float | None, float | None]) -> None:
    wish = read_wish(CATALOGUE, PLACES, text)
    assert (wish.low, wish.high) == (pytest.approx(window[0]) if window[0] else None,
                                     pytest.approx(window[1]) if window[1] else None)  # fmt: skip
    assert (wish.dimension, wish.numbers) == ("diameter", ())


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("hub", "Write POSITION=PART"),
        ("=HUB-25L", "Write POSITION=PART"),
        ("hub>=HUB-25L", "a part takes '='"),
        ("axle.diameter>=22", "Enter "),
        ("axle.diameter>=?", "not a size"),
        ("axle.diameter>=wide", "Enter "),
        ("axle=HUB-25L", "stands in hub"),
    ],
)
def test_what_cannot_be_read_says_what_is_expected(text: str, why: str) -> None:
    with pytest.raises(RequestError, match=why):
        read_wish(CATALOGUE, PLACES, text)


@pytest.mark.parametrize("text", ["axle=AXEL-25", "axel=AXLE-25", "axle.diametre>=22 mm", "axle.cone.diameter>=1 mm"])
def test_names_that_do_not_exist_get_the_nearest(text: str) -> None:
    with pytest.raises(UnknownNameError):
        read_wish(CATALOGUE, PLACES, text)


def test_the_rest_of_a_request() -> None:
    request = read_request(CATALOGUE, PLACES, want=["axle=AXLE-25"], keep=["cap"], renew=["left hub"],
                           avoid=["forge", "HUB-?"], prefer=["price", "changes"])  # fmt: skip
    assert request.keep == (Place("cap", "left"), Place("cap", "right"))
    assert request.renew == (LEFT,)
    assert request.avoid == ("Forge", "HUB-?")
    assert request.prefer == ("price", "changes")
    with pytest.raises(RequestError, match="cannot be preferred"):
        read_request(CATALOGUE, PLACES, prefer=["speed"])
    with pytest.raises(UnknownNameError):
        read_request(CATALOGUE, PLACES, avoid=["Smithy"])


def feature(*statements: Statement, absent: bool = False) -> dict[str, Feature]:
    return {"seat": Feature("seat", "k", {"diameter": statements}, (Said("s", 1),) if absent else ())}


def size(low: float | None, high: float | None, rank: int = 2) -> Statement:
    return Statement("x", "s", rank, low, high)


def test_a_wish_is_met_only_where_the_whole_interval_lies_inside() -> None:
    wish = Wanted("", (), dimension="diameter", low=20.0, high=25.0)
    assert wish.is_met_by(feature(size(20.0, 25.0)))
    assert not wish.is_met_by(feature(size(19.9, 21.0)))
    assert not wish.is_met_by(feature(size(20.0, None)))
    assert not wish.is_met_by(feature(Statement("?", "s", 2, unknown=True)))
    assert not wish.is_met_by({})
    assert not wish.is_met_by(feature(size(21.0, 21.0, rank=3), absent=True))
    assert not wish.is_met_by(feature(size(21.0, 21.0), size(26.0, 26.0)))  # two equal sources, one outside
    assert wish.is_met_by(feature(size(21.0, 21.0), size(26.0, 26.0, rank=5)))  # better evidence computes


def test_a_wish_may_name_the_feature() -> None:
    features = {**feature(size(21.0, 21.0)), "tip": Feature("tip", "k", {"diameter": (size(5.0, 5.0),)})}
    assert Wanted("", (), dimension="diameter", low=20.0).is_met_by(features)
    assert not Wanted("", (), dimension="diameter", feature="Tip", low=20.0).is_met_by(features)


def test_a_part_for_the_other_hand_is_refused() -> None:
    with pytest.raises(RequestError, match=r"HUB-25R is for the right. The left one is HUB-25L"):
        read_wish(CATALOGUE, PLACES, "left hub=HUB-25R")


def test_a_part_that_stands_elsewhere_is_named_with_its_article() -> None:
    with pytest.raises(RequestError, match=r"AXLE-20 is an outer joint\. It stands in axle"):
        read_wish(CATALOGUE, PLACES, "hub=AXLE-20")


def test_a_property_that_no_joint_needs_may_be_asked_for() -> None:
    more = {"features/master_cylinder.csv": "part,feature,bore,source\nAXLE-20,hole,6 mm,book\n"}
    richer = world(more)
    wish = read_wish(richer, Places(richer.layouts["cart axle"]), "axle.bore>=5 mm")
    assert (wish.feature, wish.dimension, wish.low) == ("", "bore", 5.0)


# ------------------------------------------------------------------ codes and counts


def demo_wish(text: str) -> Wanted:
    from tests.demo.demo import demo

    return read_wish(demo(), Places(demo().layouts["tansy front axle"]), text)


def met_by(text: str) -> set[str]:
    """The parts with a property that is wished for."""
    from tests.demo.demo import demo

    wish = demo_wish(text)
    return {thing for thing, features in demo().features.items() if thing in demo().parts and wish.is_met_by(features)}


def test_a_count_may_be_wished_for() -> None:
    wish = demo_wish("outer joint.stub spline.teeth=25")
    assert (wish.feature, wish.dimension, wish.low, wish.high) == ("stub spline", "teeth", 25.0, 25.0)
    assert {"ROWAN-201", "ROWAN-301"} <= met_by("outer joint.teeth=25") and "ROWAN-101" not in met_by(
        "outer joint.teeth=25"
    )
    assert "ROWAN-101" in met_by("outer joint.stub spline.teeth<=21")


def test_a_code_may_be_wished_for() -> None:
    assert demo_wish("hub collar.form=Taper").code == "taper"
    assert met_by("hub collar.form=taper") >= {"ROWAN-251", "ROWAN-351"}
    assert "ROWAN-151" in met_by("hub collar.form=flat") and "ROWAN-151" not in met_by("hub collar.form=taper")


@pytest.mark.parametrize("written", ["left", "L", "LH", "left hand"])
def test_the_hand_of_a_thread_may_be_wished_for_as_people_write_it(written: str) -> None:
    for dimension in ("hand", "thread.hand", "nut.thread.hand"):
        wish = demo_wish(f"hub nut.{dimension}={written}")
        assert (wish.dimension, wish.code) == ("thread.hand", "left")
        assert not met_by(wish.text), "nobody wrote one: what is only usual is not recorded"
    assert demo_wish("hub nut.thread.major>=20 mm").low == 20.0


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("hub collar.form>=taper", "form is a word, not a size. Write POSITION.form=WORD"),
        ("hub collar.form=tapper", "'tapper' is not a known form of the hub collar. Write taper"),
        ("hub nut.thread.hand=up", "'up' is not a known thread.hand of the hub nut. Write left or right"),
        ("hub nut.thread=M20x1.5", "Ask for thread.major or thread.pitch or thread.flank angle or thread.hand"),
        ("outer joint.teeth=many", "cannot read"),
    ],
)
def test_what_is_wrong_with_a_wish_is_said_with_what_is_expected(text: str, said: str) -> None:
    with pytest.raises(RequestError, match=said.replace(".", r"\.")):
        demo_wish(text)


def test_a_misspelt_dimension_names_the_nearest() -> None:
    with pytest.raises(UnknownNameError) as wrong:
        demo_wish("outer joint.teth=25")
    assert "teeth" in wrong.value.nearest
