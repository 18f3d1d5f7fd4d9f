"""Press and shrink fits against published worked examples. Each check names its source."""

import math

import pytest

from knockon.graph.formulas.interval import low
from knockon.graph.formulas.limits_and_fits import fit
from knockon.graph.formulas.press_fits import (
    Ring,
    heating_for,
    hub_hoop_stress,
    interference_for,
    joint_pressure,
    press_force,
    shrinkage_pressure,
    slip_torque,
)


def test_solid_shaft_in_steel_hub() -> None:
    # metricmech.com worked example: 25.020 in 25.000, hub 50, length 20, E 210 GPa: 63 MPa, hoop 105 MPa, about 9,900
    # N at mu 0.1.
    pressure = joint_pressure(0.020, Ring(0, 25), Ring(25, 50))
    assert low(pressure) == pytest.approx(63.0, abs=0.05)
    assert low(hub_hoop_stress(pressure, 25, 50)) == pytest.approx(105.0, abs=0.1)
    force = press_force(pressure, 25, 20, 0.1)
    assert low(force) == pytest.approx(9896, abs=1)
    assert low(slip_torque(pressure, 25, 20, 0.1)) == pytest.approx(low(force) * 12.5)


def test_compound_tubes() -> None:
    # Bhavikatti, Strength of Materials (Python-Textbook-Companions, chapter_8): tubes 200/250 and 250/300, 30 MPa, E
    # 2e5: radial shrinkage allowance 0.189 mm.
    inner, outer = Ring(200, 250, 2e5, 0.3), Ring(250, 300, 2e5, 0.3)
    allowance = low(interference_for(30, inner, outer))
    assert allowance / 2 == pytest.approx(0.189, abs=5e-4)


def test_h6_m6_hub() -> None:
    # Computed by Lame's formula: 60 H6/m6, hub 100, greatest interference 30 um, E 210 GPa: 33.6 MPa, hoop 71.4 MPa.
    greatest = -fit(60, "H6", "m6").clearance.low / 1000
    pressure = low(joint_pressure(greatest, Ring(0, 60), Ring(60, 100)))
    assert pressure == pytest.approx(33.6, abs=0.05)
    assert low(hub_hoop_stress(pressure, 60, 100)) == pytest.approx(71.4, abs=0.05)


def test_same_material_short_form() -> None:
    # The short form for a solid shaft of the same material: p = E delta/(2 d) (do2 - d2)/do2 (several pages).
    short = 210_000 * 0.02 / (2 * 25) * (50**2 - 25**2) / 50**2
    assert low(joint_pressure(0.02, Ring(0, 25), Ring(25, 50))) == pytest.approx(short)


def test_shrunk_tyre() -> None:
    # mathalino.com problem 267: 80 to 25 C, tyre 12 x 90 mm on a 2 m wheel, 11.7e-6, 200 GPa: P
    # 138,996 N, p 1.5444 MPa.
    stress, pressure = shrinkage_pressure(55, 200_000, 11.7e-6, 2000, 12)
    assert low(stress) * 12 * 90 == pytest.approx(138_996, abs=1)
    assert low(pressure) == pytest.approx(1.5444, abs=5e-5)


def test_tyre_forced_over_a_wheel() -> None:
    # mathalino.com problem 208, inputs as printed: 10 x 80, 1500.0 on 1500.5, mu 0.3; results computed: 66.67 MPa,
    # 0.8889 MPa, 75.4 kN m. Thin ring on a rigid wheel.
    stress = 200_000 * 0.5 / 1500
    pressure = 2 * 10 * stress / 1500
    assert (stress, pressure) == pytest.approx((66.67, 0.8889), abs=5e-3)
    assert low(slip_torque(pressure, 1500, 80, 0.3)) / 1e6 == pytest.approx(75.4, abs=0.05)


def test_heating() -> None:
    # Wentzell, Machine Design, ex. 6.3 p. 122 (Python-Textbook-Companions): 0.01204 in over 5 in, 6.5e-6 per F:
    # 370.46 F.
    assert low(heating_for(0.01204, 5, 6.5e-6)) == pytest.approx(370.46, abs=0.01)
    # Computed: 50 H7/p6 with 20 um to spare: (42 + 20 um)/(11.7e-6 x 50) = 106 K.
    greatest = -fit(50, "H7", "p6").clearance.low / 1000
    assert low(heating_for(greatest + 0.020, 50)) == pytest.approx(106, abs=0.1)


def test_no_interference_no_pressure_and_nonsense_refused() -> None:
    assert joint_pressure(-0.01, Ring(0, 25), Ring(25, 50)) == 0
    with pytest.raises(ValueError, match="one in the other"):
        joint_pressure(0.01, Ring(0, 50), Ring(50, 25))
    for shaft, hub in ((Ring(25, 25), Ring(25, 50)), (Ring(0, 25), Ring(25, 25))):  # a ring of no thickness
        with pytest.raises(ValueError, match="one in the other"):
            joint_pressure(0.01, shaft, hub)
    assert math.isfinite(low(joint_pressure(0.01, Ring(0, 25), Ring(25, 26))))
