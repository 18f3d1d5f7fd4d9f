"""The oracle on places of which nothing is recorded, and on parts yet to be found: cases worked by hand."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.oracle.candidates import TO_BE_FOUND
from tests.oracle.engine import Comparison, agreed
from tests.oracle.generate import Case
from tests.oracle.motion import Request
from tests.oracle.plan import Answer, Swap
from tests.oracle.small import asked, chain, change, numbers, part, position, positions_of, teeth, vehicle
from tests.oracle.verdict import Verdict
from tests.oracle.world import (
    Claim,
    Fitting,
    Item,
    Mark,
    Member,
    Note,
    PartSet,
    Place,
    Stack,
    StackTerm,
    Vehicle,
    Window,
    World,
    one_of,
)

PAIR = chain("a b", {"a.1": (20,), "a.2": (21,), "b.1": (20,), "b.2": (21,)})
BARE = vehicle("a.1")
"""Nothing is recorded in b."""


def right_of(answer: Answer, name: str) -> str:
    """The number on the right hand of the best plan; a star marks what is new."""
    choice = answer.best[0][(name, "right")]
    assert choice is not None
    return choice.thing.number + ("" if choice.thing.stays else "*")


# ------------------------------------------------------------------------- something not recorded


def test_a_needed_place_without_a_fitting_holds_something_that_stays_without_sizes() -> None:
    """a.2 meets something not recorded in b: no size of it is known, and it stays, so (1) excepts the joint.

    To put b.2 there would prove the joint and cost two places in (2), which goes before (3): "no plan replaces it only
    because it is not recorded".  Two places change (a, both hands), two joints are unproven, one line nobody offers.
    """
    answer = agreed(PAIR, BARE, "a.2")
    assert [numbers(one) for one in answer.best] == ["a.2* "]
    assert answer.levels == (0, 2, 2, 1, 0)
    assert ("b", "left") not in answer.forced_by_fit | answer.forced_by_known


def test_nothing_is_new_where_nothing_is_asked_of_a_vehicle_with_gaps() -> None:
    answer = agreed(PAIR, BARE, "a.1")
    assert [numbers(one) for one in answer.best] == ["a.1 "]
    assert answer.levels == (0, 0, 0, 0, 0)


def test_no_claim_speaks_for_something_not_recorded() -> None:
    """b.1 goes with a.2 by a claim; that what stands there is b.1 nobody says, so the joint stays not known."""
    claimed = replace(PAIR, claims=(Claim("a.2", "goes with", "b.1"),))
    swap = Swap(claimed, BARE, Request(wants=(("a", "a.2"),)))
    verdicts = {result.verdict for result in swap.joint_results(swap.answer().best[0]).values()}
    assert verdicts == {Verdict.NOT_KNOWN}


@pytest.mark.parametrize("prefer", [(), ("unproven",)])
def test_it_is_not_replaced_only_because_it_is_not_recorded_whatever_is_preferred(prefer: tuple[str, ...]) -> None:
    """Who prefers fewest unproven checks gets b.2 by the order of the levels alone; DESIGN: no plan does that."""
    answer = agreed(PAIR, BARE, "a.2", prefer=prefer)
    assert [numbers(one) for one in answer.best] == ["a.2* "]


@pytest.mark.parametrize("prefer", [(), ("unproven",)])
def test_the_program_too_replaces_nothing_only_because_it_is_not_recorded(prefer: tuple[str, ...]) -> None:
    assert not Comparison(
        Case(replace(PAIR, vehicles=(BARE,)), BARE, Request(wants=(("a", "a.2"),), prefer=prefer))
    ).differences()


def test_a_part_of_unknown_size_beside_something_not_recorded_counts_only_where_it_would_beside_a_known_part() -> None:
    """a.x has no size.  A note says that it was made to fit b.1 and b.2: beside either of them it would not count, and
    what stands in b may be either.  Where the note names b.1 alone, b.1 is enough for that.  Without a note it counts.
    """
    world = replace(PAIR, parts=(*PAIR.parts, part("a.x")), vehicles=(BARE,))
    request = Request(wants=(("a", "a.x"),))
    for parts, unsupported in (("a.x", "b.1", "b.2"), 0), (("a.x", "b.1"), 0), ((), 2):
        noted = replace(world, notes=(Note("n", "a-b", parts),) if parts else ())
        case = Case(noted, BARE, request)
        levels = Swap(*case).answer().levels
        assert levels is not None and (levels.unsupported, levels.replaced) == (unsupported, 2)
        assert not Comparison(case).differences()


def test_it_is_replaced_where_the_place_itself_is_asked_for() -> None:
    answer = agreed(PAIR, BARE, "b.1")
    assert [numbers(one) for one in answer.best] == ["a.1 b.1*"]
    assert answer.levels is not None
    assert answer.levels.replaced == 2
    assert positions_of(answer.forced_by_fit) == {"b"}


def test_a_set_that_fills_its_place_and_another_replaces_it() -> None:
    """All or none: the set that is asked for in a fills b too."""
    sold = replace(PAIR, sets=(PartSet("a.s", (Member("a", as_part="a.2"), Member("b", as_part="b.2"))),))
    assert [numbers(one) for one in agreed(sold, BARE, "a.s").best] == ["a.s* a.s*"]


def test_for_the_axle_rule_one_hand_not_recorded_is_the_same_as_the_other() -> None:
    """The left b is b.1, the right not recorded: it counts as b.1 and both may stay."""
    half = Vehicle("found", ("only",), (Fitting("a", "", "a.1"), Fitting("b", "left", "b.1")))
    answer = agreed(PAIR, half, "a.1")
    assert [numbers(one) for one in answer.best] == ["a.1 b.1"]
    assert right_of(answer, "b") == ""
    assert answer.levels is not None and answer.levels.replaced == 0


def test_where_the_recorded_hand_is_replaced_by_another_number_so_is_the_one_not_recorded() -> None:
    """b.1 does not meet a.2, so the left b becomes b.2; what counts as b.1 cannot stand on the right beside it."""
    half = Vehicle("found", ("only",), (Fitting("a", "", "a.1"), Fitting("b", "left", "b.1")))
    answer = agreed(PAIR, half, "a.2")
    assert [numbers(one) for one in answer.best] == ["a.2* b.2*"]
    assert right_of(answer, "b") == "b.2*"
    assert answer.forced_by_fit == {(name, side) for name in "ab" for side in ("left", "right")}


def test_where_the_recorded_hand_is_renewed_by_its_own_number_the_one_not_recorded_stays() -> None:
    sides = (Fitting("b", "left", "b.1", condition="due"),)
    half = Vehicle("found", ("only",), (Fitting("a", "", "a.1"), *sides))
    answer = agreed(PAIR, half, "a.1")
    assert [numbers(one) for one in answer.best] == ["a.1 b.1*"]
    assert right_of(answer, "b") == ""


def test_a_joint_that_also_lacks_a_size_of_the_new_part_counts_in_the_first_level() -> None:
    """(1) excepts a check only where each size it lacks is on a part that stays; a.x has none either."""
    world = replace(PAIR, parts=(*PAIR.parts, part("a.x")))
    answer = agreed(world, BARE, "a.x")
    assert answer.levels is not None and answer.levels.unsupported == 2


def test_where_the_new_part_lacks_the_feature_nothing_may_stand_there_recorded_or_not() -> None:
    """A feature that must be there is known absent: a no, with whatever stands in b, and b is needed."""
    rows = tuple(teeth("a.2", "a-b", Mark.ABSENT) if row.owner == "a.2" else row for row in PAIR.rows)
    assert agreed(replace(PAIR, rows=rows), BARE, "a.2").levels is None


def test_what_is_needed_with_something_that_stands_there_holds_something_too() -> None:
    """b goes with a, which is there: it is needed, nothing is recorded of it, and it is not bought."""
    answer = agreed(change(PAIR, "b", need="with", with_position="a"), BARE, "a.2")
    assert [numbers(one) for one in answer.best] == ["a.2* "]


@pytest.mark.parametrize(("cell", "expected"), [(1, "a.1 -"), (Mark.ABSENT, "a.1 ")])
def test_what_is_needed_only_where_a_feature_lacks_stands_where_it_is_known_to_lack(
    cell: int | Mark, expected: str
) -> None:
    """b is needed with an a that lacks the valve: where a.1 has one, b is empty; where it is known to lack it, not."""
    world = change(PAIR, "b", need="with", with_position="a", lacking_feature="valve")
    world = replace(world, rows=(*world.rows, teeth("a.1", "valve", cell)))
    assert [numbers(one) for one in agreed(world, BARE, "a.1").best] == [expected]


def test_an_optional_place_and_one_of_another_arrangement_are_empty() -> None:
    optional = change(PAIR, "b", need="optional")
    assert not Swap(optional, BARE, Request()).there.keys() & {("b", "left")}
    other = replace(change(PAIR, "b", arrangement="west"), choices=one_of("only", "west"))
    assert not Swap(other, BARE, Request()).there.keys() & {("b", "left")}


def test_the_arrangement_that_leaves_it_frees_it() -> None:
    """b belongs to the arrangement that is left; w of the other is asked for: b is freed, and costs nothing."""
    world = replace(
        change(PAIR, "b", arrangement="only"),
        choices=one_of("only", "west"),
        positions=(position("a"), position("b", arrangement="only"), position("w", arrangement="west")),
        parts=(*PAIR.parts, part("w.1")),
    )
    answer = agreed(world, BARE, "w.1")
    assert [numbers(one) for one in answer.best] == ["a.1 - w.1*"]
    assert answer.levels is not None and answer.levels.replaced == 2


def test_what_is_pressed_into_a_lost_carrier_is_renewed_though_nobody_recorded_it() -> None:
    """It goes with its carrier, free of charge in (2); its own number cannot be fitted, since nobody knows it."""
    answer = agreed(change(PAIR, "b", carried_by="a", pressed_in=True), BARE, "a.2")
    assert [numbers(one) for one in answer.best] == ["a.2* b.2*"]
    assert answer.levels is not None and answer.levels.replaced == 2


def test_a_sum_over_something_not_recorded_is_open_for_want_of_a_size_that_stays() -> None:
    terms = (StackTerm("a", "a-b", "teeth", 1), StackTerm("b", "a-b", "teeth", 1))
    answer = agreed(replace(PAIR, stacks=(Stack("sum", "assembly", terms, Window(0, 99)),)), BARE, "a.2")
    assert answer.levels == (0, 2, 4, 1, 0)


def test_a_model_as_made_with_a_gap_has_no_sum_to_be_held_against() -> None:
    """The model's b is needed and not recorded, so nobody knows its sum; without a limit the check is not known."""
    stack = Stack("sum", "service", (StackTerm("b", "a-b", "teeth", 1),), Window(), as_made=True)
    model = Vehicle("model", ("only",), (Fitting("a", "", "a.1"),), as_made=True)
    world = replace(PAIR, stacks=(stack,), vehicles=(model,))
    answer = agreed(world, replace(vehicle("a.1", "b.1"), made_as="model"), "a.2")
    assert answer.levels is not None and answer.levels.unsupported == 2


