"""Physics keeps its direction, an inverse undoes its formula, and units never matter."""

from __future__ import annotations

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from knockon.graph.formulas import brakes, hydraulics, limits_and_fits, press_fits, shims, wheels
from knockon.graph.formulas.bearings import pair_float, spacer_for
from knockon.graph.formulas.interval import Interval, low
from knockon.graph.formulas.measuring import Component, StackTerm, combine, stack
from knockon.graph.formulas.splines import involute as splines
from knockon.graph.formulas.splines.standards import ansi_b92_1, din_5480, iso_4156
from knockon.graph.formulas.threads import fasteners
from knockon.graph.formulas.threads.limits import stress_area, thread_limits
from knockon.graph.formulas.threads.pairs import SAME, WILL_NOT_START, meet
from knockon.graph.formulas.threads.profile import pitch_diameter_clearance, turns_before_binding
from knockon.graph.quantity.thread_names import INCH, Thread, parse_thread
from knockon.graph.standards import iso286

INCH_THREADS = ["#10-24", "#10-32", "1/4-20", "1/4-28", "5/16-18", "5/16-24", "3/8-16", "3/8-24", "7/16-20", "1/2-20"]
METRIC_THREADS = ["M6x1", "M8x1.25", "M8x1", "M10x1.5", "M10x1.25", "M10x1", "M12x1.75", "M12x1.5", "M12x1.25"]
thread_names = st.sampled_from(INCH_THREADS + METRIC_THREADS)
lengths = st.floats(1, 200)


# ------------------------------------------------------------------ inverses


@given(spacing=lengths, holes=st.integers(3, 12))
def test_bolt_circle_and_spacing(spacing: float, holes: int) -> None:
    assert low(wheels.adjacent_spacing(wheels.bolt_circle(spacing, holes), holes)) == pytest.approx(spacing)


