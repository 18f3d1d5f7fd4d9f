"""Layouts with two choices, of each of which one arrangement holds: small worlds with one answer of both."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.oracle.engine import Comparison
from tests.oracle.generate import Case
from tests.oracle.motion import Request
from tests.oracle.plan import Swap
from tests.oracle.small import chain, change, joint, numbers, part, position, teeth, vehicle
from tests.oracle.world import Alternatives, Fitting, Vehicle, World, one_of

LAND, WIND = Alternatives("land", ("dale", "hill")), Alternatives("wind", ("east", "west"))
EVERYWHERE = chain("a b", {"a.1": (20,), "a.2": (20,), "b.1": (20,)})
HELD = {"d": "dale", "h": "hill", "e": "east", "w": "west"}
WORLD = replace(
    EVERYWHERE,
    choices=(LAND, WIND),
    parts=(*EVERYWHERE.parts, *(part(f"{name}.1") for name in HELD)),
    positions=(*EVERYWHERE.positions, *(position(name, arrangement=only) for name, only in HELD.items())),
)
"""a and b meet; besides there is one place in each arrangement, which meets nothing."""


def on(*numbers: str, says: tuple[str, ...] = ("hill", "east")) -> Vehicle:
    """A vehicle with these parts, and with what it says of its arrangements."""
    return replace(vehicle(*numbers), arrangements=says)


HILL_EAST = on("a.1", "b.1", "h.1", "e.1")


def agreed(world: World, van: Vehicle, *wants: str, **more: object) -> Comparison:
    """A swap on which both agree."""
    request = Request(wants=tuple((n.split(".")[0], n) for n in wants), **more)  # type: ignore[arg-type]
    comparison = Comparison(Case(replace(world, vehicles=(van,)), van, request))
    assert not comparison.differences()
    return comparison


def plan(comparison: Comparison) -> list[str]:
    """The oracle's best plans, on the left hand."""
    return [numbers(one) for one in comparison.ours.best]


def left(comparison: Comparison) -> dict[str, str]:
    """What the program says becomes of the places on the left."""
    return {c.position: c.status for c in comparison.theirs.changes if c.side == "left"}


# ------------------------------------------------------------------------------------------- what holds


def test_of_each_choice_one_arrangement_holds_and_the_other_choice_is_kept() -> None:
    """East is left for west, and so e is freed; the vehicle stays as it is on the hill."""
    comparison = agreed(WORLD, HILL_EAST, "w.1")
    assert plan(comparison) == ["a.1 b.1 - h.1 - w.1*"]
    assert left(comparison) == {"a": "kept", "b": "kept", "h": "kept", "e": "freed", "w": "new"}
    assert comparison.theirs.plan is not None
    assert (comparison.theirs.plan.arrangement, comparison.theirs.plan.was) == ("hill; west", "hill; east")


def test_a_request_may_hold_one_choice_and_leave_the_other() -> None:
    assert plan(agreed(WORLD, HILL_EAST, "a.1", arrangements=("dale",))) == ["a.1 b.1 d.1* - e.1 -"]
    assert plan(agreed(WORLD, HILL_EAST, "a.1", arrangements=("dale", "west"))) == ["a.1 b.1 d.1* - - w.1*"]
    assert agreed(WORLD, HILL_EAST, "h.1", arrangements=("dale",)).ours.levels is None


TURNED = replace(
    WORLD,
    joints=(*WORLD.joints, joint("e", "h")),
    rows=(*WORLD.rows, teeth("e.1", "e-h", 20), teeth("h.1", "e-h", 21)),
)
"""e and h meet where east and hill both hold, and their teeth do not agree."""


def test_a_joint_of_two_choices_is_made_where_both_hold() -> None:
    """With west there is no e, with dale no h. To have e, the hill is given up: nobody asked for that."""
    assert plan(agreed(TURNED, on("a.1", "b.1", "h.1", "w.1", says=("hill", "west")), "a.2")) == [
        "a.2* b.1 - h.1 - w.1"
    ]
    comparison = agreed(TURNED, on("a.1", "b.1", "h.1", "w.1", says=("hill", "west")), "e.1")
    assert plan(comparison) == ["a.1 b.1 d.1* - e.1* -"]
    reason = next(c.reason for c in comparison.theirs.changes if c.place == "left w")
    assert reason is None
    given_up = comparison.theirs.given_up
    assert given_up is not None and given_up.reason is not None
    assert (given_up.arrangement, given_up.costs, given_up.reason.cites) == ("hill", None, ("e-h",))


def test_what_was_wrong_between_two_choices_before_stays_where_neither_moves() -> None:
    assert plan(agreed(TURNED, HILL_EAST, "a.2")) == ["a.2* b.1 - h.1 e.1 -"]