# --------------------------------------------------------------------------- parts yet to be found


def without(world: World, letter: str) -> World:
    """The world in which no part is recorded for a position."""
    return replace(world, parts=tuple(p for p in world.parts if not p.number.startswith(f"{letter}.")))


OWN = without(PAIR, "b")


def b_place(answer: Answer) -> str:
    choice = answer.best[0][("b", "left")]
    return "-" if choice is None else choice.thing.number


def test_a_position_that_must_be_filled_takes_a_part_yet_to_be_found() -> None:
    """b is new with the arrangement west, and no part of its type is recorded.

    Its one required check, the joint with a, counts on each hand in (1); w's place is not there.
    """
    west = replace(change(OWN, "b", arrangement="west"), choices=one_of("only", "west"))
    answer = agreed(west, BARE, "a.1", arrangements=("west",))
    assert b_place(answer) == "type b" + TO_BE_FOUND
    assert answer.levels == (2, 2, 0, 1, 0)


def test_a_due_part_of_which_no_number_is_accepted_is_replaced_by_one_yet_to_be_found() -> None:
    """b.1 is on the vehicle and due; it is recorded but not accepted, so no plan may use it unless it is asked for."""
    worn = replace(PAIR, parts=tuple(replace(p, accepted=p.number[0] != "b") for p in PAIR.parts))
    van = vehicle("a.1", "b.1", b="due")
    assert b_place(agreed(worn, van, "a.1")) == "type b" + TO_BE_FOUND
    assert b_place(agreed(worn, van, "b.1")) == "b.1"
    assert b_place(agreed(worn, vehicle("a.1", "b.1"), "a.1")) == "b.1", "what is sound stays"