@given(holes=st.integers(3, 12), circle=lengths, data=st.data())
def test_every_chord_gives_the_same_circle(holes: int, circle: float, data: st.DataObject) -> None:
    steps = data.draw(st.integers(1, holes // 2))
    chord = circle * math.sin(math.pi * steps / holes)
    assert low(wheels.chord_circle(chord, holes, steps)) == pytest.approx(circle)


@given(major=lengths, teeth=st.integers(6, 60))
def test_flat_jaws_and_back(major: float, teeth: int) -> None:
    reading = low(splines.flat_jaw_reading(major, teeth))
    assert low(splines.major_from_flat_jaws(reading, teeth)) == pytest.approx(major)
    assert reading <= major
    assert (reading == major) == (teeth % 2 == 0)


@given(angle=st.floats(0.5, 60))
def test_involute_and_back(angle: float) -> None:
    assert splines.angle_of_involute(splines.involute(angle)) == pytest.approx(angle, abs=1e-7)


@given(teeth=st.integers(12, 60), module=st.floats(0.5, 3), share=st.floats(0.8, 1.1))
def test_pins_and_back(teeth: int, module: float, share: float) -> None:
    thickness, pin = share * math.pi / 2 * module, 1.92 * module
    over = splines.tooth_over_pins(teeth, module, 30, pin, thickness)
    assert low(splines.thickness_from_pins(teeth, module, 30, pin, over)) == pytest.approx(thickness, abs=1e-6)


@given(force=st.floats(1, 1e5), major=st.floats(4, 40), factor=st.floats(0.08, 0.4))
def test_torque_and_preload(force: float, major: float, factor: float) -> None:
    torque = fasteners.torque_for(force, major, factor)
    assert low(fasteners.preload_of(torque, major, factor)) == pytest.approx(force)


@given(force=st.floats(1, 2000), ratio=st.floats(2, 10), bore=st.floats(12, 35))
def test_pedal_force_and_pressure(force: float, ratio: float, bore: float) -> None:
    pressure = hydraulics.line_pressure(force, ratio, bore)
    assert low(hydraulics.pedal_force_for(pressure, ratio, bore)) == pytest.approx(force)


@given(interference=st.floats(0.001, 0.1), inner=st.floats(0, 10), bore=st.floats(15, 40), wall=st.floats(2, 40))
def test_interference_and_pressure(interference: float, inner: float, bore: float, wall: float) -> None:
    shaft, hub = press_fits.Ring(inner, bore), press_fits.Ring(bore, bore + wall)
    pressure = press_fits.joint_pressure(interference, shaft, hub)
    assert low(press_fits.interference_for(pressure, shaft, hub)) == pytest.approx(interference)


@given(
    web=st.floats(5, 20), width=st.floats(15, 20), cone=st.floats(14, 16), ends=st.tuples(*[st.floats(-0.2, 0.2)] * 2)
)
def test_a_spacer_gives_the_window_it_was_chosen_for(
    web: float, width: float, cone: float, ends: tuple[float, float]
) -> None:
    window = Interval(min(ends), max(ends))
    wide = Interval(width, width + 0.05)
    found = spacer_for(window, web, (wide, cone), (width, cone))
    if found is None:
        assert window.width < 0.05 + 1e-9
        return
    for length in (found.low, found.high):
        play = pair_float(length, web, (wide, cone), (width, cone))
        assert isinstance(play, Interval)
        assert play.low >= window.low - 1e-9
        assert play.high <= window.high + 1e-9


# ------------------------------------------------------------------ monotone


@given(bore=st.floats(15, 40), wall=st.floats(5, 40), first=st.floats(0, 0.1), second=st.floats(0, 0.1))
def test_more_interference_more_pressure(bore: float, wall: float, first: float, second: float) -> None:
    shaft, hub = press_fits.Ring(0, bore), press_fits.Ring(bore, bore + wall)
    less, more = sorted((first, second))
    assert low(press_fits.joint_pressure(less, shaft, hub)) <= low(press_fits.joint_pressure(more, shaft, hub))


@given(bore=st.floats(15, 40), first=st.floats(2, 60), second=st.floats(2, 60))
def test_a_thicker_hub_presses_harder_and_is_stressed_less_per_pressure(
    bore: float, first: float, second: float
) -> None:
    thin, thick = sorted((first, second))
    shaft = press_fits.Ring(0, bore)
    assert low(press_fits.joint_pressure(0.02, shaft, press_fits.Ring(bore, bore + thin))) <= low(
        press_fits.joint_pressure(0.02, shaft, press_fits.Ring(bore, bore + thick))
    )
    assert low(press_fits.hub_hoop_stress(1.0, bore, bore + thick)) <= low(
        press_fits.hub_hoop_stress(1.0, bore, bore + thin)
    )


SHARE_ARGUMENTS = st.tuples(
    st.floats(20, 60), st.floats(60, 120), st.floats(5, 30), st.floats(100, 250), st.floats(10, 30), st.floats(100, 250)
)


@given(arguments=SHARE_ARGUMENTS, which=st.integers(0, 5), factor=st.floats(1, 1.5))
def test_bigger_front_brakes_more_front_share(arguments: tuple[float, ...], which: int, factor: float) -> None:
    bigger = [a * factor if i == which else a for i, a in enumerate(arguments)]
    before, after = low(brakes.front_share_of_braking(*arguments)), low(brakes.front_share_of_braking(*bigger))
    assert 0 <= before <= 100
    assert after >= before - 1e-9 if which < 4 else after <= before + 1e-9


@given(inner=st.floats(10, 100), width=st.floats(1, 80))
def test_effective_radius_lies_in_the_pad(inner: float, width: float) -> None:
    worn = low(brakes.effective_radius(inner, inner + width))
    new = low(brakes.effective_radius(inner, inner + width, worn_in=False))
    assert inner < worn <= new + 1e-9 < inner + width + 1e-9


@given(grip=st.floats(0.05, 0.9), more=st.floats(0.01, 0.1))
def test_more_grip_more_load_in_front(grip: float, more: float) -> None:
    van = brakes.Balance(2.4, 1.2, 0.6)
    assert van.ideal_front_to_rear(grip + more) > van.ideal_front_to_rear(grip)
    assert van.deceleration(grip) >= max(van.deceleration(grip, rear=False), van.deceleration(grip, front=False))


@given(name=thread_names)
def test_finer_pitch_more_stress_area(name: str) -> None:
    thread = parse_thread(name)
    assert low(stress_area(thread.major, thread.pitch * 0.9)) > low(stress_area(thread.major, thread.pitch))


@given(size=st.floats(0.5, 500), first=st.integers(1, 18), second=st.integers(1, 18))
def test_a_coarser_grade_is_wider(size: float, first: int, second: int) -> None:
    fine, coarse = sorted((first, second))
    assert iso286.standard_tolerance(size, fine) <= iso286.standard_tolerance(size, coarse)


@given(
    size=st.floats(3.01, 500),
    grade=st.integers(5, 11),
    letter=st.sampled_from(["d", "e", "f", "g", "h", "m", "n", "p", "r", "s", "u"]),
)
def test_deviations_have_the_width_of_their_grade(size: float, grade: int, letter: str) -> None:
    for name in (f"{letter}{grade}", f"{letter.upper()}{grade}"):
        found = iso286.deviations(size, name)
        assert found.upper - found.lower == pytest.approx(iso286.standard_tolerance(size, grade))


@given(size=st.floats(3.01, 500), grade=st.integers(6, 7), letter=st.sampled_from(["k", "m", "n", "p", "r", "s"]))
def test_hole_based_and_shaft_based_fits_agree(size: float, grade: int, letter: str) -> None:
    # The delta of the standard makes H7/p6 and P7/h6 the same fit. M6 over 250 to 315 is its stated exception.
    assume(not (letter == "m" and grade == 6 and 250 < size <= 315))
    hole_based = limits_and_fits.fit(size, f"H{grade}", f"{letter}{grade - 1}").clearance
    shaft_based = limits_and_fits.fit(size, f"{letter.upper()}{grade}", f"h{grade - 1}").clearance
    assert hole_based == shaft_based


# --------------------------------------------------------------------- units


@given(inches=st.integers(1, 500).map(lambda n: n / 128))
def test_rim_pcd_and_float_do_not_care_for_the_unit(inches: float) -> None:
    mm = inches * INCH
    assert low(wheels.bolt_circle(mm, 4)) == pytest.approx(low(wheels.bolt_circle(inches, 4)) * INCH)
    assert low(pair_float(mm, 1 * INCH, (mm, mm / 2), (mm, mm / 3))) == pytest.approx(
        low(pair_float(inches, 1, (inches, inches / 2), (inches, inches / 3))) * INCH
    )


@given(arguments=SHARE_ARGUMENTS, scale=st.sampled_from([1 / INCH, 0.1, 10.0]))
def test_shares_do_not_care_for_the_unit(arguments: tuple[float, ...], scale: float) -> None:
    scaled = [a * scale for a in arguments]
    assert low(brakes.front_share_of_braking(*scaled)) == pytest.approx(low(brakes.front_share_of_braking(*arguments)))


@given(teeth=st.integers(6, 60), pitch=st.sampled_from([10, 12, 16, 20, 24, 32]))
def test_an_inch_spline_is_its_module(teeth: int, pitch: int) -> None:
    inch, metric = ansi_b92_1(teeth, pitch), iso_4156(teeth, INCH / pitch)
    assert inch.pitch_diameter == pytest.approx(metric.pitch_diameter)
    assert inch.external_major == pytest.approx(metric.external_major)
    assert inch.internal_minor is not None
    assert inch.internal_minor < inch.pitch_diameter < inch.external_major <= inch.internal_major


@given(module=st.sampled_from([1, 1.25, 2]), teeth=st.integers(10, 40), shift=st.floats(-0.05, 0.45))
def test_din_5480_lies_between_its_circles(module: float, teeth: int, shift: float) -> None:
    reference = module * (teeth + 2 * shift + 1.1)
    sizes = din_5480(reference, module, teeth)
    assert sizes.addendum_shift == pytest.approx(shift)
    assert sizes.external_minor is not None
    assert sizes.internal_minor is not None
    assert sizes.external_minor < sizes.internal_minor < sizes.external_major < sizes.internal_major


# ------------------------------------------------------------------- threads


@given(name=thread_names)
def test_a_thread_goes_with_itself(name: str) -> None:
    thread = parse_thread(name)
    assert meet(thread, thread).sort == SAME
    assert math.isinf(meet(thread, thread).turns)


@given(first=thread_names, second=thread_names)
def test_two_threads_cannot_each_start_in_the_other_unless_they_are_the_same(first: str, second: str) -> None:
    a, b = parse_thread(first), parse_thread(second)
    there, back = meet(a, b), meet(b, a)
    assert there.clearance == pytest.approx(-back.clearance, abs=1e-9)
    if SAME not in (there.sort, back.sort) and abs(there.clearance) > 1e-9:
        assert [there.sort, back.sort].count(WILL_NOT_START) == 1


@given(clearance=st.floats(0, 0.5), step=st.floats(0.001, 0.2), more=st.floats(1.1, 3))
def test_a_greater_difference_of_pitch_binds_earlier(clearance: float, step: float, more: float) -> None:
    def turns(difference: float) -> float:
        male = 9.5 - 0.75 * math.sqrt(3) / 2 * -difference
        assert low(pitch_diameter_clearance(male, 1 + difference, 9.5 + clearance, 1.0)) == pytest.approx(clearance)
        return low(turns_before_binding(male, 1 + difference, 9.5 + clearance, 1.0))

    assume(clearance > 1e-6)
    assert turns(step * more) < turns(step)


@given(name=st.sampled_from(INCH_THREADS))
def test_a_bolt_in_its_class_starts_in_a_nut_of_its_class(name: str) -> None:
    thread = parse_thread(name)
    bolt, nut = thread_limits(thread, "2A"), thread_limits(thread, "2B")
    assert bolt.pitch.high <= nut.pitch.low
    assert nut.minor is not None
    assert bolt.major.low > nut.minor.high


@given(name=st.sampled_from(METRIC_THREADS), classes=st.sampled_from([("6g", "6H"), ("6h", "6H"), ("6g", "6G")]))
def test_a_metric_bolt_starts_in_its_nut(name: str, classes: tuple[str, str]) -> None:
    thread = parse_thread(name)
    bolt, nut = (thread_limits(thread, c) for c in classes)
    assert bolt.pitch.high <= nut.pitch.low + 1e-9
    assert bolt.major.high <= nut.major.low + 1e-9


@given(name=st.sampled_from(METRIC_THREADS))
def test_finer_grades_are_narrower(name: str) -> None:
    thread = parse_thread(name)
    widths = [thread_limits(thread, f"{g}g").pitch.width for g in (4, 5, 6, 7, 8)]
    assert widths == sorted(widths)
    assert len(set(widths)) == 5


# --------------------------------------------------------- shims, measuring

THICKNESSES = st.dictionaries(st.integers(1, 60).map(lambda n: n / 20), st.integers(1, 3), min_size=1, max_size=5)


@given(box=THICKNESSES, wanted=st.floats(0, 4))
def test_the_best_stack_is_as_good_as_trying_them_all(box: dict[float, int], wanted: float) -> None:
    best = shims.best_stacks(wanted, dict(box), first=1, most=4)[0]

    def every(rest: list[float], total: float, count: int) -> list[tuple[float, int]]:
        if not rest:
            return [(total, count)]
        thickness, *others = rest
        most = min(box[thickness], 4 - count)
        return [s for n in range(most + 1) for s in every(others, total + n * thickness, count + n)]

    nearest = min(abs(t - wanted) for t, _ in every(sorted(box), 0.0, 0))
    assert abs(best.error) == pytest.approx(nearest, abs=1.1e-4)
    assert best.total == pytest.approx(math.fsum(best.shims), abs=1e-6)
    assert all(best.shims.count(t) <= box[min(box, key=lambda b: abs(b - t))] for t in best.shims)


@given(parts=st.lists(st.floats(0.001, 10), min_size=1, max_size=8))
def test_combined_uncertainty_lies_between_the_greatest_and_the_sum(parts: list[float]) -> None:
    found = combine([Component(str(i), u) for i, u in enumerate(parts)])
    assert max(parts) <= found.uncertainty * (1 + 1e-12)
    assert found.uncertainty <= math.fsum(parts) * (1 + 1e-12)


@given(halves=st.lists(st.floats(0.001, 1), min_size=1, max_size=10), nominal=st.floats(-100, 100))
def test_statistics_never_exceed_the_worst_case(halves: list[float], nominal: float) -> None:
    found = stack([StackTerm(str(i), nominal, h, -h) for i, h in enumerate(halves)])
    assert found.rss <= found.modified * (1 + 1e-9)
    assert found.modified <= found.worst * (1 + 1e-9)
    assert found.mean == pytest.approx(nominal * len(halves), abs=1e-6)


@given(major=st.floats(3, 60), share=st.floats(0.05, 0.2))
def test_a_thread_read_back_is_the_same_thread(major: float, share: float) -> None:
    major, pitch = round(major, 2), round(major * share, 2)
    assume(0 < pitch < major / 2)
    assert parse_thread(f"M{major:g}x{pitch:g}") == Thread(f"M{major:g}x{pitch:g}", "metric", major, pitch)
