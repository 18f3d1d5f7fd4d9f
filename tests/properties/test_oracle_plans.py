"""The oracle's plans, and the program's, against cases worked by hand, one for each sentence about the swap."""

from __future__ import annotations

from dataclasses import replace

from tests.oracle.engine import agreed
from tests.oracle.fillings import AXLE_RULE, UNKNOWN
from tests.oracle.motion import Property, Request
from tests.oracle.plan import Swap
from tests.oracle.reasons import can_keep, needless_units
from tests.oracle.small import (
    asked,
    chain,
    change,
    joint,
    numbers,
    part,
    position,
    positions_of,
    teeth,
    vehicle,
)
from tests.oracle.world import (
    Claim,
    Fitting,
    Item,
    Mark,
    Member,
    Offer,
    PartSet,
    Row,
    Stack,
    StackTerm,
    Window,
    World,
    one_of,
)

CHAIN = chain(
    "a b c d",
    {
        "a.1": (20,),
        "a.2": (21,),
        "b.1": (20, 20),
        "b.2": (21, 21),
        "c.1": (20, 20),
        "c.2": (21, 20),
        "d.1": (20,),
        "d.2": (21,),
    },
)
VAN = vehicle("a.1", "b.1", "c.1", "d.1")


def test_a_change_goes_on_until_a_part_bridges_it() -> None:
    answer = agreed(CHAIN, VAN, "a.2")
    assert [numbers(one) for one in answer.best] == ["a.2* b.2* c.2* d.1"]
    assert answer.levels is not None
    assert answer.levels.replaced == 6
    assert positions_of(answer.forced_by_fit) == {"a", "b", "c"}
    assert not answer.forced_by_known


def test_joints_that_are_left_alone_rule_nothing_out() -> None:
    wrong = vehicle("a.1", "b.1", "c.1", "d.2")
    answer = agreed(CHAIN, wrong, "b.2", "a.2")
    assert [numbers(one) for one in answer.best] == ["a.2* b.2* c.2* d.1*"]
    untouched = agreed(CHAIN, wrong, "a.1")
    assert [numbers(one) for one in untouched.best] == ["a.1 b.1 c.1 d.2"]


def test_a_part_of_unknown_size_is_no_universal_adapter() -> None:
    bridge = chain("a b c", {"a.1": (20,), "a.2": (21,), "b.1": (20, 20), "b.2": (21, 21),
                             "b.x": (None, 20), "c.1": (20,), "c.2": (21,)})  # fmt: skip
    answer = agreed(bridge, vehicle("a.1", "b.1", "c.1"), "a.2")
    assert [numbers(one) for one in answer.best] == ["a.2* b.2* c.2*"]
    assert positions_of(answer.forced_by_fit) == {"a", "b"}
    assert positions_of(answer.forced_by_known) == {"c"}


def test_a_claim_makes_the_unknown_acceptable() -> None:
    bridge = chain("a b c", {"a.1": (20,), "a.2": (21,), "b.1": (20, 20), "b.2": (21, 21),
                             "b.x": (None, 20), "c.1": (20,), "c.2": (21,)})  # fmt: skip
    claimed = replace(bridge, claims=(Claim("b.x", "goes with", "a.2"),))
    answer = agreed(claimed, vehicle("a.1", "b.1", "c.1"), "a.2")
    assert [numbers(one) for one in answer.best] == ["a.2* b.x* c.1"]
    assert answer.levels == (0, 4, 4, 2, 0)


def test_a_reading_missing_on_a_kept_part_costs_nothing_in_the_first_level() -> None:
    unread = chain("a b", {"a.1": (20,), "a.2": (21,), "b.1": (None,), "b.2": (21,)})
    answer = agreed(unread, vehicle("a.1", "b.1"), "a.2")
    assert [numbers(one) for one in answer.best] == ["a.2* b.1"]
    assert answer.levels == (0, 2, 2, 1, 0)


def test_due_parts_are_renewed_and_cost_nothing_and_the_same_number_counts_as_kept() -> None:
    answer = agreed(CHAIN, vehicle("a.1", "b.1", "c.1", "d.1", b="due"), "a.1")
    assert [numbers(one) for one in answer.best] == ["a.1 b.1* c.1 d.1"]
    assert answer.levels is not None
    assert answer.levels.replaced == 0
    assert not answer.forced_by_fit


def test_unknown_condition_counts_as_sound() -> None:
    answer = agreed(CHAIN, vehicle("a.1", "b.1", "c.1", "d.1", b="unknown"), "a.1")
    assert [numbers(one) for one in answer.best] == ["a.1 b.1 c.1 d.1"]


