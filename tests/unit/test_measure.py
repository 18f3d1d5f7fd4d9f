"""What to measure first: only what stays where it meets what is new, and what is hidden is a risk."""

from __future__ import annotations

from collections.abc import Mapping

import pytest

from knockon.queries.plan.measure import Measurement, Risk, measure_first
from knockon.queries.plan.solving.unproven import unproven_checks
from tests.unit.small import TABLES, planned, problem, with_rows, world


def measured(
    *want: str, vehicle: str = "cart", changed: Mapping[str, str] | None = None, keep: tuple[str, ...] = ()
) -> tuple[tuple[Measurement, ...], tuple[Risk, ...]]:
    of = problem(world(changed), *want, vehicle=vehicle, keep=keep)
    _, filling = planned(of)
    return measure_first(of, filling, unproven_checks(of, filling))


SAME = with_rows("parts.csv", "HUB-20X,hub 20 improved,drive flange,either,no,,,book") | with_rows(
    "features/register_bore.csv", "HUB-20X,bore,20 mm,book"
)


def test_the_kept_side_of_a_joint_with_something_new() -> None:
    measurements, risks = measured("hub=HUB-20X", changed=SAME)
    assert [(m.position, m.feature, m.dimensions, m.places) for m in measurements] == [
        ("axle", "seat", ("diameter",), ("axle",)),
    ]
    (one,) = measurements
    assert [(e.dimension, e.written) for e in one.expected] == [("diameter", "20 mm")]
    assert one.how and one.decides == ("hubs",)
    assert risks == ()


def test_a_reading_on_the_item_need_not_be_repeated() -> None:
    read = SAME | with_rows("features/spigot.csv", "odd-axle,seat,20.00 mm ±0.01 mm,survey")
    assert measured("hub=HUB-20X", vehicle="my-cart", changed=SAME)[0]
    assert measured("hub=HUB-20X", vehicle="my-cart", changed=read) == ((), ())


def test_a_reading_on_another_thing_of_its_number_leaves_this_one_to_be_measured() -> None:
    other = SAME | with_rows("features/spigot.csv", "AXLE-20,seat,20.00 mm ±0.01 mm,survey")
    (one,) = measured("hub=HUB-20X", vehicle="my-cart", changed=other)[0]
    assert (one.position, one.feature, one.dimensions) == ("axle", "seat", ("diameter",))


@pytest.mark.parametrize(("of", "again"), [("odd-axle", False), ("AXLE-20", True)], ids=["of it", "of its number"])
def test_a_feature_that_is_missing_on_another_thing_of_its_number_is_looked_for_on_this_one(
    of: str, again: bool
) -> None:
    """What leaves is looked at where it would be ruled out, unless that was seen on it."""
    gone = {"features/spigot.csv": f"part,feature,diameter,source\nAXLE-25,seat,25 mm,book\n{of},seat,absent,survey\n"}
    seen = measured("axle=AXLE-25", vehicle="my-cart", changed=gone)[0]
    assert [m.position for m in seen] == (["axle"] if again else [])


def test_what_cannot_be_reached_is_a_risk() -> None:
    hidden = TABLES["joints.csv"].replace("register,corner apart,on the vehicle", "register,corner apart,corner apart")
    measurements, risks = measured("hub=HUB-20X", changed={**SAME, "joints.csv": hidden})
    assert measurements == ()
    assert [(r.position, r.feature, r.dimensions, r.seen_when, r.decides) for r in risks] == [
        ("axle", "seat", ("diameter",), "corner apart", ("hubs",)),
    ]


def test_what_is_new_on_both_sides_is_not_measured_on_the_vehicle() -> None:
    assert measured("axle=AXLE-25") == ((), ())


def test_nothing_is_measured_where_nothing_changes() -> None:
    assert measured() == ((), ())


def test_a_reading_that_says_nothing_or_contradicts_itself_is_repeated() -> None:
    asked = SAME | with_rows("features/spigot.csv", "odd-axle,seat,?,survey")
    assert measured("hub=HUB-20X", vehicle="my-cart", changed=asked)[0]
    again = with_rows("sources.csv", "again,read on the cart once more,on the item,m2")
    torn = ("odd-axle,seat,20.00 mm ±0.01 mm,survey", "odd-axle,seat,20.10 mm ±0.01 mm,again")
    assert measured("hub=HUB-20X", vehicle="my-cart", changed=SAME | again | with_rows("features/spigot.csv", *torn))[0]
