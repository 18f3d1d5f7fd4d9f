"""The oracle's verdicts against cases worked by hand, one for each sentence about verdicts."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from tests.oracle.known import Thing
from tests.oracle.verdict import Result, Verdict, judge_joint, judge_stack
from tests.oracle.world import (
    Cell,
    Claim,
    Condition,
    Dimension,
    Fitting,
    Joint,
    Kind,
    Mark,
    Row,
    Rule,
    Size,
    Source,
    Stack,
    StackTerm,
    Term,
    Vehicle,
    Window,
    World,
)

PEG = Kind("peg", (Dimension("width", "length"), Dimension("teeth", "count")))
HOLE = Kind("hole", PEG.dimensions)
SLIDES = Condition(
    "slides in",
    "assembly",
    "required",
    (Term(1, 0, "width"), Term(-1, 1, "width")),
    Window(-2, 0),
    Window(-3, 0),
)
TEETH = Condition(
    "tooth count",
    "service",
    "required",
    (Term(1, 0, "teeth"), Term(-1, 1, "teeth")),
    Window(0, 0),
)
JOINT = Joint("joint", "shaft", "end", "hub", "bore", "rule")
SOURCES = (
    Source("bench", "on the item"),
    Source("bench two", "on the item"),
    Source("book", "drawing"),
    Source("book two", "drawing"),
    Source("member", "same number, new"),
    Source("old", "worn"),
    Source("shop", "seller"),
    Source("talk", "hearsay"),
)
EXACT_10, EXACT_11 = Size(10, 11), Size(11, 12)


def says(owner: str, source: str = "book", **cells: Cell) -> Row:
    """A row about the owner's one feature."""
    feature, kind = ("end", "peg") if owner.startswith("S") else ("bore", "hole")
    return Row(owner, feature, kind, tuple(cells.items()), source)


def world(*rows: Row, conditions: tuple[Condition, ...] = (SLIDES,), **more: object) -> World:
    """A world of one rule and these rows."""
    rule = Rule("rule", ("peg", "hole"), conditions)
    made = World(kinds=(PEG, HOLE), rules=(rule,), sources=SOURCES, rows=rows, joints=(JOINT,))
    return replace(made, **more)  # type: ignore[arg-type]


SHAFT, HUB = Thing("S", ("S",)), Thing("H", ("H",))


def verdict(made: World, one: Thing = SHAFT, other: Thing = HUB) -> Verdict:
    return judge_joint(made, made.joints[0], one, other).verdict


def test_wholly_inside_is_yes_and_ends_belong_to_the_window() -> None:
    assert verdict(world(says("S", width=Size(10, 11)), says("H", width=Size(11, 12)))) is Verdict.FITS


def test_straddling_is_not_known() -> None:
    made = world(says("S", width=Size(10, 11)), says("H", width=Size(10, 12)))
    assert verdict(made) is Verdict.NOT_KNOWN


def test_touching_from_outside_is_open() -> None:
    made = world(says("S", width=Size(12, 13)), says("H", width=Size(11, 12)))
    assert verdict(made) is Verdict.NOT_KNOWN


def test_an_assembly_no_does_not_fit_and_a_service_no_must_not_be_used() -> None:
    both = (SLIDES, TEETH)
    rows: dict[str, Any] = {"width": Size(10, 11), "teeth": Size(25, 25)}
    near_miss = world(says("S", **rows), says("H", width=Size(11, 12), teeth=Size(21, 21)), conditions=both)
    too_big = world(says("S", **rows), says("H", width=Size(8, 9), teeth=Size(21, 21)), conditions=both)
    assert verdict(near_miss) is Verdict.DO_NOT_USE
    assert verdict(too_big) is Verdict.DOES_NOT_FIT