def test_a_one_use_part_of_an_undone_joint_is_renewed_free_of_charge() -> None:
    answer = agreed(change(CHAIN, "d.1", one_use=True), VAN, "c.2", "b.2", "a.2")
    assert [numbers(one) for one in answer.best] == ["a.2* b.2* c.2* d.1*"]
    assert answer.levels is not None
    assert answer.levels.replaced == 6
    assert "d" not in positions_of(answer.forced_by_fit)


def test_a_one_use_part_that_a_joint_owns_is_disturbed_with_it() -> None:
    pinned = replace(
        CHAIN,
        positions=(*CHAIN.positions, position("pin")),
        parts=(*CHAIN.parts, part("pin.1", one_use=True)),
        joints=(replace(CHAIN.joints[0], owns=("pin",)), *CHAIN.joints[1:]),
    )
    answer = agreed(pinned, replace(vehicle("a.1", "b.1", "c.1", "d.1", "pin.1")), "a.2")
    assert [numbers(one) for one in answer.best] == ["a.2* b.2* c.2* d.1 pin.1*"]
    untouched = agreed(pinned, vehicle("a.1", "b.1", "c.1", "d.1", "pin.1"), "a.1")
    assert [numbers(one) for one in untouched.best] == ["a.1 b.1 c.1 d.1 pin.1"]


def test_one_use_neighbours_do_not_excuse_each_other() -> None:
    gaskets = change(change(CHAIN, "c.1", one_use=True), "d.1", one_use=True)
    swap = Swap(gaskets, VAN, Request())
    renewed = {(name, side) for name in "cd" for side in ("left", "right")}
    both = next(f for f in swap.fillings() if swap.after(f).gone == renewed)
    assert swap.replaced(both) == 2, "on each hand one is counted, and the other is its effect"


def pressed(pressed_in: bool) -> World:
    """b hangs on a."""
    return change(CHAIN, "b", carried_by="a", pressed_in=pressed_in)


def test_a_part_pressed_into_a_lost_carrier_is_renewed_free_of_charge() -> None:
    answer = agreed(replace(pressed(True), rows=same_teeth(CHAIN)), VAN, "a.2")
    assert [numbers(one) for one in answer.best] == ["a.2* b.1* c.1 d.1"]
    assert answer.levels is not None
    assert answer.levels.replaced == 2


def test_what_hangs_on_a_lost_carrier_moves_and_its_joints_are_undone() -> None:
    same = replace(pressed(False), rows=same_teeth(CHAIN))
    answer = agreed(same, VAN, "a.2")
    assert [numbers(one) for one in answer.best] == ["a.2* b.1 c.1 d.1"]
    swap, filling = Swap(same, VAN, Request()), answer.best[0]
    assert ("b", "left") in swap.after(filling).moving
    undone = sorted(name for name, ends in swap.after(filling).undone if ends[0][1] == "left")
    assert undone == ["a-b", "b-c"]


def test_parts_that_hang_on_the_same_lost_carrier_move_together() -> None:
    same = replace(pressed(False), rows=same_teeth(CHAIN))
    hung = change(same, "c", carried_by="b")
    answer = agreed(hung, VAN, "a.2")
    swap, filling = Swap(hung, VAN, Request()), answer.best[0]
    undone = sorted(name for name, ends in swap.after(filling).undone if ends[0][1] == "left")
    assert undone == ["a-b", "c-d"]


def same_teeth(world: World, count: int = 20) -> tuple[Row, ...]:
    """The same rows with one tooth count throughout."""
    return tuple(teeth(row.owner, row.feature, count) for row in world.rows)


def test_the_axle_rule_compares_numbers_and_holds_of_what_stays() -> None:
    foreign = replace(
        VAN,
        fittings=(
            *VAN.fittings[:3],
            Fitting("d", "left", "d.1"),
            Fitting("d", "right", "d.2"),
        ),
    )
    same = replace(CHAIN, rows=same_teeth(CHAIN))
    answer = agreed(same, foreign, "a.1")
    assert [numbers(one) for one in answer.best] == ["a.1 b.1 c.1 d.1"]
    assert answer.levels is not None
    assert answer.levels.replaced == 1
    assert answer.best[0][("d", "right")].thing.number == "d.1"  # type: ignore[union-attr]
    assert not answer.forced_by_fit, "either hand can keep its own"


