"""What comes off only so that something else can be reached: small worlds with one answer of both."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.oracle.engine import Comparison
from tests.oracle.generate import Case
from tests.oracle.motion import Request
from tests.oracle.small import chain, change, joint, numbers, part, position, teeth, vehicle
from tests.oracle.world import Alternatives, Fitting, InTheWay, Item, Mark, Vehicle, World

BARE = chain("c l", {"c.1": (20,), "l.1": (20,)})
WORLD = replace(
    BARE,
    parts=(part("c.1"), part("c.2"), part("l.1"), part("k.1"), part("k.2"), part("s.1", one_use=True)),
    positions=tuple(map(position, "klcs")),
    joints=(joint("s", "l"),),
    rows=(teeth("s.1", "s-l", 20), teeth("l.1", "s-l", 20)),
)
"""A core k under a lid l, on which a one-use seal s lies; c stands beside, and meets nothing."""

VAN = vehicle("k.1", "l.1", "c.1", "s.1")
LID = InTheWay("l", "k")


def agreed(world: World, van: Vehicle, *wants: str, ways: tuple[InTheWay, ...] = (), **more: object) -> Comparison:
    """A swap on which both agree, where these things are in the way of others."""
    request = Request(wants=tuple((n.split(".")[0], n) for n in wants), **more)  # type: ignore[arg-type]
    comparison = Comparison(Case(replace(world, in_the_way=ways, vehicles=(van,)), van, request))
    assert not comparison.differences()
    return comparison


def plan(comparison: Comparison) -> str:
    """The oracle's one best plan, on the left hand."""
    (best,) = comparison.ours.best
    return numbers(best)


def left(comparison: Comparison) -> dict[str, str]:
    """What the program says becomes of the places on the left."""
    return {c.position: c.status for c in comparison.theirs.changes if c.side == "left"}


def replaced(comparison: Comparison) -> int:
    """How many positions count as replaced, of both hands."""
    assert comparison.ours.levels is not None
    return comparison.ours.levels.replaced


# --------------------------------------------------------------------------------------------- what comes off


def test_what_is_in_the_way_of_what_goes_is_put_back_and_its_one_use_part_renewed_at_no_cost() -> None:
    off = agreed(WORLD, VAN, "k.2", ways=(LID,))
    assert plan(off) == "k.2* l.1 c.1 s.1*" and replaced(off) == 2
    assert left(off) == {"k": "forced by fit", "l": "taken off", "c": "kept", "s": "renewed"}
    assert plan(agreed(WORLD, VAN, "k.2")) == "k.2* l.1 c.1 s.1"
    assert plan(agreed(WORLD, VAN, "c.2", ways=(LID,))) == "k.1 l.1 c.2* s.1"


def test_what_is_put_where_nothing_was_is_reached_too() -> None:
    empty = change(WORLD, "k", need="optional")
    off = agreed(empty, vehicle("l.1", "c.1", "s.1"), "k.1", ways=(LID,))
    assert plan(off) == "k.1* l.1 c.1 s.1*" and replaced(off) == 2 and left(off)["l"] == "taken off"


def test_what_is_freed_is_reached_too() -> None:
    more = change(WORLD, "k", need="with", with_position="c", lacking_feature="eye")
    rows = (*more.rows, teeth("c.1", "eye", Mark.ABSENT), teeth("c.2", "eye", 20))
    off = agreed(replace(more, rows=rows), VAN, "c.2", ways=(LID,))
    assert plan(off) == "- l.1 c.2* s.1*"
    assert left(off)["k"] == "freed" and left(off)["s"] == "renewed" and replaced(off) == 2


def test_a_chain_of_what_is_in_the_way_comes_off_link_by_link() -> None:
    """c lies over the lid; both come off for the core, and of c too the one-use part p."""
    more = replace(
        WORLD,
        parts=(*WORLD.parts, part("p.1", one_use=True)),
        positions=(*WORLD.positions, position("p")),
        joints=(*WORLD.joints, joint("p", "c")),
    )
    ways = (LID, InTheWay("c", "l"))
    off = agreed(more, vehicle("k.1", "l.1", "c.1", "s.1", "p.1"), "k.2", ways=ways)
    assert plan(off) == "k.2* l.1 c.1 s.1* p.1*" and left(off)["c"] == "taken off"


