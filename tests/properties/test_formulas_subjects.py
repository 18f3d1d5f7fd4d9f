"""The four laws, held for every subject of the calculations.

Monotone where physics is; the inverse of the inverse is the identity; units never matter; an interval answer holds
every point answer (that one for all formulas beside it, in test_formulas_intervals).
"""

from __future__ import annotations

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knockon.graph.formulas import (
    bearings,
    brakes,
    formula,
    formula_names,
    hydraulics,
    limits_and_fits,
    press_fits,
    shims,
    tubes,
    wheels,
)
from knockon.graph.formulas.interval import Interval, Value, as_interval, low
from knockon.graph.formulas.measuring import Component, StackTerm, combine, must_measure, needed_uncertainty, stack
from knockon.graph.formulas.splines import involute as splines
from knockon.graph.formulas.threads import fasteners
from knockon.graph.formulas.threads import profile as threads
from knockon.graph.formulas.threads.limits import stress_area
from knockon.graph.quantity.thread_names import INCH
from knockon.queries.workshop.answer import influences, likely_half_width

# ------------------------------------------------------------- monotone

# Formula, ranges of its arguments, and the direction in each: +1 rises, -1 falls, 0 neither by itself.
DIRECTIONS: dict[str, tuple[Callable[..., Value], list[tuple[float, float]], list[int]]] = {
    "fits: clearance": (limits_and_fits.fit_clearance, [(24, 26), (24, 26)], [1, -1]),
    "press fits: force": (press_fits.press_force, [(1, 99), (20, 40), (5, 50), (0.05, 0.2)], [1, 1, 1, 1]),
    "press fits: slip": (press_fits.slip_torque, [(1, 99), (20, 40), (5, 50), (0.05, 0.2)], [1, 1, 1, 1]),
    "press fits: heating": (press_fits.heating_for, [(0.001, 0.1), (20, 90)], [1, -1]),
    "bearings: spacer": (bearings.spacer_for_no_float, [(5.0, 20.0), *[(10.0, 20.0)] * 4], [1, 1, -1, 1, -1]),
    "bearings: play": (bearings.radial_of_axial, [(0.01, 0.2), (0.2, 0.6)], [1, 1]),
    "threads: pitch diameter": (threads.pitch_diameter, [(5, 60), (0.5, 3)], [1, -1]),
    "threads: minor diameter": (threads.minor_diameter, [(5, 60), (0.5, 3)], [1, -1]),
    "threads: stress area": (stress_area, [(6, 60), (0.5, 3)], [1, -1]),
    "threads: clearance": (threads.pitch_diameter_clearance, [(9, 11), (0.5, 3), (9, 11), (0.5, 3)], [-1, 1, 1, -1]),
    "threads: overlap": (threads.flank_overlap, [(9, 11), (0.5, 3), (9, 11), (0.5, 3)], [1, 0, -1, 1]),
    "splines: overlap": (splines.tooth_overlap, [(20, 30), (20, 30)], [1, -1]),
    "splines: depth": (splines.tooth_depth, [(20, 30), (20, 30)], [1, -1]),
    "splines: over pins": (lambda t: splines.tooth_over_pins(25, 1.0583, 30, 2.0, t), [(1.2, 1.8)], [1]),
    "splines: between pins": (lambda w: splines.space_between_pins(25, 1.0583, 30, 1.8, w), [(1.5, 1.9)], [1]),
    "wheels: bolt circle": (lambda s: wheels.bolt_circle(s, 5), [(40, 90)], [1]),
    "wheels: stud": (wheels.stud_engagement, [(10, 60), (0, 40), (5, 30)], [1, -1, 1]),
    "wheels: barrel": (wheels.barrel_room, [(100, 120), (90, 115), (0, 5)], [1, -1, -1]),
    "wheels: face": (wheels.face_room, [(0, 20), (-5, 20), (0, 10)], [1, -1, 1]),
    "wheels: track": (wheels.track_change, [(-20, 20), (-20, 20), (0, 20)], [1, -1, 1]),
    "hydraulics: pressure": (hydraulics.line_pressure, [(1, 1000), (3, 8), (15, 30)], [1, 1, -1]),
    "hydraulics: pedal": (hydraulics.pedal_force_for, [(1, 20), (3, 8), (15, 30)], [1, -1, 1]),
    "hydraulics: stroke": (
        hydraulics.share_of_stroke_used,
        [(15, 30), (20, 40), *[(15, 50), (1, 4), (0.1, 2)] * 3],
        [-1, -1] + [1] * 9,
    ),
    "hydraulics: master": (hydraulics.master_travel, [(100, 9000), (15, 30)], [1, -1]),
    "balance: front torque": (
        brakes.front_torque_per_pressure,
        [(20, 60), (60, 120), (1, 30), (1, 250)],
        [1, 1, 1, 1],
    ),
    "balance: rear torque": (brakes.rear_torque_per_pressure, [(10, 30), (100, 250)], [1, 1]),
    "balance: pedal for the same torque": (
        hydraulics.pedal_force_for_the_same_front_torque,
        [(15, 30), (15, 30), *[(20, 60), (60, 120), (1, 30), (1, 250)] * 2],
        [1, -1, -1, -1, -1, -1, 1, 1, 1, 1],
    ),
    "shims: common rule": (shims.wanted_by_common_rule, [(1, 3)], [1]),
    "shims: washer": (shims.wanted_by_washer, [(1, 3), (0.5, 1), (0, 0.2)], [1, -1, -1]),
    "fasteners: preload": (fasteners.preload_of, [(1, 300), (5, 30), (0.1, 0.3)], [1, -1, -1]),
    "fasteners: stress": (fasteners.bolt_stress, [(1, 5e4), (1, 9e3), (0.1, 1), (20, 200)], [1, 1, 1, -1]),
    "fasteners: stretch": (fasteners.stretch, [(1, 5e4), (10, 99), (20, 200), (7e4, 2.1e5)], [1, 1, -1, -1]),
    "fasteners: turn": (fasteners.turn_for, [(0.01, 0.5), (0.5, 3)], [1, -1]),
}


