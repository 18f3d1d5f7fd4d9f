"""Small worlds in which the program and the oracle once gave different answers."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.oracle.engine import Comparison, loaded
from tests.oracle.generate import Case, case_from_seed
from tests.oracle.kits import kit_differences
from tests.oracle.motion import Property, Request
from tests.oracle.pairs import pair_differences
from tests.oracle.questions import combination_differences, unmeasured
from tests.oracle.small import SOURCES, chain, change, joint, part, position, teeth, vehicle
from tests.oracle.switches import PLAIN
from tests.oracle.verdict import Verdict
from tests.oracle.world import (
    Fitting,
    Mark,
    PartSet,
    Row,
    Size,
    Source,
    Stack,
    StackTerm,
    Vehicle,
    Window,
    World,
    one_of,
)
from tests.oracle.world import Member as SetMember

BOOKS = (*SOURCES, Source("book two", "drawing"))
PAIR = chain("a b", {"a.1": (20,), "a.2": (20,), "b.1": (20,)})
VAN = vehicle("a.1", "b.1")


def width(owner: str, low: int, high: int, source: str = "book") -> Row:
    """What a source says of the width of the owner's one feature."""
    return Row(owner, "a-b", "peg" if owner.startswith("a") else "hole", (("width", Size(low, high)),), source)


def summed(window: Window, *rows: Row, **more: object) -> World:
    """Twice a's width and b's must lie in a window."""
    terms = (StackTerm("a", "a-b", "width", 2), StackTerm("b", "a-b", "width", 1))
    stack = Stack("sum", "service", terms, window)
    made = replace(PAIR, sources=BOOKS, rows=(*PAIR.rows, *rows), stacks=(stack,))
    return replace(made, **more)  # type: ignore[arg-type]


def swapped(world: World, number: str = "a.2") -> Comparison:
    """The swap to a part (or set) at position a, answered twice."""
    return Comparison(Case(replace(world, vehicles=(VAN,)), VAN, Request(wants=(("a", number),))))


def verdicts(comparison: Comparison) -> set[Verdict]:
    """What the oracle says of the stack in its best plan, on both hands."""
    swap, best = comparison.swap, comparison.ours.best[0]
    return {result.verdict for result in swap.stack_results(best).values()}


B_WIDTH = width("b.1", 10, 11)
LOW, HIGH = width("a.2", 10, 11), width("a.2", 12, 13, "book two")


def test_two_beliefs_that_both_straddle_are_no_dispute() -> None:
    """30..33 by one source, 34..37 by the other: whoever is right, the sum is not known to lie in 32..35."""
    comparison = swapped(summed(Window(32, 35), LOW, HIGH, B_WIDTH))
    assert verdicts(comparison) == {Verdict.NOT_KNOWN}
    assert not comparison.differences()


def test_beliefs_that_are_a_no_on_either_side_of_a_window_rule_a_filling_out() -> None:
    """30..33 is too little, 40..43 too much: no source leaves the sum in 34..39."""
    far = width("a.2", 15, 16, "book two")
    comparison = swapped(summed(Window(34, 39), LOW, far, B_WIDTH))
    assert comparison.ours.levels is None
    assert not comparison.differences()


@pytest.mark.parametrize(
    ("window", "expected"),
    [
        (Window(34, 37), Verdict.DISPUTED),  # a no, or a fit
        (Window(33, 36), Verdict.NOT_KNOWN),  # both straddle
        (Window(30, 36), Verdict.DISPUTED),  # a fit, or straddles
        (Window(30, 37), Verdict.FITS),  # b's reading is on paper only where it stays: here both are new
    ],
)
def test_a_contested_size_in_a_sum_is_believed_each_way(window: Window, expected: Verdict) -> None:
    both = SetMember("a", as_part="a.2"), SetMember("b", as_part="b.1")
    world = summed(window, LOW, HIGH, B_WIDTH, sets=(PartSet("a.s", both),))
    comparison = swapped(world, "a.s")
    assert verdicts(comparison) == {expected}
    assert not comparison.differences()