def test_a_mirrored_pair_keeps_the_axle_rule() -> None:
    handed = replace(
        CHAIN,
        parts=(
            *CHAIN.parts[:2],
            *(p for p in CHAIN.parts[2:] if p.number != "d.1"),
            part("d.1L", hand="left", mirror_of="d.1R"),
            part("d.1R", hand="right", mirror_of="d.1L", drawn_as="d.1L"),
        ),
        rows=(*CHAIN.rows, teeth("d.1L", "c-d", 20)),
    )
    van = replace(
        VAN,
        fittings=(*VAN.fittings[:3], Fitting("d", "left", "d.2"), Fitting("d", "right", "d.2")),
    )
    answer = agreed(handed, van, "d.1L")
    assert [numbers(one) for one in answer.best] == ["a.1 b.1 c.1 d.1L*"]


def test_a_set_fills_all_of_its_positions_or_none_and_is_one_line() -> None:
    with_set = replace(
        CHAIN,
        sets=(PartSet("set", (Member("b", as_part="b.2"), Member("c", as_part="c.2"))),),
        offers=(
            Offer("north", "b.2", 4),
            Offer("north", "c.2", 4),
            Offer("north", "set", 7),
            Offer("north", "a.2", 1),
        ),
    )
    answer = agreed(with_set, VAN, "a.2")
    assert [numbers(one) for one in answer.best] == ["a.2* set* set* d.1"]
    assert answer.levels == (0, 6, 2, 0, 2 * 7 + 2)
    assert Swap(with_set, VAN, Request()).bought(answer.best[0]) == {"a.2": 2, "set": 2}
    alone = replace(with_set, parts=tuple(p for p in CHAIN.parts if p.number != "b.2"))
    assert [numbers(one) for one in asked(alone, VAN, "a.2").best] == ["a.2* set* set* d.1"]


def test_the_least_wanted_is_a_line_that_nobody_offers_and_then_the_price() -> None:
    choice = chain("a b", {"a.1": (20,), "a.2": (21,), "b.1": (20,), "b.2": (21,), "b.3": (21,)})
    van = vehicle("a.1", "b.1")
    priced = replace(choice, offers=(Offer("n", "b.3", 9), Offer("n", "a.2", 1)))
    assert [numbers(f) for f in agreed(priced, van, "a.2").best] == ["a.2* b.3*"]
    cheaper = replace(priced, offers=(*priced.offers, Offer("n", "b.2", 10), Offer("s", "b.2", 8)))
    answer = agreed(cheaper, van, "a.2")
    assert [numbers(f) for f in answer.best] == ["a.2* b.2*"]
    assert answer.levels == (0, 4, 0, 0, 18)
    assert [numbers(f) for f in agreed(choice, van, "a.2").best] == ["a.2* b.2*"], "ties by number"


# ------------------------------------------------------------------------------------ arrangements

TWO_WAYS = replace(
    chain(
        "a b c",
        {"a.1": (20,), "a.2": (21,), "b.1": (20, 20), "b.2": (21, 21), "c.1": (20,), "c.2": (21,)},
    ),
    choices=one_of("east", "west"),
    positions=(
        position("a"),
        position("b", arrangement="east"),
        position("c", arrangement="east"),
        position("w", arrangement="west"),
    ),
)
TWO_WAYS = replace(
    TWO_WAYS,
    parts=(*TWO_WAYS.parts, part("w.1")),
    joints=(*TWO_WAYS.joints, joint("a", "w")),
    rows=(*TWO_WAYS.rows, teeth("a.1", "a-w", 21), teeth("a.2", "a-w", 20), teeth("w.1", "a-w", 20)),
)
EAST = replace(vehicle("a.1", "b.1", "c.1"), arrangements=("east",))


def test_exactly_one_arrangement_holds_and_what_it_frees_costs_nothing() -> None:
    answer = agreed(TWO_WAYS, EAST, "w.1")
    assert [numbers(one) for one in answer.best] == ["a.2* - - w.1*"]
    assert answer.levels is not None
    assert answer.levels.replaced == 4
    assert positions_of(answer.forced_by_fit) == {"a", "b", "c"}
    cheaper = agreed(TWO_WAYS, EAST, "a.2")
    assert [numbers(one) for one in cheaper.best] == ["a.2* - - w.1*"]
    assert agreed(TWO_WAYS, EAST, "w.1", keep=("b",)).levels is None


def test_a_with_position_is_filled_exactly_where_its_condition_holds() -> None:
    valve = replace(
        CHAIN,
        positions=(
            *CHAIN.positions,
            position("v", need="with", with_position="d", lacking_feature="valve"),
        ),
        parts=(*CHAIN.parts, part("v.1")),
        rows=(*same_teeth(CHAIN), teeth("d.1", "valve", 1), teeth("d.2", "valve", Mark.ABSENT)),
    )
    assert [numbers(f) for f in agreed(valve, VAN, "d.2").best] == ["a.1 b.1 c.1 d.2* v.1*"]
    assert [numbers(f) for f in agreed(valve, VAN, "d.1").best] == ["a.1 b.1 c.1 d.1 -"]