def test_a_no_counts_also_where_the_condition_is_supporting_and_an_open_one_does_not() -> None:
    supporting = (SLIDES, replace(TEETH, need="supporting"))
    wide: dict[str, Any] = {"width": Size(10, 11)}
    hub = says("H", width=Size(11, 12), teeth=Size(21, 21))
    open_ = world(says("S", **wide), hub, conditions=supporting)
    no = world(says("S", teeth=Size(25, 25), **wide), hub, conditions=supporting)
    assert verdict(open_) is Verdict.FITS
    assert verdict(no) is Verdict.DO_NOT_USE


def test_a_number_that_is_only_told_is_never_judged() -> None:
    told = (SLIDES, replace(TEETH, need="told"))
    made = world(
        says("S", width=Size(10, 11), teeth=Size(25, 25)),
        says("H", width=Size(11, 12), teeth=Size(21, 21)),
        conditions=told,
    )
    assert verdict(made) is Verdict.FITS


@pytest.mark.parametrize(
    ("shaft", "hub", "expected"),
    [
        (Size(11, 11, True), Size(11, 11, True), Verdict.FITS),
        (Size(11, 11, True), Size(14, 14, True), Verdict.FITS),
        (Size(11, 11, True), Size(15, 15, True), Verdict.DOES_NOT_FIT),
        (Size(11, 11, True), Size(10, 12), Verdict.NOT_KNOWN),
        (Size(11, 11, True), Size(11, 12), Verdict.FITS),
    ],
)
def test_where_either_is_nominal_the_gross_window_alone_judges(shaft: Size, hub: Size, expected: Verdict) -> None:
    assert verdict(world(says("S", width=shaft), says("H", width=hub))) is expected


def test_without_a_gross_window_a_nominal_leaves_it_open_and_no_claim_helps() -> None:
    made = world(
        says("S", width=Size(11, 11, True)),
        says("H", width=Size(11, 12)),
        conditions=(replace(SLIDES, gross=None),),
        claims=(Claim("S", "goes with", "H"),),
    )
    assert judge_joint(made, JOINT, SHAFT, HUB) == Result(Verdict.NOT_KNOWN)


@pytest.mark.parametrize(
    ("source", "critical", "expected"),
    [
        ("member", True, Verdict.FITS),
        ("old", True, Verdict.ON_PAPER),
        ("old", False, Verdict.FITS),
        ("shop", False, Verdict.ON_PAPER),
        ("talk", False, Verdict.ON_PAPER),
    ],
)
def test_evidence_must_be_good_enough_for_where_the_joint_sits(source: str, critical: bool, expected: Verdict) -> None:
    made = world(says("S", width=EXACT_10), says("H", source, width=EXACT_11))
    made = replace(made, joints=(replace(JOINT, safety_critical=critical),))
    assert verdict(made) is expected


def test_better_evidence_computes_and_weaker_does_not() -> None:
    hub = says("H", width=EXACT_11)
    made = world(says("S", width=EXACT_10), says("S", "shop", width=Size(20, 21)), hub)
    assert verdict(made) is Verdict.FITS


def test_equal_sources_that_share_no_value_are_disputed() -> None:
    hub = says("H", width=EXACT_11)
    made = world(says("S", width=EXACT_10), says("S", "book two", width=Size(20, 21)), hub)
    assert verdict(made) is Verdict.DISPUTED


def test_equal_sources_that_contradict_and_do_not_matter_are_no_dispute() -> None:
    hub = says("H", width=Size(12, 12, True))
    fits = world(says("S", width=Size(9, 10)), says("S", "book two", width=Size(11, 12)), hub)
    assert verdict(fits) is Verdict.FITS


def test_equal_sources_of_which_every_choice_is_a_no_give_the_worst() -> None:
    both = (SLIDES, TEETH)
    made = world(
        says("S", width=Size(10, 11), teeth=Size(25, 25)),
        says("S", "book two", width=Size(20, 21), teeth=Size(25, 25)),
        says("H", width=Size(11, 12), teeth=Size(21, 21)),
        conditions=both,
    )
    assert verdict(made) is Verdict.DOES_NOT_FIT


