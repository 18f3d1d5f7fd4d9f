"""When what nobody recorded gives way in a plan, and when it is left: small worlds with one answer of both."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from tests.oracle.engine import Comparison
from tests.oracle.generate import Case
from tests.oracle.motion import Request
from tests.oracle.plan import Swap
from tests.oracle.small import chain, change, joint, numbers, part, position, teeth, vehicle
from tests.oracle.world import Fitting, InTheWay, Joint, Mark, Member, PartSet, Vehicle, World

PROVEN = ("unproven",)
"""Who prefers this would rather buy a known part than leave something that nobody recorded."""


def agreed(world: World, van: Vehicle, *parts: str, **more: Any) -> list[str]:
    """The best plan for who prefers proven checks, on which both agree; each part is for the place before its dot."""
    more["wants"] = (*((number.split(".")[0], number) for number in parts), *more.get("wants", ()))
    case = Case(replace(world, vehicles=(van,)), van, Request(prefer=PROVEN, **more))
    assert not Comparison(case).differences()
    return [numbers(one) for one in Swap(*case).answer().best]


TRIO = chain("a b c", {"a.1": (20,), "a.2": (20,), "b.1": (20, 20), "c.1": (20,)})
RING = change(
    replace(TRIO, joints=(*TRIO.joints, replace(TRIO.joints[0], name="a-c", other_position="c"))), "c.1", one_use=True
)
GAP = vehicle("a.1", "c.1")
"""Nothing is recorded in b; c.1 is used once and meets a and b."""


@pytest.mark.parametrize("keep", [(), ("c",)])
def test_it_is_left_where_what_is_kept_is_renewed_because_of_another_part_too(keep: tuple[str, ...]) -> None:
    """a goes, so c is renewed whether b stays or not."""
    assert agreed(RING, GAP, "a.2", keep=keep) == ["a.2*  c.1*"]


def test_it_gives_way_where_else_what_is_kept_would_not_be_renewed() -> None:
    """c meets b alone. All else being as it is, a second c.1 without need does not keep the first."""
    once = change(TRIO, "c.1", one_use=True)
    assert agreed(once, GAP, "a.2", keep=("c",)) == ["a.2* b.1* c.1*"]


def test_it_gives_way_too_where_it_would_move_together_with_what_is_kept() -> None:
    """b and c hang on a: as long as b is left, it moves with c and nothing renews c."""
    hung = change(change(change(TRIO, "c.1", one_use=True), "b", carried_by="a"), "c", carried_by="a")
    assert agreed(hung, GAP, "a.2", keep=("c",)) == ["a.2* b.1* c.1*"]


def test_it_is_left_where_it_would_move_away_from_what_is_kept() -> None:
    """b hangs on a and c does not: b moves over, which renews c as its going would."""
    hung = change(change(TRIO, "c.1", one_use=True), "b", carried_by="a")
    assert agreed(hung, GAP, "a.2", keep=("c",)) == ["a.2*  c.1*"]


def test_it_is_left_where_what_is_kept_is_pressed_out_anyway() -> None:
    hung = change(change(TRIO, "c.1", one_use=True), "c", carried_by="a", pressed_in=True)
    assert agreed(hung, GAP, "a.2", keep=("c",)) == ["a.2*  c.1*"]


def test_of_two_that_renew_what_is_kept_one_is_left() -> None:
    """b and d meet a and c; each alone is enough for c to be renewed."""
    four = chain("a b c d", {"a.1": (20,), "a.2": (20,), "b.1": (20, 20), "c.1": (20, 20), "d.1": (20,)})
    to_a = (replace(four.joints[0], name="b too"), replace(four.joints[2], name="a-d", position="a"))
    beside_a = Joint("a-d two", "a", "a-b", "d", "c-d", "rule")
    four = change(replace(four, joints=(*four.joints, *to_a, beside_a)), "c.1", one_use=True)
    assert agreed(four, GAP, "a.2", keep=("c",)) == ["a.2* b.1* c.1* "]


# ------------------------------------------------------------------------------- a feature known absent

WITHOUT = replace(TRIO, rows=tuple(teeth("c.1", "b-c", Mark.ABSENT) if r.owner == "c.1" else r for r in TRIO.rows))
"""c.1 is known to lack what b needs: no b goes with it, recorded or not."""


def test_beside_a_thing_without_the_feature_it_is_left_as_long_as_nothing_moves() -> None:
    assert agreed(WITHOUT, GAP, "a.2") == ["a.2*  c.1"]


@pytest.mark.parametrize("names", ["c", "b c"])
def test_moved_together_with_it_it_is_left_and_taken_from_it_there_is_no_plan(names: str) -> None:
    world = WITHOUT
    for name in names.split():
        world = change(world, name, carried_by="a")
    assert agreed(world, GAP, "a.2") == (["a.2*  c.1"] if names == "b c" else [])


# ------------------------------------------------------------------------- what gives way together

FOUR = chain("a b c d", {"a.1": (20,), "a.2": (20,), "b.1": (20, 20), "c.1": (20, 20), "d.1": (20,)})


def test_it_is_left_where_its_lost_carrier_takes_what_is_kept_from_it() -> None:
    """c hangs on a and b does not: a's going takes c from b, whether b is left or not."""
    hung = change(change(TRIO, "c.1", one_use=True), "c", carried_by="a")
    assert agreed(hung, GAP, "a.2", keep=("c",)) == ["a.2*  c.1*"]