def test_a_one_use_part_that_is_itself_in_the_way_is_renewed_and_what_is_in_the_way_of_it_comes_off() -> None:
    off = agreed(WORLD, VAN, "k.2", ways=(InTheWay("s", "k"), InTheWay("c", "s")))
    assert plan(off) == "k.2* l.1 c.1 s.1*" and left(off)["c"] == "taken off" and replaced(off) == 2


def test_an_owned_part_is_renewed_where_an_end_of_its_joint_comes_off() -> None:
    """The pin w meets nothing; the joint of l and c owns it, in which l comes off and c stays."""
    more = replace(
        WORLD,
        parts=(*WORLD.parts, part("w.1", one_use=True)),
        positions=(*WORLD.positions, position("w")),
        joints=(*WORLD.joints, replace(joint("l", "c"), owns=("w",), disturbs=False)),
    )
    van = vehicle("k.1", "l.1", "c.1", "s.1", "w.1")
    assert plan(agreed(more, van, "k.2", ways=(LID,))) == "k.2* l.1 c.1 s.1* w.1*"
    assert plan(agreed(more, van, "k.2", ways=(InTheWay("l", "k", leaves=("l-c",)),))) == "k.2* l.1 c.1 s.1* w.1"


def test_what_is_slackened_and_what_is_left_made_renews_nothing() -> None:
    slack = agreed(WORLD, VAN, "k.2", ways=(replace(LID, slackened=True),))
    assert plan(slack) == "k.2* l.1 c.1 s.1" and left(slack)["l"] == "kept"
    made = agreed(WORLD, VAN, "k.2", ways=(replace(LID, leaves=("s-l",)),))
    assert plan(made) == "k.2* l.1 c.1 s.1" and left(made)["l"] == "taken off"
    gentle = replace(WORLD, joints=(replace(WORLD.joints[0], disturbs=False),))
    assert plan(agreed(gentle, VAN, "k.2", ways=(LID,))) == "k.2* l.1 c.1 s.1"


def test_what_one_way_leaves_made_another_undoes() -> None:
    ways = (replace(LID, leaves=("s-l",)), InTheWay("l", "c"))
    assert plan(agreed(WORLD, VAN, "k.2", ways=ways)) == "k.2* l.1 c.1 s.1"
    assert plan(agreed(WORLD, VAN, "k.2", "c.2", ways=ways)) == "k.2* l.1 c.2* s.1*"


def test_where_nothing_stands_nothing_comes_off() -> None:
    bare = change(WORLD, "l", need="optional")
    off = agreed(bare, vehicle("k.1", "c.1", "s.1"), "k.2", ways=(LID, InTheWay("s", "l")))
    assert plan(off) == "k.2* - c.1 s.1"


def test_nothing_between_what_is_kept_is_judged_anew() -> None:
    """The lid and c do not agree, and the lid was never measured: nobody asks, though it comes off."""
    wrong = replace(WORLD, joints=(joint("l", "c"),), rows=(teeth("l.1", "l-c", 20), teeth("c.1", "l-c", 21)))
    off = agreed(wrong, VAN, "k.2", ways=(LID,))
    assert plan(off) == "k.2* l.1 c.1 s.1" and off.ours.levels is not None
    assert off.ours.levels[:3] == (0, 2, 0)


@pytest.mark.parametrize("side", ["left", "right"])
def test_only_the_hand_that_is_reached_comes_apart(side: str) -> None:
    """k goes on one hand, where it is due."""
    sides = tuple(Fitting("k", s, "k.1", condition="due" if s == side else "sound") for s in ("left", "right"))
    van = replace(VAN, fittings=(*VAN.fittings[1:], *sides))
    off = agreed(WORLD, van, ways=(LID,))
    assert {c.place: c.status for c in off.theirs.changes if c.status != "kept"} == {
        f"{side} k": "renewed",
        f"{side} l": "taken off",
        f"{side} s": "renewed",
    }
    axle = agreed(change(WORLD, "l", level="vehicle"), van, ways=(LID,))
    assert {c.place for c in axle.theirs.changes if c.status == "renewed"} == {f"{side} k", "left s", "right s"}