@st.composite
def steps(draw: st.DrawFn) -> tuple[str, list[float], int, float]:
    """A formula, a point, which argument is raised, and to what."""
    name = draw(st.sampled_from(sorted(DIRECTIONS)))
    _, ranges, _ = DIRECTIONS[name]
    point = [draw(st.floats(least, most)) for least, most in ranges]
    which = draw(st.integers(0, len(ranges) - 1))
    return name, point, which, draw(st.floats(point[which], ranges[which][1]))


@given(step=steps())
def test_each_argument_moves_the_answer_its_own_way(step: tuple[str, list[float], int, float]) -> None:
    name, point, which, raised = step
    function, _, directions = DIRECTIONS[name]
    before = low(function(*point))
    after = low(function(*[raised if i == which else p for i, p in enumerate(point)]))
    slack = 1e-9 * max(1.0, abs(before))
    assert (after - before) * directions[which] >= -slack
    if directions[which] == 0:
        assert after == pytest.approx(before)


def test_every_subject_has_its_directions() -> None:
    subjects = {name.partition(":")[0] for name in DIRECTIONS}
    assert subjects >= {"fits", "press fits", "bearings", "threads", "splines", "wheels", "hydraulics", "balance"}
    assert subjects >= {"shims", "fasteners"}
    assert all(len(ranges) == len(directions) for _, ranges, directions in DIRECTIONS.values())


@given(first=st.floats(0.1, 20), second=st.floats(0.1, 20))
def test_a_wider_hose_is_of_no_smaller_class(first: float, second: float) -> None:
    thin, wide = (tubes.HOSE_CLASSES.index(tubes.hose_class(d)) for d in sorted((first, second)))
    assert thin <= wide


@given(parts=st.lists(st.floats(0.001, 10), min_size=1, max_size=6), more=st.floats(0, 10))
def test_one_more_open_part_never_makes_a_measurement_better(parts: list[float], more: float) -> None:
    components = [Component(str(i), u) for i, u in enumerate(parts)]
    assert combine([*components, Component("more", more)]).uncertainty >= combine(components).uncertainty - 1e-12


@given(value=st.floats(-50, 50), low_end=st.floats(-50, 0), width=st.floats(0, 50), inside=st.floats(0, 1))
def test_needed_uncertainty_keeps_a_reading_in_its_window(
    value: float, low_end: float, width: float, inside: float
) -> None:
    window = Interval(low_end, low_end + width)
    allowed = needed_uncertainty(value, window)
    assert (allowed > 0) <= (value in window)
    if value in window:
        assert Interval.around(value, allowed * inside * (1 - 1e-9)) in Interval(window.low - 1e-9, window.high + 1e-9)