def test_two_that_one_set_fills_are_left_together_and_give_way_together() -> None:
    """d.1 is not for sale: who wants another d gets the set, and b with it; who wants another a leaves both."""
    world = replace(FOUR, sets=(PartSet("b.s", (Member("b", as_part="b.1"), Member("d", as_part="d.1"))),))
    van = vehicle("a.1", "c.1")
    assert agreed(world, van, "a.2", avoid=("d.1",)) == ["a.2*  c.1 "]
    assert agreed(world, van, avoid=("d.1", "b.1"), wants=(("d", "b.s"),)) == ["a.1* b.s* c.1* b.s*"]


def test_what_is_pressed_into_one_that_gives_way_gives_way_with_it() -> None:
    world = change(FOUR, "c", carried_by="b", pressed_in=True)
    assert agreed(world, vehicle("a.1", "d.1"), "b.1") == ["a.1* b.1* c.1* d.1*"]
    assert agreed(world, vehicle("a.1", "d.1"), "a.2") == ["a.2*   d.1"]


def test_one_that_is_due_gives_way() -> None:
    due = Vehicle("found", ("only",), (*vehicle("a.1", "c.1").fittings, Fitting("b", "", condition="due")))
    assert agreed(TRIO, due, "a.2") == ["a.2* b.1* c.1*"]


@pytest.mark.parametrize("side", ["left", "right"])
def test_where_one_hand_is_due_the_other_gives_way_with_it(side: str) -> None:
    """Of neither hand's b a number is recorded; the axle rule takes both."""
    due = Vehicle("found", ("only",), (*vehicle("a.1", "c.1").fittings, Fitting("b", side, condition="due")))
    assert agreed(TRIO, due, "a.2") == ["a.2* b.1* c.1*"]


@pytest.mark.parametrize("lacks", [True, False])
def test_one_that_calls_for_another_by_a_feature_that_it_lacks_gives_way(lacks: bool) -> None:
    """v is needed with a b that lacks the valve: who wants v gets such a b, as nobody knows what is there."""
    absent = replace(teeth("b.1", "valve", Mark.ABSENT if lacks else 1), kind="hole")
    called = position("v", need="with", with_position="b", lacking_feature="valve")
    world = replace(
        TRIO, rows=(*TRIO.rows, absent), parts=(*TRIO.parts, part("v.1")), positions=(*TRIO.positions, called)
    )
    assert agreed(world, GAP, "v.1") == (["a.1* b.1* c.1* v.1*"] if lacks else [])


def test_one_is_left_where_what_it_would_call_for_is_called_for_by_another() -> None:
    """The right b is known to lack the valve, so v is there because of it, whatever the left b has."""
    absent = replace(teeth("b.1", "valve", Mark.ABSENT), kind="hole")
    called = position("v", level="vehicle", need="with", with_position="b", lacking_feature="valve")
    world = replace(
        TRIO, rows=(*TRIO.rows, absent), parts=(*TRIO.parts, part("v.1")), positions=(*TRIO.positions, called)
    )
    van = Vehicle("found", ("only",), (*vehicle("a.1", "c.1").fittings, Fitting("b", "right", "b.1")))
    assert agreed(world, van, "v.1", "a.2") == ["a.2*  c.1 v.1*"]


# --------------------------------------------------- what renews the kept part, the unrecorded one being left

ONCE = change(TRIO, "c.1", one_use=True)
"""c.1 meets b alone, and is used once."""


def test_it_is_left_where_what_is_kept_is_pressed_into_what_goes() -> None:
    """c is used again and again: only its pressing out renews it."""
    hung = change(TRIO, "c", carried_by="a", pressed_in=True)
    assert agreed(hung, GAP, "a.2", keep=("c",)) == ["a.2*  c.1*"]


def test_it_is_left_where_what_is_kept_comes_off_so_that_a_new_thing_gets_in() -> None:
    """Nothing stood in v; c is in its way, and in the way of nothing that goes."""
    new = replace(
        ONCE,
        parts=(*ONCE.parts, part("v.1")),
        positions=(*ONCE.positions, position("v", need="optional")),
        in_the_way=(InTheWay("c", "v"),),
    )
    assert agreed(new, GAP, "a.2", "v.1", keep=("c",)) == ["a.2*  c.1* v.1*"]


def test_it_is_left_where_what_is_kept_comes_off_for_what_comes_off_for_what_goes() -> None:
    """d is in the way of a, and c in the way of d."""
    row = replace(
        ONCE,
        parts=(*ONCE.parts, part("d.1")),
        positions=(*ONCE.positions, position("d")),
        in_the_way=(InTheWay("d", "a"), InTheWay("c", "d")),
    )
    assert agreed(row, vehicle("a.1", "c.1", "d.1"), "a.2", keep=("c",)) == ["a.2*  c.1* d.1"]


@pytest.mark.parametrize("first", ["a", "d"])
def test_it_is_left_where_a_joint_that_is_undone_owns_what_is_kept(first: str) -> None:
    """c lies in the joint of a and d too, and a goes."""
    between = joint(first, "d" if first == "a" else "a", owns=("c",))
    rows = (teeth(number, between.name, 20) for number in ("a.1", "a.2", "d.1"))
    owned = replace(
        ONCE,
        parts=(*ONCE.parts, part("d.1")),
        positions=(*ONCE.positions, position("d")),
        joints=(*ONCE.joints, between),
        rows=(*ONCE.rows, *rows),
    )
    assert agreed(owned, vehicle("a.1", "c.1", "d.1"), "a.2", keep=("c", "d")) == ["a.2*  c.1* d.1"]