# -------------------------------------------------------------------------------------------------- arrangements

LAND, WIND = Alternatives("land", ("dale", "hill")), Alternatives("wind", ("east", "west"))
CHOICES = replace(
    WORLD,
    choices=(LAND, WIND),
    parts=(*WORLD.parts, part("e.1")),
    positions=(*WORLD.positions, position("e", arrangement="east")),
    joints=(*WORLD.joints, joint("s", "e")),
    rows=(*WORLD.rows, teeth("s.1", "s-e", 20), teeth("e.1", "s-e", 20)),
)
"""A needed e in the east; the seal meets it."""


@pytest.mark.parametrize(
    ("says", "expected"), [(("hill", "east"), "s.1*"), (("hill", "west"), "s.1"), (("hill",), "s.1*"), ((), "s.1*")]
)
def test_a_way_holds_of_the_vehicle_as_it_is_unless_it_is_known_to_be_otherwise(
    says: tuple[str, ...], expected: str
) -> None:
    van = replace(VAN, arrangements=says)
    choices = replace(WORLD, choices=(LAND, WIND))
    off = agreed(choices, van, "k.2", ways=(replace(LID, arrangement="east"),), arrangements=("west",))
    assert {numbers(one).split()[-1] for one in off.ours.best} == {expected}


def test_what_is_perhaps_there_comes_off_where_the_plan_leaves_it() -> None:
    """Nothing tells east or west: e is perhaps there, and in the way of the core."""
    van = replace(VAN, arrangements=("hill",))
    east = agreed(CHOICES, van, "k.2", ways=(InTheWay("e", "k"),), arrangements=("east",))
    assert plan(east) == "k.2* l.1 c.1 s.1* " and left(east)["e"] == "taken off"
    west = agreed(CHOICES, van, "k.2", ways=(InTheWay("e", "k"),), arrangements=("west",))
    assert plan(west) == "k.2* l.1 c.1 s.1 -"


# ------------------------------------------------------------------------------------------- causes have a ground


def test_a_thing_does_not_go_for_the_sake_of_its_own_coming_off() -> None:
    """The seal lies under the lid that it meets: to take it out, the lid comes off. That is no cause of its going."""
    under = (InTheWay("l", "s"),)
    assert plan(agreed(WORLD, VAN, "c.2", ways=under)) == "k.1 l.1 c.2* s.1"
    two = replace(WORLD, parts=(*WORLD.parts, part("s.2", one_use=True)))
    asked = agreed(two, VAN, "s.2", ways=under)
    assert plan(asked) == "k.1 l.1 c.1 s.2*" and replaced(asked) == 2, "it is counted"
    assert left(asked) == {"k": "kept", "l": "taken off", "c": "kept", "s": "forced by fit"}


MEASURED = replace(
    WORLD,
    joints=(*WORLD.joints, joint("s", "c")),
    rows=(*WORLD.rows, teeth("s.1", "s-c", 20), teeth("c.1", "s-c", 20), teeth("c.2", "s-c", 20)),
)