def test_equal_sources_that_overlap_give_the_worst() -> None:
    made = world(
        says("S", width=Size(10, 11)),
        says("S", "book two", width=Size(11, 13)),
        says("H", width=Size(12, 12)),
    )
    assert verdict(made) is Verdict.NOT_KNOWN


def test_a_feature_known_absent_does_not_fit() -> None:
    made = world(says("S", width=Mark.ABSENT), says("H", width=EXACT_11))
    assert verdict(made) is Verdict.DOES_NOT_FIT


def test_absent_against_recorded_is_decided_by_the_better_and_else_disputed() -> None:
    hub = says("H", width=EXACT_11)
    better = world(says("S", width=EXACT_10), says("S", "talk", width=Mark.ABSENT), hub)
    worse = world(says("S", "talk", width=EXACT_10), says("S", width=Mark.ABSENT), hub)
    equal = world(says("S", width=EXACT_10), says("S", "book two", width=Mark.ABSENT), hub)
    assert verdict(better) is Verdict.FITS
    assert verdict(worse) is Verdict.DOES_NOT_FIT
    assert verdict(equal) is Verdict.DISPUTED


def test_not_recorded_is_not_known_unless_a_claim_stands_in() -> None:
    made = world(says("H", width=EXACT_11))
    claimed = replace(made, claims=(Claim("H", "goes with", "S"),))
    assert verdict(made) is Verdict.NOT_KNOWN
    assert verdict(claimed) is Verdict.ON_PAPER


def test_a_claim_never_stands_in_for_a_size_that_a_source_says_it_does_not_know() -> None:
    made = world(says("S", width=Mark.UNSURE), says("H", width=EXACT_11))
    made = replace(made, claims=(Claim("H", "goes with", "S"),))
    assert judge_joint(made, JOINT, SHAFT, HUB) == Result(Verdict.NOT_KNOWN)


def test_a_claim_never_overrules_a_size() -> None:
    made = world(says("S", width=Size(20, 21)), says("H", width=EXACT_11))
    made = replace(made, claims=(Claim("H", "goes with", "S"),))
    assert verdict(made) is Verdict.DOES_NOT_FIT


@pytest.mark.parametrize(("fitted", "expected"), [("H", Verdict.ON_PAPER), ("X", Verdict.NOT_KNOWN)])
def test_listed_for_a_vehicle_speaks_for_joints_with_its_parts_as_made(fitted: str, expected: Verdict) -> None:
    model = Vehicle("model", ("only",), (Fitting("hub", "", fitted),), as_made=True)
    made = world(says("H", width=EXACT_11))
    made = replace(made, vehicles=(model,), claims=(Claim("S", "listed for", "model"),))
    assert verdict(made) is expected


def test_same_as_gives_no_size_and_passes_claims_on() -> None:
    made = world(says("S2", width=EXACT_10), says("H", width=EXACT_11))
    same = replace(made, claims=(Claim("S", "same as", "S2"),))
    claimed = replace(made, claims=(*same.claims, Claim("S2", "goes with", "H")))
    assert verdict(same) is Verdict.NOT_KNOWN
    assert verdict(claimed) is Verdict.ON_PAPER


def test_on_a_kept_side_only_a_reading_on_the_item_counts_towards_fits() -> None:
    hub = says("H", width=EXACT_11)
    catalogue = world(says("S", width=EXACT_10), hub)
    measured = world(says("S our", "bench", width=EXACT_10), hub)
    kept = replace(SHAFT, stays=True)
    assert verdict(catalogue, kept) is Verdict.ON_PAPER
    assert verdict(measured, Thing("S", ("S our", "S"), stays=True)) is Verdict.FITS


def test_a_no_from_a_kept_parts_catalogue_sizes_counts() -> None:
    made = world(says("S", width=Size(20, 21)), says("H", width=EXACT_11))
    assert verdict(made, replace(SHAFT, stays=True)) is Verdict.DOES_NOT_FIT