def test_where_parts_of_the_type_are_recorded_and_none_fits_there_is_no_plan() -> None:
    assert agreed(replace(PAIR, parts=PAIR.parts[:3]), vehicle("a.1", "b.1"), "a.2").levels is None


def test_no_known_part_loses_to_one_yet_to_be_found() -> None:
    """The due c is of a type without parts: one to be found is open with b, whatever b is.  b.1 stays."""
    world = without(chain("a b c", {"a.1": (20,), "b.1": (20, 20), "b.2": (20, 21), "c.1": (20,)}), "c")
    answer = asked(world, vehicle("a.1", "b.1", "c.1", c="due"), "a.1")
    assert [numbers(one) for one in answer.best] == [f"a.1 b.1 type c{TO_BE_FOUND}*"]
    assert answer.levels is not None and answer.levels.unsupported == 2


def test_a_property_is_not_met_by_a_part_yet_to_be_found_and_no_claim_speaks_for_it() -> None:
    world = replace(OWN, claims=(Claim("a.1", "goes with", "b.1"),))
    answer = asked(world, vehicle("a.1", "b.1", b="due"), "a.1")
    assert answer.levels is not None and answer.levels.unsupported == 2


def test_a_feature_known_absent_is_a_no_with_whatever_is_found() -> None:
    rows = tuple(teeth("a.2", "a-b", Mark.ABSENT) if row.owner == "a.2" else row for row in OWN.rows)
    assert asked(replace(OWN, rows=rows), vehicle("a.1", "b.1", b="due"), "a.2").levels is None


