"""A needed part that nobody names: parts that agree with each other are not yet a corner."""

from __future__ import annotations

import pytest

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import UnknownNameError
from knockon.graph.model.layouts.layout import Places
from knockon.queries.as_typed import RequestError
from knockon.queries.fits.fits import judge_parts
from knockon.queries.fits.left_out import beside
from knockon.queries.intake.check import _lacking
from tests.unit.small import TABLES, world

# a sleeve between the hub and the nut: without it the hub has play
SLEEVED = {
    "parts.csv": TABLES["parts.csv"]
    + "SLEEVE-5,sleeve,bearing spacer,either,no,,,book\nNUT-1,nut,hub nut,either,no,,,book\n",
    "positions.csv": TABLES["positions.csv"]
    + "cart axle,sleeve,corner,bearing spacer,1,needed,axle,no,sleeves,50\n"
    + "cart axle,nut,corner,hub nut,1,needed,axle,no,nuts,60\n",
    "features/spacer.csv": "part,feature,length,bore,source\nSLEEVE-5,sleeve,5 mm,20 mm,book\n",
    "features/spigot.csv": "part,feature,diameter,source\nAXLE-20,seat,20 mm,book\nAXLE-25,seat,25 mm,book\n"
    "HUB-20L,boss,10 mm,book\nNUT-1,boss,16 mm,book\n",
    "figures.csv": "layout,figure,is,sort,low,high,unit,compared with,safety critical,says,standing,source\n"
    "cart axle,nut clamps,stack,service,-1 mm,,mm,limits,yes,the nut clamps nothing,common practice,made up\n",
    "figure_terms.csv": "layout,figure,order,position,feature,dimension,factor\n"
    "cart axle,nut clamps,1,sleeve,sleeve,length,1\n"
    "cart axle,nut clamps,2,hub,boss,diameter,1\n"
    "cart axle,nut clamps,3,nut,boss,diameter,-1\n",
}
HUB, AXLE, NUT, SLEEVE, CAP, STUD = "HUB-20L", "AXLE-20", "NUT-1", "SLEEVE-5", "CAP-1", "STUD-1"


def left_out(*parts: str, **how: object) -> tuple[Verdict | None, list[str]]:
    answer = judge_parts(world(SLEEVED), parts, **how)  # type: ignore[arg-type]
    return answer.verdict, [v.position for v in answer.left_out]


def test_a_joint_is_beside_either_of_its_places() -> None:
    places = Places(world(SLEEVED).layouts["cart axle"])
    for joint in places.joints:
        ends = {joint.first: ["ONE"], joint.second: ["OTHER"]}
        for place, number in ((joint.first, "OTHER"), (joint.second, "ONE")):
            found = beside(places, place, ends, (), formulas=False)
            assert joint.joint.joint in found.joints and found.given.keys() == {number}


def test_two_parts_are_judged_at_their_own_joints() -> None:
    assert left_out(HUB, AXLE) == (Verdict.FITS, [])


def test_of_three_a_needed_position_between_two_of_them_is_left_out() -> None:
    answer = judge_parts(world(SLEEVED), (HUB, AXLE, NUT))
    assert answer.verdict is Verdict.NOT_KNOWN
    (vacancy,) = answer.left_out
    assert (vacancy.position, vacancy.part_type) == ("sleeve", "bearing spacer")
    assert (vacancy.joints, vacancy.figures, vacancy.given) == ((), ("nut clamps",), (HUB, NUT))
    assert [n.needs for n in answer.not_judged] == [("sleeve",)]


def test_what_a_sum_that_is_not_judged_lacks_is_what_is_not_recorded() -> None:
    """The hub's boss is recorded and the nut's is not; of the sleeve nobody asked."""
    spigots = SLEEVED["features/spigot.csv"].replace("NUT-1,boss,16 mm,book\n", "")
    for of, missing in ((SLEEVED, ()), ({**SLEEVED, "features/spigot.csv": spigots}, ("NUT-1, boss: diameter",))):
        (stack,) = judge_parts(world(of), (HUB, AXLE, NUT)).not_judged
        assert (stack.needs, stack.not_recorded) == (("sleeve",), missing)


def test_a_position_beside_only_one_of_them_is_not() -> None:
    """The stud and the cap have a joint with the hub alone."""
    verdict, positions = left_out(HUB, AXLE, NUT, SLEEVE)
    assert (verdict, positions) == (Verdict.FITS, [])


def test_the_order_of_the_parts_decides_nothing() -> None:
    assert left_out(NUT, AXLE, HUB) == left_out(HUB, AXLE, NUT) == (Verdict.NOT_KNOWN, ["sleeve"])


def test_a_part_named_twice_is_two_parts() -> None:
    """The cap has a joint with the hub alone: a hub named twice does not stand at two ends of it."""
    assert left_out(HUB, HUB, AXLE)[1] == []


def test_one_joint_asked_alone_needs_nothing_else() -> None:
    assert left_out(HUB, AXLE, NUT, at="hub on axle") == (Verdict.FITS, [])


def test_a_needed_position_that_is_empty_is_a_no_by_its_sum() -> None:
    answer = judge_parts(world(SLEEVED), (HUB, AXLE, NUT), empty=("sleeve",))
    assert (answer.verdict, answer.left_out) == (Verdict.DO_NOT_USE, ())
    (stack,) = answer.figures
    assert (stack.check, stack.verdict, stack.lines[0].low) == ("nut clamps", Verdict.DO_NOT_USE, -6.0)
    assert [v.position for v in answer.empty] == ["sleeve"]