def test_an_items_reading_stands_before_its_numbers_drawing() -> None:
    made = world(
        says("S", width=EXACT_10),
        says("S our", "bench", width=Size(20, 21)),
        says("H", width=EXACT_11),
    )
    assert verdict(made, Thing("S", ("S our", "S"), stays=True)) is Verdict.DOES_NOT_FIT


def test_the_first_level_excepts_a_check_that_lacks_only_sizes_of_kept_parts() -> None:
    made = world(says("H", width=EXACT_11))
    kept = judge_joint(made, JOINT, replace(SHAFT, stays=True), HUB)
    new = judge_joint(made, JOINT, SHAFT, replace(HUB, stays=True))
    neither = judge_joint(world(), JOINT, replace(SHAFT, stays=True), HUB)
    assert (kept.unsupported, new.unsupported, neither.unsupported) == (False, True, True)


def test_the_first_level_does_not_except_a_check_that_straddles_beside() -> None:
    made = world(
        says("S", width=Size(10, 11)),
        says("H", width=Size(10, 12), teeth=Size(21, 21)),
        conditions=(SLIDES, TEETH),
    )
    assert judge_joint(made, JOINT, replace(SHAFT, stays=True), HUB).unsupported


# ------------------------------------------------------------------------------------------ stacks

STACK = Stack(
    "stack",
    "service",
    (StackTerm("shaft", "end", "width", 1), StackTerm("hub", "bore", "width", -1)),
    Window(-1, 1),
)
ROWS = (says("S", width=Size(10, 10, True)), says("H", width=Size(11, 11, True)))


def stack_verdict(made: World, stack: Stack = STACK, **filled: Thing) -> Verdict:
    return judge_stack(made, stack, filled or {"shaft": SHAFT, "hub": HUB}).verdict


def test_in_a_sum_a_nominal_counts_as_its_value() -> None:
    assert stack_verdict(world(*ROWS)) is Verdict.FITS


def test_an_empty_position_counts_zero() -> None:
    assert stack_verdict(world(*ROWS), shaft=SHAFT) is Verdict.DO_NOT_USE
    assert stack_verdict(world(*ROWS), replace(STACK, window=Window(9, 10)), shaft=SHAFT) is (Verdict.FITS)


def test_a_missing_term_leaves_a_stack_open_and_no_claim_helps() -> None:
    made = world(ROWS[0], claims=(Claim("S", "goes with", "H"),))
    assert stack_verdict(made) is Verdict.NOT_KNOWN


def test_a_stack_has_a_sort() -> None:
    made = world(says("S", width=Size(20, 21)), ROWS[1])
    assert stack_verdict(made) is Verdict.DO_NOT_USE
    assert stack_verdict(made, replace(STACK, sort="assembly")) is Verdict.DOES_NOT_FIT


def test_a_term_on_a_feature_known_absent_is_a_no_of_the_stacks_sort() -> None:
    made = world(says("S", width=Mark.ABSENT), ROWS[1])
    assert stack_verdict(made) is Verdict.DO_NOT_USE
    assert stack_verdict(made, replace(STACK, sort="assembly")) is Verdict.DOES_NOT_FIT


def test_what_sizes_can_never_prove_is_at_best_on_paper_and_a_no_still_counts() -> None:
    method = replace(STACK, method=True)
    assert stack_verdict(world(*ROWS), method) is Verdict.ON_PAPER
    assert stack_verdict(world(says("S", width=Size(20, 21)), ROWS[1]), method) is (Verdict.DO_NOT_USE)


def test_a_sets_check_holds_as_made() -> None:
    made = world(ROWS[0])
    filled = {"shaft": SHAFT, "hub": HUB}
    assert judge_stack(made, STACK, filled, stated=True).verdict is Verdict.FITS