def test_the_axle_rule_holds_within_each_choice() -> None:
    """On the left h.1 and e.1, on the right h.2 and e.2: unlike hands. The hill may be left for the dale, at the price
    of one part a hand; there the rule asks for one number, as it does of what stays in the east."""
    more = replace(WORLD, parts=(*WORLD.parts, part("h.2"), part("e.2")))
    sides = (Fitting(name, side, f"{name}.{i}") for name in "he" for i, side in enumerate(("left", "right"), 1))
    van = replace(HILL_EAST, fittings=(*HILL_EAST.fittings[:2], *sides))
    comparison = agreed(more, van, "a.1", arrangements=("hill",))
    assert plan(comparison) == ["a.1 b.1 - h.1 e.1 -"]
    forced = comparison.ours.keeping.keys()
    assert {("h", "left"), ("h", "right"), ("e", "left"), ("e", "right")} <= forced, "either of two may stay"
    dale = agreed(more, van, "d.1")
    assert plan(dale) == ["a.1 b.1 d.1* - e.1 -"]
    assert left(dale)["h"] == "freed"


def test_a_set_for_places_of_two_choices_is_used_where_both_hold() -> None:
    from tests.oracle.world import Member, PartSet

    sold = replace(WORLD, sets=(PartSet("d.s", (Member("d", as_part="d.1"), Member("w", as_part="w.1"))),))
    assert plan(agreed(sold, HILL_EAST, "d.s")) == ["a.1 b.1 d.s* - - d.s*"]


def test_what_is_needed_with_a_part_of_another_choice_is_needed_where_both_hold() -> None:
    world = change(WORLD, "w", need="with", with_position="d")
    assert plan(agreed(world, HILL_EAST, "a.1", arrangements=("west",))) == ["a.1 b.1 - h.1 - -"]
    assert plan(agreed(world, HILL_EAST, "d.1", arrangements=("west",))) == ["a.1 b.1 d.1* - - w.1*"]


def test_a_part_that_hangs_on_one_of_another_choice_moves_over_when_that_is_freed() -> None:
    hung = change(WORLD, "h", carried_by="e")
    assert left(agreed(hung, HILL_EAST, "w.1"))["h"] == "moved over"
    assert left(agreed(change(hung, "h", pressed_in=True), HILL_EAST, "w.1"))["h"] == "renewed"


# ------------------------------------------------------------------------- what the vehicle has of a choice


@pytest.mark.parametrize(
    ("van", "own"),
    [
        (on("a.1", "b.1", "h.1", "e.1"), {"hill", "east"}),
        (on("a.1", "b.1", "h.1", "w.1", says=("hill",)), {"hill", "west"}),
        (on("a.1", "b.1", "d.1", "w.1", says=()), {"dale", "west"}),
        (on("a.1", "b.1", "h.1", says=()), {"hill"}),
        (on("a.1", "b.1", says=("west",)), {"west"}),
        (on("a.1", "b.1", "e.1", "w.1", says=("hill",)), {"hill"}),
    ],
)
def test_it_has_of_each_choice_what_it_says_or_else_what_it_shows(van: Vehicle, own: set[str]) -> None:
    assert Swap(WORLD, van, Request()).own == own


OWNED = replace(
    WORLD,
    joints=(replace(WORLD.joints[0], owns=("c",), arrangement="east"),),
    parts=(*WORLD.parts, part("c.1", one_use=True)),
    positions=(*WORLD.positions, position("c")),
)
"""a and b are joined in the east only; that joint owns the one-use c."""


@pytest.mark.parametrize(
    ("van", "expected"),
    [
        (on("a.1", "b.1", "c.1", "h.1", "e.1"), "renewed"),
        (on("a.1", "b.1", "c.1", "h.1", "w.1", says=("hill", "west")), "kept"),
        (on("a.1", "b.1", "c.1", "h.1", says=("hill",)), "renewed"),
        (on("a.1", "b.1", "c.1", "h.1", "w.1", says=("hill",)), "kept"),
        (on("a.1", "b.1", "c.1", "w.1", says=()), "kept"),
        (on("a.1", "b.1", "c.1", "e.1", says=()), "renewed"),
    ],
)
def test_a_joint_is_undone_unless_the_vehicle_is_known_to_have_another_arrangement(van: Vehicle, expected: str) -> None:
    """a goes. Where nothing tells east or west, the joint of a and b may be there: what the vehicle says of the other
    choice tells nothing of it."""
    assert left(agreed(OWNED, van, "a.2"))["c"] == expected


def test_where_one_choice_is_not_known_its_places_may_be_left_as_they_are() -> None:
    """Nothing tells east or west: e and w are perhaps there. None of them is bought, and a choice that is known keeps
    what it has."""
    comparison = agreed(WORLD, on("a.1", "b.1", "h.1", says=()), "a.2")
    assert plan(comparison)[0] in ("a.2* b.1 - h.1  -", "a.2* b.1 - h.1 - ")
    assert comparison.ours.levels is not None and comparison.ours.levels.replaced == 2
    west = agreed(WORLD, on("a.1", "b.1", "h.1", says=("hill",)), "w.1")
    assert plan(west) == ["a.1 b.1 - h.1 - w.1*"]
    assert left(west)["w"] == "new"


