"""Brake torque, hydraulics and balance against published worked examples. Each check names its source."""

import math

import pytest

from knockon.graph.formulas.brakes import (
    Balance,
    Pad,
    clamp_torque,
    effective_radius,
    pad_angle_for,
    pad_load,
    piston_area,
    stopping_distance,
)
from knockon.graph.formulas.hydraulics import (
    PSI,
    Demand,
    fluid_volume,
    line_pressure,
    master_travel,
    pedal_force_for,
    pedal_force_ratio,
    pedal_travel,
    piston_force,
)
from knockon.graph.interval import low


def test_sector_pad_angle() -> None:
    # Scilab-TBC-Uploads folder 764, EX12.12: 1500 N m, Ro 150, Ri 100, mu 0.35, 2 MPa mean, two pads: 77.543160
    # degrees.
    assert pad_angle_for(1_500_000, 0.35, 100, 150, 2.0) == pytest.approx(77.543160, abs=1e-5)
    radius = low(effective_radius(100, 150, worn_in=False))
    assert radius == pytest.approx(126.667, abs=5e-4)
    assert 1_500_000 / 2 / 0.35 / radius == pytest.approx(16917.3, abs=0.05)
    assert 1_500_000 / 2 / 0.35 / radius / 2.0 == pytest.approx(8458.65, abs=0.01)  # mm2 of each pad, computed


def test_caliper_with_two_cylinders() -> None:
    # Budynas and Nisbett type example 16-3: inputs and answers from memory. 13,000 lbf in over two pads, inches and
    # psi.
    pad = Pad(3.875, 5.50, 108)
    worn = pad_load(pad, 6500, 0.37)
    assert worn.pressure == pytest.approx(315.75, abs=0.05)
    assert worn.force == pytest.approx(3747.7, abs=0.1)
    assert (worn.effective_radius, worn.force_radius) == pytest.approx((4.6875, 4.0237), abs=5e-5)
    assert worn.force / low(piston_area(1.5)) == pytest.approx(2120.8, abs=0.1)
    even = pad_load(pad, 6500, 0.37, worn_in=False)
    assert (even.pressure, even.force) == pytest.approx((258.43, 3710.6), abs=0.05)
    assert (even.effective_radius, even.force_radius) == pytest.approx((4.7344, 4.0640), abs=5e-5)
    assert even.force / low(piston_area(1.5)) == pytest.approx(2099.8, abs=0.1)


def test_caliper_metric_variant() -> None:
    # The same problem in metric (problem text read; answers computed): ri 100, ro 140, 110 degrees, f 0.4, one 40 mm
    # piston a pad, 1350 N m.
    load = pad_load(Pad(100, 140, 110), 675_000, 0.4)
    assert load.pressure == pytest.approx(1.8312, abs=5e-5)
    assert load.force == pytest.approx(14_062.5, abs=0.05)
    assert load.effective_radius == 120
    assert load.force / low(piston_area(40)) == pytest.approx(11.19, abs=5e-3)


def test_a_pad_without_a_hole_acts_at_two_thirds_of_its_radius_while_it_is_new() -> None:
    # Flat pivot under uniform pressure, machine design texts: T = 2/3 f F R; worn in 1/2 f F R. From memory.
    assert low(effective_radius(0, 90, worn_in=False)) == pytest.approx(60)
    assert low(effective_radius(0, 90)) == pytest.approx(45)


@pytest.mark.parametrize(("inner", "outer"), [(-0.5, 90.0), (-1.0, 90.0), (90.0, 90.0), (90.1, 90.0)])
def test_what_is_no_ring_has_no_effective_radius(inner: float, outer: float) -> None:
    for worn_in in (True, False):
        with pytest.raises(ValueError, match="inner radius"):
            effective_radius(inner, outer, worn_in)


def test_two_pads_make_twice_the_torque() -> None:
    # engineeringtoolbox.com/disk-brakes-d_1808.html: T = 2 mu F r. An older copy of that page prints T = mu F r: a
    # factor 2 too small.
    assert low(clamp_torque(1000, 100, 0.4)) == 2 * 0.4 * 1000 * 100
    assert low(clamp_torque(1000, 100, 0.4)) != 0.4 * 1000 * 100