@pytest.mark.parametrize(("window", "expected"), [(Window(34, 37), Verdict.DISPUTED), (Window(30, 36), Verdict.FITS)])
def test_a_set_that_states_a_sum_is_disputed_only_where_some_belief_is_a_no(window: Window, expected: Verdict) -> None:
    both = SetMember("a", as_part="a.2"), SetMember("b", as_part="b.1")
    world = summed(window, LOW, HIGH, B_WIDTH, sets=(PartSet("a.s", both, ("sum",)),))
    comparison = swapped(world, "a.s")
    assert verdicts(comparison) == {expected}
    assert not comparison.differences()


# ------------------------------------------------------------------------------------------ wishes


def test_a_feature_that_equal_sources_say_is_there_and_is_not_meets_no_wish() -> None:
    absent = Row("a.2", "a-b", "peg", (("width", Mark.ABSENT),), "book two")
    world = replace(PAIR, sources=BOOKS, rows=(*PAIR.rows, width("a.2", 12, 13), absent), vehicles=(VAN,))
    wish = Property("a", "width", Window(11, None))
    comparison = Comparison(Case(world, VAN, Request(properties=(wish,))))
    assert comparison.ours.levels is None
    assert not comparison.differences()


# ------------------------------------------------------------------------- what disturbs one-use parts

TRIO = change(chain("a b c", {"a.1": (20,), "a.2": (20,), "b.1": (20, 20), "c.1": (20,)}), "c.1", one_use=True)
THREE = vehicle("a.1", "b.1", "c.1")


def agreed(world: World, number: str, van: Vehicle = THREE, **more: object) -> Comparison:
    """The swap to one part at position a, on which both agree."""
    wants = (("a", number),)
    request = Request(wants=wants, **more)  # type: ignore[arg-type]
    comparison = Comparison(Case(replace(world, vehicles=(van,)), van, request))
    assert not comparison.differences()
    return comparison


def status(comparison: Comparison, place: str) -> str:
    """What the program says becomes of a place."""
    return next(one.status for one in comparison.theirs.changes if one.place == place)


def test_a_one_use_part_that_its_carrier_takes_from_what_stays_costs_nothing() -> None:
    """c hangs on a, which goes; it leaves b, which stays, and so must be renewed because of a."""
    comparison = agreed(change(TRIO, "c", carried_by="a"), "a.2")
    assert comparison.ours.levels is not None and comparison.ours.levels.replaced == 2
    assert status(comparison, "left c") == "renewed"


def test_a_joint_that_stays_whole_disturbs_no_part_that_it_owns() -> None:
    """c hangs on a, which goes; the joint that owns c is between two things that nobody touches."""
    four = chain("a b d", {"a.1": (20,), "a.2": (20,), "b.1": (20, 20), "d.1": (20,)})
    owned = replace(
        four,
        joints=(replace(four.joints[0], position="a", other_position="b"), replace(four.joints[1], owns=("c",))),
        parts=(*four.parts, part("c.1", one_use=True)),
        positions=(*four.positions, position("c", carried_by="a")),
    )
    comparison = agreed(owned, "a.2", vehicle("a.1", "b.1", "d.1", "c.1"))
    assert status(comparison, "left c") == "moved over"


def in_two_ways(arrangement: str) -> World:
    """a and b are joined in one arrangement only, and that joint owns c; east has a place e, west a place w."""
    world = replace(
        TRIO, choices=one_of("east", "west"), joints=(replace(TRIO.joints[0], owns=("c",), arrangement=arrangement),)
    )
    more = (position("e", arrangement="east"), position("w", arrangement="west"))
    return replace(world, positions=(*world.positions, *more), parts=(*world.parts, part("e.1"), part("w.1")))


@pytest.mark.parametrize(("arrangement", "expected"), [("east", "renewed"), ("west", "kept")])
def test_the_joints_of_the_arrangement_that_is_left_are_undone(arrangement: str, expected: str) -> None:
    van = replace(vehicle("a.1", "b.1", "c.1", "e.1"), arrangements=("east",))
    world = replace(in_two_ways(arrangement), vehicles=(van,))
    comparison = Comparison(Case(world, van, Request(wants=(("a", "a.2"), ("w", "w.1")))))
    assert not comparison.differences()
    assert status(comparison, "left c") == expected


# ---------------------------------------------------------------------------------------- two parts


def test_a_stack_is_judged_on_the_corner_where_a_handed_part_can_stand() -> None:
    """b.R is for the right; on the left its place would be taken for an empty one, which counts zero."""
    world = change(summed(Window(31, 36), width("a.1", 13, 14)), "b", need="with", with_position="a")
    handed = (part("b.L", hand="left", mirror_of="b.R"), part("b.R", hand="right", mirror_of="b.L", drawn_as="b.L"))
    world = replace(world, parts=(*world.parts, *handed))
    assert not list(pair_differences(world, loaded(world)))