HUNG = change(WORLD, "e", carried_by="a")
NOT_KNOWN = on("a.1", "b.1", "h.1", says=("hill",))


def test_what_is_perhaps_there_moves_over_with_its_carrier_and_is_pressed_out_of_it() -> None:
    """e hangs on a, which goes. In the east it moves over; pressed in it cannot stay, and what takes its place costs
    nothing, as of any other that is pressed into a lost carrier."""
    moved = agreed(HUNG, NOT_KNOWN, "a.2", arrangements=("east",))
    assert plan(moved) == ["a.2* b.1 - h.1  -"] and left(moved)["e"] == "moved over"
    pressed = agreed(change(HUNG, "e", pressed_in=True), NOT_KNOWN, "a.2", arrangements=("east",))
    assert plan(pressed) == ["a.2* b.1 - h.1 e.1* -"] and left(pressed)["e"] == "new"
    assert pressed.ours.levels is not None and pressed.ours.levels.replaced == 2


def test_what_is_perhaps_pressed_into_what_is_perhaps_there_is_left_where_another_comes() -> None:
    """w is wanted where nobody knows whether there is one: nobody knows either that a v is pressed out of it, so
    another v is no other plan, though its teeth are known to go with those of w.1."""
    world = replace(
        WORLD,
        rows=(*WORLD.rows, teeth("w.1", "v-w", 20), teeth("v.1", "v-w", 20)),
        parts=(*WORLD.parts, part("v.1")),
        joints=(*WORLD.joints, joint("v", "w")),
        positions=(*WORLD.positions, position("v", arrangement="west", carried_by="w", pressed_in=True)),
    )
    comparison = agreed(world, NOT_KNOWN, "w.1")
    assert plan(comparison) == ["a.1 b.1 - h.1 - w.1* "] and left(comparison)["v"] == "kept"
    assert not comparison.theirs.alternatives


@pytest.mark.parametrize("only", ["east", "west"])
def test_what_is_perhaps_there_has_its_joints(only: str) -> None:
    """b meets e; that joint owns the one-use c. b goes: where e is left, its joint with b is undone."""
    two = chain("a b", {"a.1": (20,), "b.1": (20,), "b.2": (20,)})
    world = replace(
        OWNED,
        rows=two.rows,
        parts=(*two.parts, part("c.1", one_use=True), *(part(f"{name}.1") for name in HELD)),
        joints=(two.joints[0], replace(joint("b", "e"), owns=("c",))),
    )
    van = on("a.1", "b.1", "c.1", "h.1", says=("hill",))
    comparison = agreed(world, van, "b.2", arrangements=(only,))
    assert left(comparison)["c"] == ("renewed" if only == "east" else "kept")


def test_a_part_that_hangs_on_what_leaves_is_taken_from_what_is_perhaps_there() -> None:
    """The one-use c hangs on a and meets e: a goes, c moves away from what may stand in e."""
    world = replace(
        OWNED,
        joints=(WORLD.joints[0], joint("c", "e")),
        positions=(*WORLD.positions, position("c", carried_by="a")),
    )
    van = on("a.1", "b.1", "c.1", "h.1", says=("hill",))
    assert left(agreed(world, van, "a.2", arrangements=("east",)))["c"] == "renewed"
    assert left(agreed(world, van, "a.2", arrangements=("west",)))["c"] == "moved over"


# ----------------------------------------------------------------------------- what is given up unasked


def test_only_the_choice_that_is_given_up_unasked_is_told() -> None:
    asked = agreed(WORLD, HILL_EAST, "w.1").theirs
    assert asked.given_up is None
    told = agreed(WORLD, HILL_EAST, "w.1", arrangements=("west",)).theirs
    assert told.given_up is None, "who asks for an arrangement gives the other up"
    assert agreed(WORLD, HILL_EAST, "a.2", arrangements=("west", "dale")).theirs.given_up is None


def test_of_one_choice_among_equals_the_vehicles_own_is_kept_also_where_only_its_parts_show_it() -> None:
    """b goes; a joint is made in the east and another in the west, and no part and no level tells them apart."""
    bare = replace(
        EVERYWHERE,
        choices=one_of("east", "west"),
        positions=(*EVERYWHERE.positions, position("e", arrangement="east", need="optional")),
    )
    bare = replace(bare, parts=(*bare.parts, part("e.1")))
    for own, van in (("east", on("a.1", "b.1", "e.1", says=())), ("west", on("a.1", "b.1", says=("west",)))):
        comparison = agreed(bare, van, "a.2")
        assert comparison.theirs.plan is not None and comparison.theirs.plan.arrangement == own
