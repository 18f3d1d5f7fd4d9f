"""Wheels and bolt circles against published values. Each check names its source."""

import math

import pytest

from knockon.graph.formulas.interval import Interval, low, width
from knockon.graph.formulas.wheels import (
    adjacent_spacing,
    bolt_circle,
    chord_circle,
    circles_within,
    nominal_rim_diameter,
    specified_rim_diameter,
)
from knockon.graph.quantity.thread_names import INCH

# UN Regulation 30, 2.17: 15 -> 381 and 16 -> 406 read on a tyre page, the others from memory; all are 25.4 x code
# rounded.
NOMINAL = {10: 254, 12: 305, 13: 330, 14: 356, 15: 381, 16: 406}


@pytest.mark.parametrize(("code", "diameter"), NOMINAL.items())
def test_nominal_rim_diameter(code: int, diameter: int) -> None:
    assert nominal_rim_diameter(code) == diameter


# tyres.wordpress.com/2006/12/11/with-rims-inches-rules: 14 -> 13.968 in, tolerance 13.9523 to 13.9838 in. The mm
# values are computed from it.
def test_specified_rim_diameter() -> None:
    assert specified_rim_diameter(14) / INCH == pytest.approx(13.968)
    assert 13.9523 < specified_rim_diameter(14) / INCH < 13.9838


@pytest.mark.parametrize(
    ("code", "diameter"), [(10, 253.2), (12, 304.0), (13, 329.4), (14, 354.8), (15, 380.2), (16, 405.6)]
)
def test_specified_rim_diameter_in_mm(code: int, diameter: float) -> None:
    assert specified_rim_diameter(code) == pytest.approx(diameter, abs=0.051)
    assert specified_rim_diameter(code) != pytest.approx(nominal_rim_diameter(code), abs=0.3)


def test_bolt_circle_worked_example() -> None:
    # 0685.com/.../45614: six holes, mean spacing 25.00 cm, bolt circle 50.00 cm.
    assert low(bolt_circle(250.0, 6)) == pytest.approx(500.0)


@pytest.mark.parametrize(("holes", "factor"), [(4, 1.41421), (5, 1.70130), (6, 2.0)])
def test_bolt_circle_factors(holes: int, factor: float) -> None:
    # Geometry: PCD = s / sin(180/n).
    assert low(bolt_circle(1.0, holes)) == pytest.approx(factor, abs=1e-5)
    assert width(bolt_circle(Interval(69.5, 70.5), holes)) == pytest.approx(factor, abs=1e-5)


def test_skip_one_chord() -> None:
    assert low(chord_circle(1.0, 5, 2)) == pytest.approx(1.05146, abs=1e-5)
    assert low(chord_circle(106.518, 5, 2)) == pytest.approx(112, abs=1e-3)
    assert low(chord_circle(108.706, 5, 2)) == pytest.approx(114.3, abs=1e-3)


# Adjacent centre distance s in mm, computed from the geometry.
@pytest.mark.parametrize(
    ("holes", "circle", "spacing"),
    [
        (4, 100, 70.711),
        (4, 101.6, 71.842),
        (4, 108, 76.368),
        (5, 100, 58.779),
        (5, 108, 63.481),
        (5, 112, 65.832),
        (5, 114.3, 67.184),
        (5, 115, 67.595),
    ],
)
def test_adjacent_spacing(holes: int, circle: float, spacing: float) -> None:
    assert low(adjacent_spacing(circle, holes)) == pytest.approx(spacing, abs=6e-4)
    assert low(bolt_circle(spacing, holes)) == pytest.approx(circle, abs=1.1e-3)


def test_what_half_a_millimetre_on_the_spacing_can_tell_apart() -> None:
    four = low(adjacent_spacing(101.6, 4)) - low(adjacent_spacing(100, 4))
    five = low(adjacent_spacing(115, 5)) - low(adjacent_spacing(114.3, 5))
    assert four == pytest.approx(1.131, abs=6e-4)
    assert five == pytest.approx(0.41, abs=2e-3)
    near_five = bolt_circle(Interval.around(67.39, 0.5), 5)
    assert circles_within(near_five, [114.3, 115.0]) == [114.3, 115.0]
    near_four = bolt_circle(Interval.around(70.711, 0.5), 4)
    assert circles_within(near_four, [100.0, 101.6]) == [100.0]


# Inch circles are exact; 4.75 in = 120.65 mm also at northhantstyres.com. 4.25 in is not 108.0 mm.
@pytest.mark.parametrize(
    ("inches", "mm"), [(4, 101.6), (4.25, 107.95), (4.5, 114.3), (4.75, 120.65), (5, 127.0), (5.5, 139.7)]
)
def test_inch_bolt_circles(inches: float, mm: float) -> None:
    assert inches * INCH == pytest.approx(mm, abs=1e-9)
    assert math.isclose(4.25 * INCH, 108.0, abs_tol=0.01) is False
