"""The demo world's expected answers about pairs, chains and figures, worked out by hand beforehand."""

from __future__ import annotations

import pytest

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.layouts.layout import stands_in
from knockon.queries.fits.fits import judge_parts
from tests.demo.demo import (
    AS_FOUND,
    AS_MADE,
    check_of,
    checks,
    demo,
    figure_on,
    figures,
    judged,
    rows_of,
    said,
    standing_in,
    swapped,
    with_tables,
    written,
)

DISCS = "rotor=LARCH-201"


# ------------------------------------------------------------------ splines


def test_25_teeth_on_both_is_not_enough() -> None:
    answer = judged("ROWAN-301", "ROWAN-241", at="flange on stub")
    assert answer.verdict is Verdict.DO_NOT_USE
    evidence = check_of(answer, "flange on stub")
    assert said(evidence, "tooth count") == ("yes", 0.0)
    pitch = next(x for x in evidence.lines if x.label == "spline pitch")
    assert pitch.state == "no"
    assert [round(v.low or 0, 3) for v in pitch.values] == [1.0, 1.058]
    major = {(v.of, v.low) for x in evidence.lines for v in x.values if v.dimension.endswith("major diameter")}
    assert major == {("ROWAN-301", 26.0), ("ROWAN-241", 27.89)}
    assert said(evidence, "tooth overlap") == ("told", 0.3)
    assert said(evidence, "tooth depth of the female")[1] == pytest.approx(1.24, abs=0.01)
    assert said(evidence, "flat caliper jaws show across the male")[1] == pytest.approx(25.9, abs=0.01)
    assert evidence.notes == ("N19",)


def test_the_other_way_round_does_not_enter() -> None:
    answer = judged("ROWAN-201", "ROWAN-341", at="flange on stub")
    assert answer.verdict is Verdict.DOES_NOT_FIT
    evidence = check_of(answer, "flange on stub")
    assert said(evidence, "male major diameter inside the female's") == ("no", round(26.5 - 27.52, 3))
    assert said(evidence, "flat caliper jaws show across the male")[1] == pytest.approx(27.4, abs=0.02)


def test_the_hybrid_flange_does_not_save_the_joints() -> None:
    answer = swapped(AS_FOUND, DISCS, "drive flange=ROWAN-942", keep=("outer joint",))
    assert answer.plan is None and answer.none is not None
    assert set(answer.none.cites) == {
        *("arrangement", "caliper on lugs", "inner bearing in knuckle", "inner bearing on stub"),
    }
    assert answer.opens
    assert check_of(judged("ROWAN-942", "ROWAN-101"), "flange on stub").verdict is Verdict.FITS_ON_PAPER
    # even with a bearing of 1.000 x 2.250 the stub is too short: 3.505 needed, 3.160 there
    mk_b = {**standing_in(checks(), "tansy-mk-b")}
    mk_a = standing_in(checks(), "tansy-mk-a")
    mixed = {**mk_b, **{p: c for p, c in mk_a.items() if p.position in ("outer joint", "hub collar", "hub nut")}}
    length = figure_on(checks(), figures(checks(), "nut fully on")[0], mixed, "tansy-mk-b")
    need = 0.660 + 0.497 + 0.660 + 1.000 + 0.125 + 0.5625
    assert length.verdict is Verdict.DO_NOT_USE
    assert need == pytest.approx(3.505, abs=0.001)
    assert length.lines[0].margin == pytest.approx((3.160 - need) * 25.4, abs=1e-6)


def test_a_joint_of_unknown_length_is_not_known_and_says_what_to_measure() -> None:
    answer = judged("ROWAN-902", on="tansy-mk-b")
    assert answer.verdict is Verdict.NOT_KNOWN
    wanted = {m for e in (*answer.joints, *answer.figures) if e.verdict is Verdict.NOT_KNOWN for m in e.to_measure}
    assert wanted >= {
        "ROWAN-902, stub end: length",
        "ROWAN-902, stub spline: major diameter",
        "ROWAN-902, stub spline: pitch",
        "ROWAN-902, stub end: pin hole",
    }


# ---------------------------------------------------------------- self check


@pytest.mark.parametrize(
    ("vehicle", "seat", "need", "end"),
    [
        ("tansy-mk-a", 2.577 * 25.4, 3.140 * 25.4, 3.160 * 25.4),
        ("tansy-mk-b", 2.977 * 25.4, 3.602 * 25.4, 3.640 * 25.4),
        ("tansy-mk-c", 76.05, 92.05, 93.0),
    ],
)
def test_the_clamp_chain_as_made(vehicle: str, seat: float, need: float, end: float) -> None:
    standing = standing_in(checks(), vehicle)
    start = {"tansy-mk-a": 2.480 * 25.4, "tansy-mk-b": 2.860 * 25.4, "tansy-mk-c": 73.5}[vehicle]
    values = {f.figure.figure: figure_on(checks(), f, standing, vehicle).lines[0].low for f in figures(checks())}
    assert values["nut seat beyond thread start"] == pytest.approx(seat - start, abs=0.02)
    assert values["nut fully on"] == pytest.approx(end - need, abs=0.02)


def test_every_vehicle_as_made_has_no_check_that_is_a_no() -> None:
    for vehicle in AS_MADE:
        standing = standing_in(checks(), vehicle)
        for at in checks().places.joints:
            if at.first in standing and at.second in standing:
                verdict = checks().joint(at, standing[at.first], standing[at.second]).verdict
                assert not verdict.is_no, (vehicle, at.joint.joint)
        for figure in checks().places.figures:
            if stands_in(figure.figure, demo().vehicles[vehicle].arrangements):
                evidence = figure_on(checks(), figure, standing, vehicle)
                assert not evidence.verdict.is_no, (vehicle, figure.figure.figure)