# ------------------------------------------------------------- inverses


@given(interference=st.floats(0.001, 0.1), bore=st.floats(15, 40), wall=st.floats(2, 40))
def test_pressure_and_back(interference: float, bore: float, wall: float) -> None:
    shaft, hub = press_fits.Ring(0, bore), press_fits.Ring(bore, bore + wall)
    pressure = press_fits.joint_pressure(interference, shaft, hub)
    again = press_fits.joint_pressure(press_fits.interference_for(pressure, shaft, hub), shaft, hub)
    assert low(again) == pytest.approx(low(pressure))


@given(web=st.floats(5, 20), inner=st.floats(0.1, 3), outer=st.floats(0.1, 3))
def test_the_spacer_for_no_float_leaves_none(web: float, inner: float, outer: float) -> None:
    first, second = (16 + inner, 16.0), (16 + outer, 16.0)
    spacer = bearings.spacer_for_no_float(web, *first, *second)
    assert low(bearings.pair_float(spacer, web, first, second)) == pytest.approx(0, abs=1e-9)


@given(bore=st.floats(10, 40), other=st.floats(10, 40))
def test_there_and_back_again_takes_the_force_it_took(bore: float, other: float) -> None:
    there, back = hydraulics.pedal_force_ratio(bore, other), hydraulics.pedal_force_ratio(other, bore)
    assert low(there) * low(back) == pytest.approx(1)


@given(face=st.floats(-20, 20), offset=st.floats(-20, 20), spacer=st.floats(0, 20))
def test_a_track_change_undone(face: float, offset: float, spacer: float) -> None:
    there, back = wheels.track_change(face, offset, spacer), wheels.track_change(-face, -offset, -spacer)
    assert low(there) + low(back) == pytest.approx(0, abs=1e-9)


@given(outside=st.floats(30, 200), hole=st.floats(5, 25))
def test_over_the_edges_and_between_them(outside: float, hole: float) -> None:
    centre = wheels.centre_distance(outside, hole)
    assert low(wheels.centre_distance_between(low(centre) - hole, hole)) == pytest.approx(low(centre))


@given(stretch=st.floats(0.01, 2), pitch=st.floats(0.5, 3))
def test_a_turn_takes_up_its_stretch(stretch: float, pitch: float) -> None:
    degrees = low(fasteners.turn_for(stretch, pitch))
    assert low(fasteners.axial_of_turn(degrees / 360, pitch)) == pytest.approx(stretch)


# ---------------------------------------------------------------- units

# Formulas in lengths only: with every length times k the answer is times k to the power beside it.
POWERS: dict[str, tuple[Callable[..., Value], list[tuple[float, float]], int]] = {
    "fits": (limits_and_fits.fit_clearance, [(24, 26), (24, 26)], 1),
    "bearings": (bearings.spacer_for_no_float, [(5.0, 20.0), *[(10.0, 20.0)] * 4], 1),
    "threads: clearance": (threads.pitch_diameter_clearance, [(9, 11), (0.5, 3), (9, 11), (0.5, 3)], 1),
    "threads: share": (threads.flank_overlap_share, [(9, 11), (0.5, 3), (9, 11), (0.5, 3)], 0),
    "splines": (splines.tooth_overlap, [(20, 30), (20, 30)], 1),
    "wheels: stud": (wheels.stud_engagement, [(10, 60), (0, 40), (5, 30)], 1),
    "wheels: barrel": (wheels.barrel_room, [(100, 120), (90, 115), (0, 5)], 1),
    "wheels: track": (wheels.track_change, [(-20, 20), (-20, 20), (0, 20)], 1),
    "hydraulics: bores": (hydraulics.pedal_force_ratio, [(15, 30), (15, 30)], 0),
    "hydraulics: master": (hydraulics.master_travel, [(100, 9000), (15, 30)], -2),  # its volume is held
    "balance: torque": (brakes.rear_torque_per_pressure, [(10, 30), (100, 250)], 3),
    "shims": (shims.wanted_by_washer, [(1, 3), (0.5, 1), (0, 0.2)], 1),
    "fasteners: turn": (fasteners.turn_for, [(0.01, 0.5), (0.5, 3)], 0),
    "press fits: heating": (press_fits.heating_for, [(0.001, 0.1), (20, 90)], 0),
}


