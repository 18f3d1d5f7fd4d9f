"""The workshop's answers: numbers worked out by hand, what they say, what they refuse. Sizes are typed in here."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from collections.abc import Callable

import pytest

from knockon.graph.formulas.hydraulics import PSI, Demand
from knockon.graph.formulas.interval import Interval, low
from knockon.graph.formulas.measuring import Component, StackTerm
from knockon.graph.quantity.thread_names import INCH
from knockon.queries.answers import CAUTION
from knockon.queries.ui.texts.workshop import template as template_drawing
from knockon.queries.workshop import (
    bearings,
    fasteners,
    fits,
    hydraulics,
    measuring,
    shims,
    splines,
    threads,
    tubes,
    wheel,
)
from knockon.queries.workshop.answer import COMMON_PRACTICE, Calculation
from knockon.queries.workshop.hydraulics import Axles
from knockon.queries.workshop.template import RULER, bolt_circle_template
from knockon.queries.workshop.wheel import ChordReading

THOU = INCH / 1000
BOX: dict[float, int | None] = {n * THOU: None for n in (2, 3, 5, 10, 30)}


def result(answer: Calculation, name: str) -> Interval:
    (found,) = [r for r in answer.results if r.name == name]
    return found.value


# ------------------------------------------------------------------- balance

# Drums: 15/16 in cylinders in 7 in drums, C* 3.0; discs: 1.75 in piston at 3.0 in, friction 0.38; rear C* 2.1.
# Assumptions.
DRUMS = Axles(0, 0, 15 / 16 * INCH, 7 * INCH, 0.75 * INCH, 7 * INCH, 0.700 * INCH)


def discs(rear: float) -> Axles:
    return Axles(1.75 * INCH, 3.0 * INCH, 0, 0, rear * INCH, 7 * INCH, 0.750 * INCH)


def test_leaving_the_rear_cylinders_shifts_the_balance_to_the_rear() -> None:
    left = hydraulics.balance(DRUMS, discs(0.750))
    assert not left.good
    assert result(left, "front share as made").middle == pytest.approx(69, abs=0.5)
    assert result(left, "front share planned").middle == pytest.approx(63, abs=0.5)
    assert result(left, "shift").middle == pytest.approx(-6, abs=0.5)
    assert result(left, "front torque per pressure").middle == pytest.approx(-24, abs=0.5)
    assert result(left, "pedal force for the same pressure").middle == pytest.approx(15, abs=0.5)
    assert any("Advised against" in s for s in left.says)
    assert any("0.38" in a for a in left.assumptions)
    assert not any("safe" in s for s in left.says)


def test_the_smaller_rear_cylinders_keep_the_front_share() -> None:
    changed = hydraulics.balance(DRUMS, discs(0.625))
    assert changed.good
    assert result(changed, "front share planned").middle == pytest.approx(71, abs=0.5)


def test_the_brakes_that_were_given_are_shown_and_those_that_are_not_there_are_left_out() -> None:
    model = Axles(0.9, 5, 0, 0, 0.9, 6)  # mm, a model's brakes: no size is too small to be shown
    shown = {(g.name, g.value.middle) for g in hydraulics.balance(model, model).given}
    sizes = {("front piston", 0.9), ("effective radius", 5), ("rear cylinder", 0.9), ("rear drum", 6)}
    assert shown == {(f"{name}, {when}", size) for name, size in sizes for when in ("as made", "planned")}


def test_an_open_radius_leaves_the_balance_open() -> None:
    wide = Axles(1.75 * INCH, Interval(2.4, 4.4) * INCH, 0, 0, 0.75 * INCH, 7 * INCH)
    answer = hydraulics.balance(DRUMS, wide)
    assert not answer.good
    assert answer.says[0].startswith("Not decided")
    assert answer.influences[0].name == "effective radius"


def test_stroke_pedal_and_residual_pressure() -> None:
    front, rear = Demand(1.75 * INCH, 0.5, 2), Demand(0.75 * INCH, 1.0, 4)
    answer = hydraulics.volume(0.700 * INCH, 1.10 * INCH, 5.0, [("front", front), ("rear", rear)])
    # By hand: pi/4 (44.45^2 x 1.0 + 19.05^2 x 4.0) = 2691.9 mm3 over 248.3 mm2 = 10.84 mm of 27.94 mm = 38.8 %.
    assert result(answer, "travel of the master's piston").middle == pytest.approx(10.84, abs=0.005)
    assert result(answer, "share of its stroke").middle == pytest.approx(38.8, abs=0.05)
    assert answer.good
    assert not hydraulics.residual(10 * PSI, discs=True).good
    assert hydraulics.residual(10 * PSI, discs=False).good
    assert hydraulics.residual(2 * PSI, discs=True).good


def test_a_travel_that_is_known_in_part_leaves_the_stroke_undecided() -> None:
    def says(*travel: float) -> str:
        answer = hydraulics.volume(17.78, 27.94, 5.0, [("front", Demand(44.45, Interval(*travel), 2))])
        assert answer.good is (travel[1] < 1.3)
        return answer.says[0]

    # By hand: a travel of 1 mm takes pi/4 44.45^2 x 2 = 3103.6 mm3, 12.5 mm of the master's way, 44.74 % of its stroke.
    assert says(0.5, 1.2) == "At most 60 % of the stroke is used."
    assert says(0.5, 1.5) == "Not decided: between 22 and 67 % of the stroke is used."
    assert says(1.4, 1.5) == "More than 60 % of the stroke is used: the pedal will be long."


# --------------------------------------------------------------------- shims


def stacks(answer: Calculation) -> dict[str, str]:
    return {listing.title: listing.rows[0][0] for listing in answer.listings}


@pytest.mark.parametrize(
    ("gap", "common", "washer"),
    [(68, "0.030 + 0.005 + 0.003", "0.030 + 0.002"), (47, "0.010 + 0.005 + 0.002", "0.005 + 0.003 + 0.003")],
)
def test_shims_by_both_rules(gap: float, common: str, washer: str) -> None:
    answer = shims.swivel(gap * THOU, BOX, washer=36 * THOU)
    assert stacks(answer) == {"Stacks by the common rule": common, "Stacks by the washer rule": washer}
    assert "0.0060 in" in answer.says[0]
    assert any(COMMON_PRACTICE in s and "0.030 in" in s for s in answer.sources)
    assert any("nip" in s for s in answer.says)
    assert any("stiff, smooth, no lift" in s for s in answer.says)


def test_without_a_washer_reading_it_is_asked_for() -> None:
    answer = shims.swivel(68 * THOU, BOX)
    assert answer.says[0].startswith("Measure the tab washer")
    assert len(answer.listings) == 1
    with pytest.raises(ValueError, match="smaller than"):
        shims.swivel(20 * THOU, BOX)


@pytest.mark.parametrize("teeth", [24, 25])
def test_a_metric_bore_without_a_minor_of_its_own_takes_that_of_the_inch_one_of_its_module(teeth: int) -> None:
    # ANSI B92.1: the internal minor diameter of a 30 degree spline with a flat root, side fit, is (N - 1)/P.
    inch = splines.female_end(splines.by_designation(teeth, 24, None))
    metric = splines.by_designation(teeth, None, 25.4 / 24)
    assert metric.internal_minor is None
    assert low(splines.female_end(metric).tip) == pytest.approx(low(inch.tip)) == pytest.approx((teeth - 1) * 25.4 / 24)
    assert splines.female_end(metric, minor=24.3).tip == 24.3


# ------------------------------------------------- what each answer must carry

ANSWERS: dict[str, Callable[[], Calculation]] = {
    "fit": lambda: fits.fit(25, "H7", "k6"),
    "limits": lambda: fits.limits(25, "g6"),
    "measured fit": lambda: fits.measured_fit(Interval(25, 25.02), Interval(24.99, 25.01)),
    "press fit": lambda: fits.press_fit(25, Interval(0.001, 0.035), 50, 20, Interval(0.1, 0.15)),
    "bearing": lambda: bearings.dimensions("30205"),
    "bearing float": lambda: bearings.pair(12.62, 11.18, (Interval(17.46, 17.5), 16.76), (17.46, 16.76)),
    "thread": lambda: threads.sizes("3/8-24"),
    "threads": lambda: threads.pair("3/8-24", "M10x1"),
    "spline": lambda: splines.sizes(splines.by_designation(25, 24, None)),
    "splines": lambda: splines.pair(
        splines.male_end(splines.by_designation(25, None, 1.0)),
        splines.female_end(splines.by_designation(25, 24, None)),
    ),
    "flat jaws": lambda: splines.flat_jaws(27.4, 25),
    "over pins": lambda: splines.over_pins(25, 25.4 / 24, 30, 2.0, Interval(29.0, 29.1)),
    "rim": lambda: wheel.rim(13),
    "bolt circle": lambda: wheel.bolt_circle(4, [ChordReading(Interval(70.5, 71.5))]),
    "stud": lambda: wheel.stud(Interval(29, 31), 8, 15, 12, 1.5),
    "caliper room": lambda: wheel.caliper_room(113, Interval(109, 110), 10, 4, 3.5),
    "track": lambda: wheel.track(3.2, 0.0),
    "balance": lambda: hydraulics.balance(DRUMS, discs(0.750)),
    "pedal": lambda: hydraulics.pedal(360, 8, 30, {"wheel": 32}),
    "volume": lambda: hydraulics.volume(17.78, 27.94, 5, [("front", Demand(44.45, Interval(0.3, 0.5), 2))]),
    "residual": lambda: hydraulics.residual(10 * PSI, True),
    "pad radius": lambda: hydraulics.radius(100, 150),
    "shims": lambda: shims.swivel(Interval(1.7, 1.8), BOX, washer=0.9),
    "bolt": lambda: fasteners.check_torque("M10x1.5", "8.8", 50, "a manual, page 41"),
    "proof": lambda: fasteners.proof("3/8-24", "SAE 5"),
    "next slot": lambda: fasteners.next_slot(6, 1.5875),
    "flare": lambda: tubes.flare(Interval(6.85, 6.95)),
    "hose": lambda: tubes.hose(4.76),
}


@pytest.mark.parametrize("name", ANSWERS)
def test_an_answer_carries_its_caution_and_its_sources(name: str) -> None:
    answer = ANSWERS[name]()
    assert CAUTION in answer.cautions
    assert any("(licensed practice)" in c and "maker's manual" in c for c in answer.cautions)
    assert answer.sources
    assert answer.question.endswith("?")
    assert answer.results or answer.says
    if answer.influences:
        assert sum(i.share for i in answer.influences) == pytest.approx(100)
        assert [i.share for i in answer.influences] == sorted((i.share for i in answer.influences), reverse=True)


@pytest.mark.parametrize("name", ANSWERS)
def test_no_answer_states_a_torque_without_a_source(name: str) -> None:
    answer = ANSWERS[name]()
    torques = [a for a in (*answer.results, *answer.given) if a.unit == "N m"]
    # The torque at which a press fit slips is no tightening torque; the one of a bolt is the reader's own, with its
    # source.
    assert {a.name for a in torques} <= {"torque at which it slips", "torque"}
    assert all(a.remark for a in torques if a.name == "torque")


def test_a_torque_without_a_source_is_refused() -> None:
    with pytest.raises(fasteners.NoSourceError):
        fasteners.check_torque("M10x1.5", "8.8", 50, "  ")


def test_a_torque_that_breaks_the_bolt_is_said_to() -> None:
    assert not fasteners.check_torque("M6x1", "8.8", 50, "a manual, page 41").good


@pytest.mark.parametrize(
    ("torque", "factor", "said", "good"),
    # 8.8 in M10x1.5: 58.0 mm2 x 580 MPa = 33.6 kN (ISO 898-1), by T = K F d with K from 0.15 to 0.25
    [
        (40, None, "Between 48 and 79 % of the proof load.", True),
        (60, None, "May reach above the proof load with slippery threads", False),
        (90, None, "Above the proof load for every K taken", False),
        (50, 0.2, "Takes 74 % of the proof load.", True),
    ],
)
def test_a_torque_s_share_of_the_proof_load_is_said(torque: float, factor: float | None, said: str, good: bool) -> None:
    bolt = ("M10x1.5", "8.8", torque, "a manual, page 41")
    answer = fasteners.check_torque(*bolt) if factor is None else fasteners.check_torque(*bolt, factor)
    assert answer.says[0].startswith(said) and answer.good is good


# ------------------------------------------------------------ single answers


def test_a_taper_pair_cannot_be_chosen_on_paper() -> None:
    width = Interval(17.4625, 17.6625)
    answer = bearings.pair(0.497 * INCH, 0.440 * INCH, (width, 16.764), (width, 16.764))
    assert not answer.good
    assert [r.name for r in answer.results] == ["float"]
    assert {i.name for i in answer.influences} == {"assembled width T, inner", "assembled width T, outer"}
    measured = bearings.pair(0.497 * INCH, 0.440 * INCH, (17.4625, 16.764), (17.4625, 16.764))
    assert measured.good
    assert result(measured, "float").middle / INCH == pytest.approx(0.002, abs=1e-6)


def test_bolt_circles_that_cannot_be_told_apart_are_all_named() -> None:
    close = wheel.bolt_circle(5, [ChordReading(Interval.around(67.39, 0.5))])
    assert [row[0] for row in close.listings[0].rows] == ["114.3 mm", "115 mm"]
    clear = wheel.bolt_circle(4, [ChordReading(Interval.around(70.711, 0.5))])
    assert [row[0] for row in clear.listings[0].rows] == ["100 mm"]
    against = wheel.bolt_circle(4, [ChordReading(Interval(70.6, 70.8)), ChordReading(Interval(71.7, 71.9))])
    assert not against.good
    assert against.results == ()


def test_both_chords_of_five_bolts_sharpen_the_circle() -> None:
    alone = result(wheel.bolt_circle(5, [ChordReading(Interval.around(65.832, 0.5))]), "bolt circle")
    both = result(
        wheel.bolt_circle(
            5, [ChordReading(Interval.around(65.832, 0.5)), ChordReading(Interval.around(106.518, 0.5), 2)]
        ),
        "bolt circle",
    )
    assert both in alone
    assert both.width < alone.width
    assert 112.0 in both


def test_weights_in_the_rim_take_the_room() -> None:
    with_weights = wheel.caliper_room(114.0, 109.6, 20.0, 4.0, weights=3.5)
    assert not with_weights.good
    assert any("weights" in s for s in with_weights.says)
    assert wheel.caliper_room(114.0, 109.6, 20.0, 4.0).good


def test_a_stack_and_an_uncertainty_by_hand() -> None:
    answer = measuring.stack([StackTerm("a", 10, 0.1, -0.1), StackTerm("b", -5, 0.2, 0.0)])
    worst = result(answer, "worst case")
    assert (worst.low, worst.high) == pytest.approx((4.9, 5.3))
    found = measuring.uncertainty([Component("a", 3.0), Component("b", 4.0)], "mm")
    assert result(found, "combined standard uncertainty").middle == 5.0
    assert [i.name for i in found.influences] == ["b", "a"]


# ------------------------------------------------------------------ template


def test_the_template_is_drawn_at_full_size() -> None:
    template = bolt_circle_template(4, 101.6, 10.0, 50.8)
    root = ElementTree.fromstring(template_drawing.svg(template))
    assert root.attrib["width"] == f"{template.width:.3f}mm"
    assert root.attrib["viewBox"] == f"0 0 {template.width:.3f} {template.height:.3f}"
    space = "{http://www.w3.org/2000/svg}"
    circles = [
        (float(c.attrib["cx"]), float(c.attrib["cy"]), float(c.attrib["r"])) for c in root.iter(f"{space}circle")
    ]
    holes = [c for c in circles if c[2] == 5.0]
    assert len(holes) == 4
    across = ((holes[0][0] - holes[2][0]) ** 2 + (holes[0][1] - holes[2][1]) ** 2) ** 0.5
    assert across == pytest.approx(101.6, abs=2e-3)
    assert any(r == 25.4 for _, _, r in circles)
    paths = [p.attrib["d"] for p in root.iter(f"{space}path")]
    lengths = [abs(float(m[3]) - float(m[1])) for p in paths if (m := re.match(r"M([\d.]+) ([\d.]+)L([\d.]+) ", p))]
    assert any(length == pytest.approx(RULER) for length in lengths)


def test_the_pdf_is_whole_and_of_full_size() -> None:
    template = bolt_circle_template(5, 114.3, 12.0)
    data = template_drawing.pdf(template)
    assert data == template_drawing.pdf(template)
    start = int(data.rsplit(b"startxref\n", 1)[1].split()[0])
    assert data[start : start + 4] == b"xref"
    for number, place in enumerate(re.findall(rb"(\d{10}) 00000 n", data[start:]), 1):
        assert data[int(place) :].startswith(b"%d 0 obj" % number)
    box = re.search(rb"/MediaBox \[0 0 ([\d.]+) ([\d.]+)\]", data)
    assert box is not None
    assert float(box[1]) / 72 * 25.4 == pytest.approx(template.width, abs=1e-3)


def test_holes_that_run_into_each_other_are_refused() -> None:
    with pytest.raises(ValueError, match="run into"):
        bolt_circle_template(4, 20.0, 30.0)
