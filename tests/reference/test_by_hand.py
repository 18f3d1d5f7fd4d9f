"""The calculations by hand against published numbers: through the same functions that the commands use."""

from __future__ import annotations

import pytest

from knockon.graph.formulas.interval import Interval
from knockon.graph.quantity.thread_names import INCH
from knockon.queries.workshop import bearings, fasteners, fits, hydraulics, measuring, pads, splines, threads, wheel
from knockon.queries.workshop.answer import Calculation
from knockon.queries.workshop.wheel import ChordReading

LBF = 4.4482216152605
LBF_IN = LBF * INCH / 1000
PSI = 0.006894757293168


def result(answer: Calculation, name: str) -> float:
    (found,) = [r for r in answer.results if r.name == name]
    return found.value.middle


def test_angle_of_a_sector_pad() -> None:
    # Scilab-TBC-Uploads folder 764, EX12.12: 1500 N m, 100 to 150 mm, mu 0.35, 2 MPa, two pads: 77.543160 degrees.
    assert result(pads.angle_for(1500.0, 0.35, 100.0, 150.0, 2.0), "angle of each pad") == pytest.approx(77.543160)


def test_a_caliper_in_inches() -> None:
    # Budynas and Nisbett type example 16-3, from memory: 13,000 lbf in over two pads; computed: 315.75 psi, 3747.7 lbf.
    found = pads.load(13_000 * LBF_IN, 0.37, 3.875 * INCH, 5.5 * INCH, 108.0)
    assert result(found, "force of one pad, worn in") / LBF == pytest.approx(3747.7, abs=0.1)
    assert result(found, "greatest pressure, worn in") / PSI == pytest.approx(315.75, abs=0.05)
    assert result(found, "radius of the force, new") / INCH == pytest.approx(4.0640, abs=5e-5)


def test_two_pads_and_a_pedal() -> None:
    # engineeringtoolbox.com, disk brakes: T = 2 mu F r; an older copy of the page lacks the 2.
    found = pads.disc(7.0, 44.45, 76.2, 0.38)
    force = result(found, "clamp force")
    assert result(found, "torque") == pytest.approx(2 * 0.38 * force * 0.0762)
    assert result(found, "torque") != pytest.approx(0.38 * force * 0.0762)
    # cordonline.net/michigan/b/b_19.htm: 360 N x 8 on 3.0 cm: 407.44 N/cm2.
    back = hydraulics.pedal_for(4.0744, 8.0, 30.0, {"piston": 32.0})
    assert result(back, "pedal force") == pytest.approx(360, abs=0.05)
    assert result(back, "force of one piston, piston") == pytest.approx(3276.8, abs=0.1)


@pytest.mark.parametrize(("grip", "ratio"), [(0.1, 0.792), (0.6, 1.209)])
def test_load_ratio_while_braking(grip: float, ratio: float) -> None:
    # Bevan, Theory of Machines, ch. 8 ex. 6 p. 264: 9.5 ft, 4 ft, 2 ft; ideal front to rear computed from its formula.
    share = result(pads.axle_loads(9.5, 4.0, 2.0, grip), "front share of the load")
    assert share / (100 - share) == pytest.approx(ratio, abs=5e-4)


def test_preload_to_torque_and_back() -> None:
    # Jindal, Machine Design, ex. 9-6 p. 269 (Python-Textbook-Companions Ch9_2.ipynb): M20, 120 kN, K 0.18 -> 432 N m.
    found = fasteners.check_preload("M20x2.5", "12.9", 120_000.0, "Jindal ex. 9-6", 0.18)
    assert result(found, "torque that goes with it") == pytest.approx(432)
    back = fasteners.check_torque("M20x2.5", "12.9", 432.0, "Jindal ex. 9-6", 0.18)
    assert result(back, "preload") == pytest.approx(120_000)
    # ex. 9-3 p. 267: M18x2.5, mu 0.15 and 0.13 -> K 0.18343.
    factor = fasteners.factor_from_friction("M18x2.5", 0.15, 0.13)
    assert factor == pytest.approx(0.18343, abs=1e-4)
    with pytest.raises(fasteners.NoSourceError):
        fasteners.check_preload("M20x2.5", "12.9", 120_000.0, "  ")