@pytest.mark.parametrize("need", ["with", "optional"])
def test_a_stack_through_a_place_that_one_of_two_parts_calls_for_is_not_judged_without_it(need: str) -> None:
    """a and c are given; b, which goes with a, stands in the sum too."""
    terms = tuple(StackTerm(name, name, "width", 1) for name in "abc")
    stack = Stack("sum", "service", terms, Window(30, 40))
    world = replace(TRIO, stacks=(stack,), joints=(*TRIO.joints, joint("a", "c")))
    world = change(world, "b", need=need, with_position="a" if need == "with" else "")
    assert not list(pair_differences(world, loaded(world)))


def test_things_that_hang_on_one_lost_carrier_move_together_however_far_off_it_is() -> None:
    """d hangs on b, which hangs on a, and c on a; a and b go: the joint of c and d is not undone."""
    four = chain("a b", {"a.1": (20,), "a.2": (21,), "b.1": (20,), "b.2": (21,)})
    world = replace(
        four,
        parts=(*four.parts, part("c.1"), part("d.1", one_use=True)),
        positions=(
            position("a"),
            position("b", carried_by="a"),
            position("c", carried_by="a"),
            position("d", carried_by="b"),
        ),
        joints=(*four.joints, joint("c", "d")),
    )
    comparison = agreed(world, "a.2", vehicle("a.1", "b.1", "c.1", "d.1"))
    assert status(comparison, "left d") == "moved over"


# ------------------------------------------------------------------------------ the vehicle as made


def test_a_sum_over_places_that_are_all_empty_is_not_held_against_the_vehicle_as_made() -> None:
    """b is optional and goes, as nothing fits it beside the new a; the sum of the made vehicle's b is no limit then."""
    two = chain("a b", {"a.1": (20,), "a.2": (21,), "b.1": (20,)})
    stack = Stack("sum", "assembly", (StackTerm("b", "a-b", "width", 1),), Window(), as_made=True)
    made = replace(VAN, name="model", as_made=True)
    van = replace(VAN, made_as="model")
    world = change(replace(two, rows=(*two.rows, B_WIDTH), stacks=(stack,), vehicles=(made, van)), "b", need="optional")
    comparison = Comparison(Case(world, van, Request(wants=(("a", "a.2"),))))
    assert comparison.ours.levels is not None
    assert not comparison.differences()


@pytest.mark.parametrize(("new", "expected"), [(10, Verdict.FITS), (9, Verdict.DO_NOT_USE)])
def test_a_sum_is_held_against_the_least_that_the_vehicle_as_made_may_have(new: int, expected: Verdict) -> None:
    stack = Stack("sum", "service", (StackTerm("a", "a-b", "width", 1),), Window(), as_made=True)
    made = replace(VAN, name="model", as_made=True)
    van = replace(VAN, made_as="model")
    rows = (*PAIR.rows, width("a.1", 10, 12), width("a.2", new, new))
    world = replace(PAIR, rows=rows, stacks=(stack,), vehicles=(made, van))
    comparison = Comparison(Case(world, van, Request(wants=(("a", "a.2"),))))
    assert (comparison.ours.levels is None) == expected.is_no
    assert not comparison.differences()


# -------------------------------------------------------------------------------------- combinations

ONE_OF_TWO = Stack(
    "sum", "assembly", (StackTerm("b", "a-b", "width", 1), StackTerm("c", "b-c", "width", 1)), Window(10, 12)
)


def test_of_two_places_that_may_be_empty_the_first_is_filled() -> None:
    """b or c must be there, and not both: as good as each other, so the layout's order decides."""
    wide = (width("b.1", 11, 11), replace(width("c.1", 11, 11), feature="b-c"))
    world = replace(TRIO, rows=(*TRIO.rows, *wide), stacks=(ONE_OF_TWO,), joints=())
    for name in ("b", "c"):
        world = change(world, name, need="optional")
    assert not list(combination_differences(Case(world, THREE, Request()), loaded(world)))