def test_a_one_use_part_is_not_kept_by_a_second_one_that_only_reaching_itself_calls_for() -> None:
    """Somebody read on the seal that it does not agree with k.2; a new one of its number would. Nothing but its own
    going takes the lid off, so the seal cannot be kept."""
    read = replace(
        WORLD,
        joints=(joint("s", "k", disturbs=False), joint("s", "l")),
        rows=(*(teeth(f"k.{i}", "s-k", 20 + i) for i in (1, 2)), teeth("s.1", "s-k", 22)),
    )
    sides = tuple(Fitting("s", side, "s.1", f"mine {side}") for side in ("left", "right"))
    items = tuple(Item(f"mine {side}", "s.1") for side in ("left", "right"))
    rows = tuple(replace(teeth("s.1", "s-k", 21, "bench"), owner=item.name) for item in items)
    van = replace(VAN, fittings=(*VAN.fittings[:3], *sides))
    world = replace(read, items=items, rows=(*read.rows, *rows))
    under = InTheWay("l", "s")
    off = agreed(world, van, "k.2", ways=(under,), keep=("l",))
    assert plan(off) == "k.2* l.1 c.1 s.1*" and left(off)["s"] == "forced by fit" and replaced(off) == 4
    assert agreed(world, van, "k.2", ways=(under,), keep=("s", "l")).ours.levels is None
    both = agreed(world, van, "k.2", ways=(under, LID), keep=("s", "l"))
    assert plan(both) == "k.2* l.1 c.1 s.1*" and left(both)["s"] == "renewed" and replaced(both) == 2
    bought = agreed(world, van, "k.2", ways=(under,), keep=("s",))
    assert plan(bought) == "k.2* l.1* c.1 s.1*", "a lid that goes is another cause"


def test_two_that_are_in_the_way_of_each_others_neighbours_do_not_excuse_each_other() -> None:
    """To reach the seal s the lid comes off, at which p is; to reach p c comes off, at which s is: untouched, both
    stay; where one is asked for, it is counted and the other is not."""
    more = replace(
        WORLD,
        parts=(*WORLD.parts, part("s.2", one_use=True), part("p.1", one_use=True)),
        positions=(*WORLD.positions, position("p")),
        joints=(joint("p", "l"), joint("s", "c")),
        rows=(),
    )
    van = vehicle("k.1", "l.1", "c.1", "s.1", "p.1")
    ways = (InTheWay("l", "s"), InTheWay("c", "p"))
    assert plan(agreed(more, van, "k.2", ways=ways)) == "k.2* l.1 c.1 s.1 p.1"
    asked = agreed(more, van, "s.2", ways=ways)
    assert plan(asked) == "k.1 l.1 c.1 s.2* p.1*" and replaced(asked) == 2


def test_to_renew_what_comes_off_anyway_costs_nothing_only_where_another_is_reached() -> None:
    two = replace(WORLD, parts=(*WORLD.parts, part("s.2", one_use=True)))
    assert replaced(agreed(two, VAN, "s.2", "k.2", ways=(LID,))) == 2
    assert replaced(agreed(two, VAN, "s.2", "k.2")) == 4


# ------------------------------------------------------------------------------------------- what is not recorded


def test_what_nobody_recorded_comes_off_too() -> None:
    """Nobody recorded what stands in c, which is in the way of the core."""
    off = agreed(WORLD, vehicle("k.1", "l.1", "s.1"), "k.2", ways=(LID, InTheWay("c", "k")))
    assert plan(off) == "k.2* l.1  s.1*" and left(off)["c"] == "taken off"


def test_what_nobody_recorded_is_left_where_what_is_kept_is_renewed_because_of_what_comes_off() -> None:
    """The seal that is asked to be kept is renewed, as the lid comes off; it meets c too, of which a new one would be
    the better known. But c could as well stay."""
    off = agreed(MEASURED, vehicle("k.1", "l.1", "s.1"), "k.2", ways=(LID,), keep=("s", "l"), prefer=("unproven",))
    assert plan(off) == "k.2* l.1  s.1*"


@pytest.mark.parametrize("prefer", [(), ("unproven",)])
def test_what_is_perhaps_there_and_would_take_a_one_use_part_along_may_be_replaced(prefer: tuple[str, ...]) -> None:
    """e hangs on the core, which goes: left, it moves over, away from the seal that it meets. A new one spares that
    seal, if nothing was there; so it is another plan."""
    van = replace(VAN, arrangements=("hill",))
    hung = change(CHOICES, "e", carried_by="k")
    off = agreed(hung, van, "k.2", arrangements=("east",), prefer=prefer, keep=("l",))
    spared = (0, 4, 2, 2, 0)
    assert spared in {tuple(levels) for levels in off.ours.others}
    if not prefer:
        assert plan(off) == "k.2* l.1 c.1 s.1* " and left(off)["e"] == "moved over" and replaced(off) == 2