def test_stretch_and_turn_by_hand() -> None:
    # Hooke and the screw's geometry, computed: F L/(A E) and 360 x/P with the modulus of steel.
    joint = fasteners.Joint(length=50.0, pull=5_000.0, share=0.25)
    found = fasteners.check_preload("M10x1.5", "8.8", 20_000.0, "computed", joint=joint)
    area = 57.99
    assert result(found, "stretch of the bolt") == pytest.approx(20_000 * 50 / (area * 210_000), rel=1e-3)
    assert result(found, "turn from snug") == pytest.approx(360 * 20_000 * 50 / (area * 210_000) / 1.5, rel=1e-3)
    assert result(found, "stress under that pull") == pytest.approx(21_250 / area, rel=1e-3)


def test_interference_for_a_pressure() -> None:
    # metricmech.com, the other way round: 63 MPa on 25 mm in a 50 mm hub takes 0.020 mm.
    assert result(fits.interference(25.0, 63.0, 50.0), "interference") == pytest.approx(0.020)


def test_a_shrunk_ring() -> None:
    # mathalino.com problem 267: 55 K, 12 mm on 2 m, 200 GPa: 1.5444 MPa. Steel is taken as 210 GPa here.
    found = fits.shrink_ring(2000.0, 12.0, 55.0)
    assert result(found, "pressure on the wheel") * 200 / 210 == pytest.approx(1.5444, abs=5e-5)


def test_classes_for_limits() -> None:
    # ISO 286-2: 25 H7 is +21/0, 25 G7 +28/+7; 25 H8 is +33/0 and does not lie within 30 um.
    found = fits.classes(25.0, Interval(25.0, 25.030), hole=True)
    names = [row[0] for row in found.listings[0].rows]
    assert {"H7", "G7", "H6"} <= set(names) and "H8" not in names
    assert found.listings[0].rows[names.index("G7")] == ("G7", "25.007 mm", "25.028 mm")


def test_spline_between_pins_by_its_own_formula() -> None:
    # ANSI B92.1 appendix (from memory), computed: wear adds to what the formula gives.
    basic = result(splines.between_pins(24, 1.0, 30.0, 1.7, 22.0), "between pins at basic space width")
    assert result(splines.between_pins(24, 1.0, 30.0, 1.7, basic + 0.1), "more than that by") == pytest.approx(0.1)
    # Less between the pins than at the basic width: the spaces are narrower than basic, and the sign says so.
    assert result(splines.between_pins(24, 1.0, 30.0, 1.7, basic - 0.05), "more than that by") == pytest.approx(-0.05)


def test_turns_to_half_a_pitch() -> None:
    # Computed from the pitches: 3/8-24 against M10x1 8.6 turns, 1/2-20 against M12x1.25 31 turns.
    assert result(threads.pair("3/8-24", "M10x1"), "turns to half a pitch") == pytest.approx(8.6, abs=0.05)
    assert result(threads.pair("1/2-20", "M12x1.25"), "turns to half a pitch") == pytest.approx(31, abs=0.5)


def test_a_wheel_on_another_hub() -> None:
    # Geometry: 4 x 100 on 4 x 101.6 is off by 0.8 mm at each hole.
    found = wheel.bolt_circle(4, [ChordReading(Interval(70.711, 70.711))], 101.6)
    assert result(found, "each hole off by") == pytest.approx(-0.8, abs=1e-3)


def test_radial_play_of_a_taper_bearing() -> None:
    # ISO 281, from memory: e = 1.5 tan a, so the radial play is the axial one times e/1.5.
    found = bearings.pair(12.6, 11.0, (17.25, 16.5), (17.25, 16.5), factor_e=0.375)
    assert result(found, "radial play that goes with it") == pytest.approx(0.1 * 0.375 / 1.5)


@pytest.mark.parametrize(("size", "good"), [((26.06, 26.14), True), ((25.95, 26.15), False), ((27.0, 27.1), False)])
def test_within_a_window(size: tuple[float, float], good: bool) -> None:
    # Geometry of intervals: 26.05 lies 0.05 from the nearer end of 26.0..26.2.
    found = measuring.within(Interval(*size), Interval(26.0, 26.2))
    assert found.good is good
    assert result(measuring.within(26.05, Interval(26.0, 26.2)), "greatest uncertainty") == pytest.approx(0.05)