def test_a_needed_position_that_is_empty_is_a_no_also_where_no_sum_tells() -> None:
    thick = {**SLEEVED, "features/spigot.csv": SLEEVED["features/spigot.csv"].replace("boss,10 mm", "boss,40 mm")}
    answer = judge_parts(world(thick), (HUB, AXLE, NUT), empty=("sleeve",))
    assert {e.verdict for e in (*answer.joints, *answer.figures)} == {Verdict.FITS}
    assert answer.verdict is Verdict.DO_NOT_USE
    two = judge_parts(world(SLEEVED), (HUB, AXLE), empty=("cap",))
    assert (two.verdict, [v.joints for v in two.empty]) == (Verdict.DO_NOT_USE, [("cap on hub",)])


def test_an_optional_position_may_be_empty() -> None:
    rows = SLEEVED["positions.csv"].replace("bearing spacer,1,needed", "bearing spacer,1,optional")
    thick = SLEEVED["features/spigot.csv"].replace("boss,10 mm", "boss,40 mm")
    changed = {**SLEEVED, "positions.csv": rows, "features/spigot.csv": thick}
    for empty in ((), ("sleeve",)):
        answer = judge_parts(world(changed), (HUB, AXLE, NUT), empty=empty)
        assert (answer.verdict, answer.left_out, answer.empty) == (Verdict.FITS, (), ())


def test_what_is_needed_only_with_something_else_follows_it() -> None:
    rows = (
        SLEEVED["positions.csv"]
        .replace("order\n", "order,with position\n")
        .replace("bearing spacer,1,needed,axle,no,sleeves,50", "bearing spacer,1,with,axle,no,sleeves,50,cap")
    )
    changed = {
        **SLEEVED,
        "positions.csv": "\n".join(r if r.count(",") == 10 else r + "," for r in rows.splitlines()) + "\n",
    }
    assert [v.position for v in judge_parts(world(changed), (HUB, AXLE, NUT)).left_out] == ["sleeve"]
    without_cap = judge_parts(world(changed), (HUB, AXLE, NUT), empty=("cap",))
    assert (without_cap.left_out, [v.position for v in without_cap.empty]) == ((), ["cap"])


def test_a_set_fills_the_positions_of_its_members() -> None:
    members = TABLES["set_members.csv"] + "PAIR-S,sleeve,,SLEEVE-5,1\nPAIR-S,nut,,NUT-1,1\n"
    parts = SLEEVED["parts.csv"] + "PAIR-S,sleeve with nut,set,either,no,,,book\n"
    changed = {**SLEEVED, "set_members.csv": members, "parts.csv": parts}
    answer = judge_parts(world(changed), (HUB, AXLE, "PAIR-S"))
    assert (answer.verdict, answer.left_out) == (Verdict.FITS, ())


def test_on_a_vehicle_a_place_without_a_record_is_not_empty() -> None:
    """It holds something that is not recorded: one joint or sum with a given part leaves the verdict open."""
    answer = judge_parts(world(SLEEVED), (HUB,), on="cart")
    assert answer.verdict is Verdict.NOT_KNOWN
    assert [v.position for v in answer.left_out] == ["sleeve", "nut"]
    fitted = TABLES["fittings.csv"] + "cart,sleeve,left,SLEEVE-5,,sound\ncart,nut,,NUT-1,,sound\n"
    changed = {**SLEEVED, "fittings.csv": fitted}
    answer = judge_parts(world(changed), (HUB, "HUB-20R"), on="cart")
    assert [v.position for v in answer.left_out] == ["right sleeve"]
    answer = judge_parts(world(changed), (HUB,), on="cart", empty=("left sleeve",))
    assert (answer.verdict, [v.position for v in answer.empty]) == (Verdict.DO_NOT_USE, ["left sleeve"])
    assert answer.left_out == ()


def test_a_feature_known_absent_is_a_no_whatever_is_not_recorded() -> None:
    spigots = SLEEVED["features/spigot.csv"].replace("HUB-20L,boss,10 mm", "HUB-20L,boss,absent")
    answer = judge_parts(world({**SLEEVED, "features/spigot.csv": spigots}), (HUB,), on="cart")
    assert answer.verdict is Verdict.DO_NOT_USE
    assert [e.verdict for e in answer.figures] == [Verdict.DO_NOT_USE]


def test_what_is_to_be_empty_is_a_position_and_holds_none_of_the_parts() -> None:
    with pytest.raises(UnknownNameError) as wrong:
        judge_parts(world(SLEEVED), (HUB, AXLE, NUT), empty=("sleve",))
    assert wrong.value.nearest == ("sleeve",)
    with pytest.raises(RequestError, match="SLEEVE-5 stands in a position that is to be empty"):
        judge_parts(world(SLEEVED), (HUB, AXLE, SLEEVE), empty=("sleeve",))


def test_check_names_the_needed_places_of_a_vehicle_without_a_record() -> None:
    assert not list(_lacking(world()))
    fitted = TABLES["fittings.csv"] + "cart,sleeve,left,SLEEVE-5,,sound\n"
    found = {f.column: f for f in _lacking(world({**SLEEVED, "fittings.csv": fitted}))}
    assert sorted(found) == ["big-cart", "cart", "my-cart"]
    assert (found["cart"].file, found["cart"].written) == ("fittings.csv", "right sleeve; nut")
    assert not found["cart"].set_aside