@given(name=st.sampled_from(sorted(POWERS)), scale=st.sampled_from([1 / INCH, 0.1, 10.0, INCH]), data=st.data())
def test_the_unit_of_length_never_matters(name: str, scale: float, data: st.DataObject) -> None:
    function, ranges, power = POWERS[name]
    point = [data.draw(st.floats(least, most)) for least, most in ranges]
    scaled = [p * scale for p in point]
    if name == "hydraulics: master":
        scaled[0] = point[0]
    assert low(function(*scaled)) == pytest.approx(low(function(*point)) * scale**power, rel=1e-9, abs=1e-9)


@given(halves=st.lists(st.floats(0.001, 1), min_size=1, max_size=6), scale=st.sampled_from([1 / INCH, INCH]))
def test_stacks_and_decisions_do_not_care_for_the_unit(halves: list[float], scale: float) -> None:
    mm = stack([StackTerm(str(i), 5.0, h, -h) for i, h in enumerate(halves)])
    other = stack([StackTerm(str(i), 5.0 * scale, h * scale, -h * scale) for i, h in enumerate(halves)])
    assert (other.worst, other.rss, other.mean) == pytest.approx((mm.worst * scale, mm.rss * scale, mm.mean * scale))
    assert must_measure(1.0 * scale, 2.0 * scale).allowed == pytest.approx(must_measure(1.0, 2.0).allowed * scale)


@given(gap=st.integers(40, 59), washer=st.integers(20, 39))
def test_shims_in_thousandths_are_shims_in_millimetres(gap: int, washer: int) -> None:
    thou = INCH / 1000
    wanted = shims.wanted_by_washer(gap * thou, washer * thou)
    best = shims.best_stacks(wanted, {2 * thou: None, 3 * thou: None, 5 * thou: None, 10 * thou: None}, first=1)[0]
    assert round(sum(best.shims) / thou, 3) == pytest.approx(gap - washer, abs=1.01)


# ------------------------------------------------------ what makes it wide


THREE_MIDDLES, THREE_HALVES, THREE_SHARES = (st.tuples(*[st.floats(a, b)] * 3) for a, b in ((5, 20), (0, 0.5), (-1, 1)))


@given(middles=THREE_MIDDLES, halves=THREE_HALVES, shares=THREE_SHARES)
def test_worst_case_likely_and_point(
    middles: tuple[float, ...], halves: tuple[float, ...], shares: tuple[float, ...]
) -> None:
    """Of a sum: every point lies in the worst case, and the root of the sum of squares is never more than that."""

    def total(a: Value, b: Value, c: Value) -> Value:
        return a + 0.5 * b - c

    inputs: dict[str, Value] = {
        f"size {i}": Interval.around(m, h) for i, (m, h) in enumerate(zip(middles, halves, strict=True))
    }
    worst = as_interval(total(*inputs.values()))
    point = low(total(*(m + h * s for m, h, s in zip(middles, halves, shares, strict=True))))
    assert worst.low - 1e-9 <= point <= worst.high + 1e-9
    likely = likely_half_width(total, inputs)
    assert likely <= worst.width / 2 + 1e-9
    found = influences(total, inputs)
    assert math.isclose(sum(i.share for i in found), 100, abs_tol=1e-6) or not found
    assert [i.share for i in found] == sorted((i.share for i in found), reverse=True)


# ---------------------------------------------------------- what is stated


@pytest.mark.parametrize("name", formula_names())
def test_a_registered_formula_says_symbols_units_and_source(name: str) -> None:
    found = formula(name)
    text = found.function.__doc__ or ""
    assert len(text.splitlines()) >= 3 or "inverse" in text
    # every argument is described by its own name, by one that stands for several of its kind, or by "all"
    assert "Parameters" in text or "Bores" in text or "inverse" in text
    assert any(unit in text for unit in ("mm", "one unit", "per cent", "turns")), text
    assert "Formula" in text or "inverse" in text
    assert found.source and found.unit