def test_front_share_of_braking() -> None:
    """69 % as a Mk A, 63 % with discs and the old rear cylinders, 71 % with the Mk B's."""
    share = figures(checks(), "front share of braking")[0]
    mk_a, mk_b = (standing_in(checks(), v) for v in AS_MADE[:2])
    old_rear = {**mk_b, **{p: c for p, c in mk_a.items() if p.position == "rear wheel cylinder"}}
    found = [figure_on(checks(), share, s, "tansy-mk-a") for s in (mk_a, old_rear, mk_b)]
    assert [round(e.lines[0].low or 0) for e in found] == [69, 63, 71]
    assert [e.verdict.is_no for e in found] == [False, True, False]
    assert "N16" in check_of(judged("HAZEL-131", on="tansy-mk-b"), "front share of braking").notes


def test_a_figure_of_the_other_arrangement_is_not_judged() -> None:
    """A wheel on drums has no room to a caliper to speak of: nothing is there to be measured."""
    answer = judged("MAPLE-101", on="tansy-mk-a")
    assert not [e.check for e in answer.figures if "caliper" in e.check]


def test_a_place_of_which_nothing_is_recorded_is_not_taken_for_empty() -> None:
    """A gap in the records of a vehicle holds something that is not recorded: neither a yes nor a no."""
    rows = [r for r in rows_of("fittings.csv") if (r["vehicle"], r["position"]) != ("tansy-mk-b", "caliper")]
    answer = judge_parts(with_tables({"fittings.csv": written(rows)}), ["MAPLE-101"], on="tansy-mk-b")
    assert {n.figure: n.needs for n in answer.not_judged} == dict.fromkeys(
        ("wheel to caliper, face", "wheel to caliper, radial"), ("caliper",)
    )
    rows = [r for r in rows_of("fittings.csv") if (r["vehicle"], r["position"]) != ("tansy-mk-b", "hub collar")]
    answer = judge_parts(with_tables({"fittings.csv": written(rows)}), ["ROWAN-201"], on="tansy-mk-b")
    assert (answer.verdict, [v.position for v in answer.left_out]) == (Verdict.NOT_KNOWN, ["hub collar"])
    assert "nut seat beyond thread start" in {n.figure for n in answer.not_judged}


@pytest.mark.parametrize(
    ("parts", "position", "check", "low"),
    [
        ((), "hub collar", "nut seat beyond thread start", 2.977 - 0.160 - 2.860),
        ((), "bearing spacer", "nut seat beyond thread start", 2.977 - 0.497 - 2.860),
        (("ALDER-201L",), "bearing spacer", "bearing float", -0.497),
    ],
)
def test_a_collar_or_a_spacer_left_out_on_purpose_is_refused(
    parts: tuple[str, ...], position: str, check: str, low: float
) -> None:
    whole = ("ROWAN-201", "ROWAN-241", "ROWAN-251", "ROWAN-252", "ALDER-211", "ALDER-212", *parts)
    left = {"hub collar": "ROWAN-251", "bearing spacer": "ALDER-212"}[position]
    complete = check_of(judge_parts(demo(), whole), check).lines[0].low or 0
    without = judge_parts(demo(), [p for p in whole if p != left], empty=(position,))
    assert without.verdict is Verdict.DO_NOT_USE
    assert [v.position for v in without.empty] == [position]
    evidence = check_of(without, check)
    assert evidence.verdict is Verdict.DO_NOT_USE
    expected = low * 25.4 if check.startswith("nut") else complete + low * 25.4
    assert evidence.lines[0].low == pytest.approx(expected, abs=1e-3)


@pytest.mark.parametrize(
    ("parts", "left_out"),
    [
        (("ROWAN-201", "ROWAN-241", "ROWAN-252"), "hub collar"),
        (("ALDER-211", "ALDER-201L", "ROWAN-201"), "bearing spacer"),
        (("ALDER-211", "ALDER-211", "ALDER-201L"), "bearing spacer"),
    ],
)
def test_parts_that_agree_without_the_part_between_them_are_not_known(parts: tuple[str, ...], left_out: str) -> None:
    answer = judge_parts(demo(), parts)
    assert {e.verdict for e in answer.joints} <= {Verdict.FITS, Verdict.FITS_ON_PAPER}
    assert answer.verdict is Verdict.NOT_KNOWN
    assert left_out in {v.position for v in answer.left_out}


def test_a_figure_that_is_compared_asks_for_what_it_is_compared_with() -> None:
    needs = {n.figure: n.needs for n in judged("LARCH-203L", "HAZEL-231").not_judged}
    assert needs["front share of braking"] == ("rear drum", "vehicle to compare with")
    needs = {n.figure: n.needs for n in judged("LARCH-203L", "HAZEL-231", "LARCH-150").not_judged}
    assert needs["front share of braking"] == ("vehicle to compare with",)


def test_the_order_of_the_words_decides_nothing() -> None:
    """ALDER-911 stands in a place of the matched set ALDER-213: the float is not the one that its maker states."""
    one, other = judged("ALDER-911", "ALDER-213", on="tansy-mk-b"), judged("ALDER-213", "ALDER-911", on="tansy-mk-b")
    for answer in (one, other):
        assert check_of(answer, "bearing float").verdict is Verdict.DO_NOT_USE
    assert {e.check: e.verdict for e in (*one.joints, *one.figures)} == {
        e.check: e.verdict for e in (*other.joints, *other.figures)
    }
