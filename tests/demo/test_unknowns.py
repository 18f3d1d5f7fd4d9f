"""A plan that rests on what nobody knows says what closes every plan on known sizes, and what would open one."""

from __future__ import annotations

from msgspec.structs import replace

from knockon.queries.plan.swap import swap
from tests.commands.running import demo as command
from tests.demo.demo import demo


def test_a_plan_on_known_sizes_needs_no_such_reason() -> None:
    answer = swap(demo(), "tansy-m080", want=["rotor=LARCH-201"])
    assert (answer.unknowns, answer.opens) == (None, ())


def test_wheels_that_foul_the_known_caliper_leave_only_one_of_unknown_size() -> None:
    answer = swap(demo(), "tansy-m080", want=["rotor=LARCH-201", "wheel=MAPLE-901"])
    assert answer.plan is not None and answer.unknowns is not None
    assert answer.plan.costs["not known"] > 0
    assert answer.unknowns.cites == ("arrangement", "unknown not allowed", "wheel to caliper, radial")
    evidence = next(s.evidence for s in answer.unknowns.steps if s.kind == "figure")
    assert evidence is not None and evidence.verdict.is_no
    assert {"MAPLE-901", "LARCH-203L"} <= set(evidence.things)
    (opening,) = answer.opens
    assert opening.figure == evidence


def test_the_unmeasured_part_that_was_asked_for_is_the_one_that_is_named() -> None:
    answer = swap(demo(), "tansy-m080", want=["rotor=LARCH-201", "outer joint=ROWAN-902"])
    assert answer.unknowns is not None
    (step,) = [s for s in answer.unknowns.steps if s.kind == "joint"]
    assert (step.sort, step.verdict, step.given) == ("flange on stub", "not known", "ROWAN-902")


def test_the_text_says_why_before_the_rest() -> None:
    told = command("swap", "--full", "tansy-m080", "--want", "rotor=LARCH-201", "--want", "knuckle=ALDER-905").out
    why = told[told.index("WHY NOT KNOWN YET") : told.index("THE OTHER PARTS")]
    assert "Caliper on lugs: LARCH-203L with ALDER-905 is not known, measure ALDER-905" in " ".join(why.split())


def test_what_would_open_a_hybrid_corner_is_a_bearing_that_nobody_makes() -> None:
    """A bore of 1.000 in for the drum joint's journal, 2.250 in outside for the disc knuckle; and the joint let go."""
    answer = swap(demo(), "tansy-m080", want=["rotor=LARCH-201"], keep=["outer joint"])
    bearing = next(o for o in answer.opens if o.position == "inner bearing")
    assert {(b.number, v.written) for b in bearing.beside for v in b.sizes} == {
        ("ALDER-201L", "2.250 in"),
        ("ROWAN-101", "1.000 in"),
    }
    assert answer.opens[-1].dropped == ("keep left outer joint", "keep right outer joint")


def test_wishes_that_contradict_each_other_are_named_together() -> None:
    answer = swap(demo(), "tansy-m080", want=["rotor=LARCH-201", "rotor=LARCH-301"])
    assert answer.plan is None
    assert [o.wishes for o in answer.opens] == [("rotor=LARCH-201", "rotor=LARCH-301")]


def test_two_hands_that_are_not_alike_cannot_both_be_kept() -> None:
    told = command("swap", "--full", "tansy-m080", "--want", "rotor=LARCH-201", "--keep", "lower ball pin").out
    assert "You keep the left lower ball pin ALDER-139 and the right lower ball pin ALDER-339" in " ".join(told.split())


def test_what_is_not_there_cannot_be_kept() -> None:
    ran = command("swap", "--full", "tansy-m080", "--want", "rotor=LARCH-201", "--keep", "rotor")
    assert ran.status == 2
    assert "nothing recorded in rotor, so there is nothing to keep" in ran.err


def test_behind_a_check_that_rules_it_out_another_may_stand() -> None:
    """A reason is minimal by itself: without one of its checks the others rule nothing out, but some other may."""
    want, keep = ["drive flange=ROWAN-942"], ["outer joint"]
    none = swap(demo(), "tansy-m080", want=want, keep=keep).none
    assert none is not None and "outer seal on boss" in none.cites
    layout = demo().layouts[demo().vehicles["tansy-m080"].layout]
    fewer = replace(layout, joints=tuple(j for j in layout.joints if j.joint != "outer seal on boss"))
    world = replace(demo(), layouts={**demo().layouts, layout.layout: fewer})
    answer = swap(world, "tansy-m080", want=want, keep=keep)
    assert answer.plan is None and answer.none is not None and answer.none.cites == ("nut fully on",)
    told = command("swap", "tansy-m080", "--want", "drive flange=ROWAN-942", "--keep", "outer joint").flowing
    assert "each is needed for that. Other checks may stand in the way too." in told