# ----------------------------------------------------------------------------------------- requests


def test_a_property_is_met_only_where_the_recorded_size_lies_wholly_inside() -> None:
    wanted = Property("a", "teeth", Window(21, None))
    answer = agreed(CHAIN, VAN, properties=(wanted,))
    assert [numbers(one) for one in answer.best] == ["a.2* b.2* c.2* d.1"]
    unread = replace(CHAIN, rows=tuple(row for row in CHAIN.rows if row.owner != "a.2"))
    assert agreed(unread, VAN, properties=(wanted,)).levels is None


def test_keep_avoid_and_renew() -> None:
    assert agreed(CHAIN, VAN, "a.2", keep=("c",)).levels is None
    assert agreed(CHAIN, VAN, "a.2", avoid=("c.2",)).levels is None
    renewed = agreed(CHAIN, VAN, "a.1", renew=("c",))
    assert [numbers(one) for one in renewed.best] == ["a.1 b.1 c.1* d.1"]


def test_an_item_whose_reading_is_wrong_goes_and_its_number_new_may_come() -> None:
    worn = replace(
        CHAIN,
        items=(Item("c our", "c.1"), Item("c theirs", "c.1")),
        rows=(*CHAIN.rows, teeth("c our", "b-c", 19, "bench"), teeth("c theirs", "b-c", 20, "bench")),
    )
    van = replace(
        VAN,
        fittings=(
            *VAN.fittings[:2],
            VAN.fittings[3],
            Fitting("c", "left", "c.1", "c our"),
            Fitting("c", "right", "c.1", "c theirs"),
        ),
    )
    answer = agreed(worn, van, "b.1", renew=("b",))
    assert [numbers(one) for one in answer.best] == ["a.1 b.1* c.1* d.1"]
    assert answer.levels is not None
    assert answer.levels.replaced == 1
    assert answer.forced_by_fit == {("c", "left")}


# ------------------------------------------------------------------------------------------ reasons

ASKED = Request(wants=(("a", "a.2"),))


def test_the_reason_for_the_third_part_in_a_chain_is_the_two_joints_before_it() -> None:
    cited = frozenset({"a-b", "b-c"})
    assert not can_keep(CHAIN, VAN, ASKED, [("c", "left")], cited)
    assert not needless_units(CHAIN, VAN, ASKED, [("c", "left")], cited)
    assert can_keep(CHAIN, VAN, ASKED, [("d", "left")], frozenset({"a-b", "b-c", "c-d"}))


def test_a_needless_check_in_a_reason_is_seen() -> None:
    cited = frozenset({"a-b", "b-c", "c-d"})
    assert needless_units(CHAIN, VAN, ASKED, [("b", "left")], cited) == {"b-c", "c-d"}


def test_the_axle_rule_can_be_blamed() -> None:
    sides = (Fitting("d", "left", "d.1"), Fitting("d", "right", "d.2"))
    foreign = replace(VAN, fittings=(*VAN.fittings[:3], *sides))
    both = [("d", "left"), ("d", "right")]
    assert not can_keep(CHAIN, foreign, Request(), both, frozenset({AXLE_RULE}))
    assert can_keep(CHAIN, foreign, Request(), both, frozenset())


def test_unknown_not_allowed_can_be_blamed() -> None:
    bridge = chain("a b c", {"a.1": (20,), "a.2": (21,), "b.1": (20, 20), "b.2": (21, 21),
                             "b.x": (None, 20), "c.1": (20,), "c.2": (21,)})  # fmt: skip
    van, place = vehicle("a.1", "b.1", "c.1"), [("c", "left")]
    cited = frozenset({"a-b", "b-c", UNKNOWN})
    assert not can_keep(bridge, van, ASKED, place, cited)
    assert not needless_units(bridge, van, ASKED, place, cited)


# ------------------------------------------------------------------------------------------- stacks


def test_every_pair_can_be_right_and_the_whole_wrong() -> None:
    same = replace(
        CHAIN,
        rows=same_teeth(CHAIN),
        stacks=(
            Stack(
                "sum",
                "assembly",
                (StackTerm("a", "a-b", "teeth", 1), StackTerm("d", "c-d", "teeth", 1)),
                Window(40, 41),
            ),
        ),
    )
    long = replace(same, rows=tuple(
        teeth("a.2", "a-b", 22) if row.owner == "a.2" else row for row in same.rows
    ), joints=same.joints[1:])  # fmt: skip
    assert agreed(same, VAN, "a.2").levels is not None
    assert agreed(long, VAN, "a.2").levels is None