def test_where_nothing_is_needed_the_best_filling_is_empty_and_the_next_is_found() -> None:
    world = replace(change(change(PAIR, "a", need="optional"), "b", need="optional"), stacks=())
    assert not list(combination_differences(Case(world, VAN, Request()), loaded(world)))


def test_of_two_arrangements_alike_in_all_the_vehicles_own_is_kept() -> None:
    """A joint is made in one arrangement and another in the other: no part and no level tells them apart."""
    joints = tuple(replace(j, arrangement=a) for j, a in zip(TRIO.joints, ("east", "west"), strict=True))
    for own in ("east", "west"):
        van = replace(vehicle("a.1", "b.1", "c.1"), arrangements=(own,))
        world = replace(TRIO, joints=joints, choices=one_of("east", "west"), vehicles=(van,))
        for wish in ((), (("b", "b.1"),)):
            comparison = Comparison(Case(world, van, Request(wants=wish, renew=("b",))))
            assert comparison.theirs.plan is not None
            assert comparison.theirs.plan.arrangement == own
            assert not comparison.differences()


def test_a_sum_that_lacks_the_vehicle_as_made_counts_as_not_known_also_where_a_kept_size_is_missing() -> None:
    """b stays and its width is not recorded; nor is what the vehicle was made as."""
    terms = (StackTerm("a", "a-b", "width", 1), StackTerm("b", "a-b", "width", 1))
    stack = Stack("sum", "service", terms, Window(), as_made=True)
    world = replace(PAIR, rows=(*PAIR.rows, width("a.2", 10, 11)), stacks=(stack,))
    comparison = swapped(world)
    assert comparison.ours.levels is not None and comparison.ours.levels.unsupported == 2
    assert not comparison.differences()


def test_the_search_for_the_best_ends_in_the_world_where_it_once_did_not() -> None:
    case = case_from_seed(386, PLAIN)
    assert not list(combination_differences(case, loaded(case.world)))


def test_a_part_from_outside_a_kit_whose_size_nobody_knows_makes_no_sum_against_the_vehicle_as_made_fit() -> None:
    case = case_from_seed(308, PLAIN)
    assert not list(kit_differences(case, loaded(case.world), 308))


def test_a_part_that_is_not_accepted_is_no_known_one_because_a_kit_holds_it() -> None:
    """b is due and no b is accepted. The kit's b.2 does not go with a.1; nor is it a reason that there is no plan."""
    world = replace(PAIR, parts=(*PAIR.parts, part("b.2", accepted=False)), rows=(*PAIR.rows, teeth("b.2", "a-b", 21)))
    van = vehicle("a.1", "b.1", b="due")
    world = replace(change(world, "b.1", accepted=False), vehicles=(van,))
    assert not list(kit_differences(Case(world, van, Request(keep=("a",))), loaded(world), 0, {"b.2": 2}))


def test_what_was_read_on_an_item_before_it_was_worked_on_does_not_tear_what_was_read_after() -> None:
    assert not Comparison(case_from_seed(1558, PLAIN)).differences()


# --------------------------------------------------------------------------------------- what to measure


def test_a_size_that_only_one_hand_wants_is_not_measured_on_both() -> None:
    """The left b is due, so the left sum of a and b is across the cut; on the right both stay, and teeth meet c."""
    b_wide = replace(width("b.1", 10, 11), feature="b-c", kind="peg")
    lasting = change(TRIO, "c.1", one_use=False)
    c_wide = replace(lasting, joints=(TRIO.joints[0], joint("a", "c")), rows=(*TRIO.rows, b_wide))
    terms = (StackTerm("a", "a-c", "width", 1), StackTerm("b", "b-c", "width", 1))
    world = replace(c_wide, stacks=(Stack("sum", "service", terms, Window(0, 90)),), parts=(*TRIO.parts, part("c.2")))
    sides = (Fitting("b", "left", "b.1", condition="due"), Fitting("b", "right", "b.1"))
    van = replace(THREE, fittings=(Fitting("a", "", "a.1"), *sides, Fitting("c", "", "c.1")))
    world = replace(world, vehicles=(van,))
    comparison = Comparison(Case(world, van, Request(wants=(("c", "c.2"),))))
    asked = {
        (place, size) for one in comparison.theirs.measure_first for place in one.places for size in one.dimensions
    }
    assert {("left a", "width"), ("left a", "teeth"), ("right a", "teeth")} <= asked, comparison.theirs.plan
    assert not list(unmeasured(comparison))