def test_vocational_pedal_problem() -> None:
    # cordonline.net/michigan/b/b_19.htm: 360 N x 8 = 2880 N, 3.0 cm master, 3.2 cm piston: 3277.4 N with pi 3.14;
    # 3276.8 N exactly. The page prints "/" for the last multiplication: dividing gives another number.
    pressure = line_pressure(360, 8, 30)
    assert low(pressure) * 100 == pytest.approx(407.44, abs=0.005)  # N/cm2
    assert low(piston_force(pressure, 32)) == pytest.approx(3276.8, abs=0.05)
    assert low(piston_force(pressure, 32)) == pytest.approx(3277.4, rel=3e-4)
    assert low(pressure) * 100 / (low(piston_area(32)) / 100) != pytest.approx(3276.8, rel=0.5)


def test_vocational_area_problems() -> None:
    # cordonline.net/michigan/b/b_21.htm: 75 psi x 0.5 in2 = 37.5 lb; 125 x 7 = 875 lb; 125 x 0.75 = 93.75 lb.
    for psi, area, force in [(75, 0.5, 37.5), (125, 7, 875), (125, 0.75, 93.75)]:
        bore = math.sqrt(4 * area / math.pi)
        assert low(piston_force(psi, bore)) == pytest.approx(force)


def test_openstax_brake() -> None:
    # OpenStax College Physics, hydraulic brake example: 500 N on a 0.500 cm master, 2.50 cm slaves: 1.25e4 N each,
    # 2.5e7 Pa.
    pressure = line_pressure(500, 1, 5.00)
    assert low(pressure) * 1e6 == pytest.approx(2.5e7, rel=0.02)
    assert low(piston_force(pressure, 25.0)) == pytest.approx(1.25e4)


def test_volume_balance() -> None:
    # Essential University Physics ch. 15: pistons of 1.04 and 2.10 cm, 3.25 kN out, 8.80 mm stroke: 797.1 N, 2.158
    # mm, 7.01 J.
    pressure = 3250 / low(piston_area(21.0))
    force = low(piston_force(pressure, 10.4))
    assert force == pytest.approx(797.1, abs=0.05)
    out = low(master_travel(fluid_volume([Demand(10.4, 8.80, 1)]), 21.0))
    assert out == pytest.approx(2.158, abs=5e-4)
    assert force * 8.80 / 1000 == pytest.approx(7.01, abs=5e-3)
    assert 3250 * out / 1000 == pytest.approx(7.01, abs=5e-3)


def test_pedal_force_and_travel_by_hand() -> None:
    # Pascal and the lever, computed: a bigger bore takes the square of the ratio more force and that much less travel.
    assert low(pedal_force_for(line_pressure(200, 5, 19.05), 5, 19.05)) == pytest.approx(200)
    assert low(pedal_force_ratio(0.750, 0.700)) == pytest.approx(1.148, abs=5e-4)
    assert low(pedal_travel(2.5, 5)) == 12.5
    assert pytest.approx(10 / 14.5038, rel=1e-5) == 10 * PSI / 0.1  # 1 bar = 14.504 psi by definition


def test_axle_loads_while_braking() -> None:
    # Bevan, Theory of Machines, ch. 8 ex. 6 p. 264 (Python-Textbook-Companions ch8.ipynb): wheelbase 9.5 ft, centre
    # of gravity 4 ft ahead of the rear axle and 2 ft high, 30 mph, g 32.2.
    van = Balance(9.5, 4, 2)
    distances = {
        (0.1, False, True): 530,
        (0.1, True, False): 699,
        (0.1, True, True): 301,
        (0.6, False, True): 97.5,
        (0.6, True, False): 104,
        (0.6, True, True): 50.1,
    }
    for (grip, front, rear), distance in distances.items():
        found = stopping_distance(44, van.deceleration(grip, front, rear), 32.2)
        assert found == pytest.approx(distance, rel=2e-3)
    assert van.ideal_front_to_rear(0.1) == pytest.approx(0.792, abs=5e-4)
    assert van.ideal_front_to_rear(0.6) == pytest.approx(1.209, abs=5e-4)