def test_two_parts_yet_to_be_found_that_meet_have_one_check_between_them() -> None:
    """(1) counts checks: the joint b-c is one on each hand, though both of its parts are to be found."""
    world = chain("a b c", {"a.1": (20,), "b.1": (20, 20), "c.1": (20,)})
    bare = without(without(world, "b"), "c")
    answer = asked(bare, vehicle("a.1", "b.1", "c.1", b="due", c="due"), "a.1")
    assert answer.levels is not None and answer.levels.unsupported == 4


@pytest.mark.parametrize("limit", ["within limits", "as the vehicle as made"])
def test_a_set_states_no_sum_of_a_part_yet_to_be_found_as_made(limit: str) -> None:
    """All its required checks count: also the sum that the set for a and c states as made."""
    as_made = limit == "as the vehicle as made"
    world = chain("a b c", {"a.1": (20,), "a.2": (21,), "b.1": (20, 20), "c.1": (20,), "c.2": (21,)})
    terms = tuple(StackTerm(name, "a-b" if name == "a" else "b-c", "teeth", 1) for name in "abc")
    both = (Member("a", as_part="a.2"), Member("c", as_part="c.2"))
    sold = replace(
        without(world, "b"), sets=(PartSet("a.s", both, ("sum",)),),
        stacks=(Stack("sum", "service", terms, Window() if as_made else Window(0, 99), as_made=as_made),),
    )  # fmt: skip
    van = replace(vehicle("a.1", "b.1", "c.1", b="due"), made_as="model")
    model = replace(vehicle("a.1", "b.1", "c.1"), name="model", as_made=True)
    sold = replace(sold, vehicles=(model,))
    answer = asked(sold, van, "a.s")
    assert answer.levels is not None and answer.levels.unsupported == 6
    refused = tuple(replace(p, accepted=p.number[0] != "b") for p in world.parts)
    case = Case(replace(sold, parts=refused, vehicles=(model, van)), van, Request(wants=(("a", "a.s"),)))
    assert not Comparison(case).differences()


# ------------------------------------------------------------------------ readings on the item

READ = replace(
    PAIR,
    parts=(*PAIR.parts, part("a.3")),
    rows=(*PAIR.rows, teeth("a.3", "a-b", 20), teeth("left b", "a-b", 20, "bench")),
    items=(Item("left b", "b.1", read_at=("found", "b", "left")),),
)
VAN = vehicle("a.1", "b.1")


def proven(world: World, van: Vehicle) -> dict[Place, bool]:
    """Where the joint of a.3 with what stays in b is proven, by b's place."""
    swap = Swap(world, van, Request(wants=(("a", "a.3"),)))
    found = swap.joint_results(swap.answer().best[0])
    return {ends[1]: result.verdict is Verdict.FITS for (_, ends), result in found.items()}


def test_a_reading_is_about_the_thing_in_the_place_that_it_names() -> None:
    """Read on the left b alone: there the joint is proven, on the right it is on paper, as the catalogue has it."""
    assert proven(READ, VAN) == {("b", "left"): True, ("b", "right"): False}


def test_a_reading_says_nothing_about_another_vehicle() -> None:
    assert proven(READ, replace(VAN, name="other")) == {("b", "left"): False, ("b", "right"): False}


def test_a_reading_goes_with_the_thing_when_another_number_stands_there() -> None:
    """The left b is b.2 now; what was read on a b.1 is not about it: its 21 teeth stand, and it cannot stay."""
    now = Vehicle(
        "found", ("only",), (Fitting("a", "", "a.1"), Fitting("b", "left", "b.2"), Fitting("b", "right", "b.1"))
    )
    answer = Swap(READ, now, Request(wants=(("a", "a.3"),))).answer()
    assert answer.forced_by_fit == {("a", "left"), ("a", "right"), ("b", "left")}
