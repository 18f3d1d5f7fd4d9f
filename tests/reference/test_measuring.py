"""Uncertainty and stacks against published worked examples. Each check names its source."""

import math

import pytest

from knockon.graph.formulas.interval import Interval
from knockon.graph.formulas.measuring import (
    Component,
    StackTerm,
    combine,
    must_measure,
    needed_uncertainty,
    stack,
    standard_uncertainty,
)

# GUM H.1, end gauge: contributions in nm, inputs read at gtc.readthedocs.io/en/stable/API/GUM_H1.html, recomputed
# with GTC 1.5.1: uc 31.66 nm (GUM prints 32, from memory), 16.75 degrees of freedom (GUM: 16), U99 92 nm (GUM: 93
# with k 2.92, from memory).
END_GAUGE = [
    Component("standard", 25.0, 1, 18),
    Component("difference, repeated observations", 5.8, 1, 24),
    Component("difference, random effects", 3.9, 1, 5),
    Component("difference, systematic effects", 6.7, 1, 8),
    Component("difference of expansion", 2.887, 1, 50),
    Component("difference of temperature", 16.599, 1, 2),
]


def test_gum_h1_end_gauge() -> None:
    found = combine(END_GAUGE)
    assert found.uncertainty == pytest.approx(31.66, abs=0.03)
    assert round(found.uncertainty) == 32
    assert found.freedom == pytest.approx(16.75, abs=0.15)
    assert int(found.freedom) == 16
    assert found.expanded(2.92) == pytest.approx(92.5, abs=0.6)
    assert found.shares[0][0] == "standard"
    assert math.fsum(s for _, s in found.shares) == pytest.approx(1)


def test_gum_h1_by_hand() -> None:
    by_hand = combine([Component(n, u) for n, u in zip("abcd", (25, 9.682, 2.887, 16.599), strict=True)])
    assert by_hand.uncertainty == pytest.approx(31.664, abs=5e-4)


def test_micrometer() -> None:
    # talalspecialbolt.com: 0.00033, 0.00029, 0.00025 give 0.00051, expanded 0.0010 mm.
    found = combine([Component("a", 0.00033), Component("b", 0.00029), Component("c", 0.00025)])
    assert found.uncertainty == pytest.approx(0.00051, abs=5e-6)
    assert found.expanded() == pytest.approx(0.0010, abs=5e-5)


def test_shapes() -> None:
    # GUM 4.3: rectangle a/sqrt 3, arcsine a/sqrt 2.
    assert standard_uncertainty(1.0) == pytest.approx(1 / math.sqrt(3))
    assert standard_uncertainty(1.0, "arcsine") == pytest.approx(1 / math.sqrt(2))


# Dimensioning and Tolerancing Handbook (McGraw-Hill) ch. 9, motor example, as coded in github phcreery/dimstack
# 2da18ff3, tests/test_McGrawHill.py; recomputed by hand. Inches.
MOTOR = [
    (-0.375, 0, -0.031),
    (0.032, 0.002, -0.002),
    (0.060, 0.003, -0.003),
    (0.438, 0, -0.015),
    (0.120, 0.005, -0.005),
    (1.500, 0.010, -0.004),
    (0.120, 0.005, -0.005),
    (0.438, 0, -0.015),
    (0.450, 0.007, -0.007),
    (-3.019, 0.012, 0),
    (0.300, 0.030, -0.030),
]


def test_motor_stack() -> None:
    # The two negative dimensions are printed with the tolerance of their length; turned round they are +0.031/0 and
    # 0/-0.012.
    terms = [
        StackTerm(str(i), nominal, -lower if nominal < 0 else upper, -upper if nominal < 0 else lower)
        for i, (nominal, upper, lower) in enumerate(MOTOR)
    ]
    found = stack(terms)
    assert found.mean == pytest.approx(0.0615, abs=5e-5)
    assert found.worst == pytest.approx(0.0955, abs=5e-5)
    assert found.rss == pytest.approx(0.03808, abs=5e-6)
    assert found.modified == pytest.approx(0.05047, abs=5e-6)
    assert found.factor == pytest.approx(1.3255, abs=5e-5)
    for sort, ends in {"worst": (-0.034, 0.157), "rss": (0.02342, 0.09958), "modified": (0.011, 0.112)}.items():
        interval = found.interval(sort)
        assert (interval.low, interval.high) == pytest.approx(ends, abs=6e-5)


def test_how_well_must_i_measure() -> None:
    # Geometry of intervals: 100 and 101.6 are 1.6 apart, so plus or minus 0.8 is the limit.
    assert must_measure(100.0, 101.6, 0.5).decides
    assert not must_measure(100.0, 101.6, 0.8).decides
    assert must_measure(Interval(99.9, 100.1), Interval(101.5, 101.7)).gap == pytest.approx(1.4)
    assert needed_uncertainty(9.95, Interval(9.9, 10.1)) == pytest.approx(0.05)
    assert needed_uncertainty(9.0, Interval(9.9, 10.1)) == 0


# github phcreery/dimstack README, shaft and bearing stack (inputs and results printed there; recomputed by hand). mm.
BEARINGS = [
    ("shaft", 208, 0.036, -0.036),
    ("retainer ring", -1.75, 0, -0.06),
    ("bearing", -23, 0, -0.12),
    ("sleeve", 20, 0.026, -0.026),
    ("case", -200, 0.145, -0.145),
    ("sleeve", 20, 0.026, -0.026),
    ("bearing", -23, 0, -0.12),
]


def test_shaft_and_bearing_stack() -> None:
    found = stack([StackTerm(*row) for row in BEARINGS])
    assert found.mean == pytest.approx(0.1)
    assert found.worst == pytest.approx(0.383)
    assert found.rss == pytest.approx(0.17825, abs=5e-6)
    assert found.modified == pytest.approx(0.24046, abs=5e-6)
