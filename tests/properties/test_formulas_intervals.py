"""Laws of intervals, and of every formula over them: an interval answer holds every point answer."""

from __future__ import annotations

import importlib
import inspect
import math
import pkgutil
import re
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

import knockon.graph.formulas as formulas_package
from knockon.graph.formulas import brakes, hydraulics, limits_and_fits, press_fits, wheels
from knockon.graph.formulas.bearings import pair_float, spacer_for_no_float
from knockon.graph.formulas.interval import (
    DividedByZeroError,
    Interval,
    Value,
    absolute,
    as_interval,
    hull,
    low,
    maximum,
    middle,
    minimum,
    over_corners,
    sqrt,
)
from knockon.graph.formulas.registry import formula, formula_names
from knockon.graph.formulas.splines import involute as splines
from knockon.graph.formulas.threads import fasteners
from knockon.graph.formulas.threads import profile as threads
from knockon.graph.formulas.threads.limits import stress_area
from knockon.graph.quantity import thread_names
from knockon.graph.standards import iso286

numbers = st.floats(-1e6, 1e6, allow_nan=False)
shares = st.floats(0, 1)


@st.composite
def spans(draw: st.DrawFn, least: float = -1e6, most: float = 1e6) -> Interval:
    ends = sorted((draw(st.floats(least, most)), draw(st.floats(least, most))))
    return Interval(ends[0], ends[1])


def at(span: Interval, share: float) -> float:
    return min(max(span.low + share * (span.high - span.low), span.low), span.high)


def holds(value: Value, point: float) -> bool:
    span = as_interval(value)
    if math.isinf(point):
        return span.high == point
    slack = 1e-9 * max(1.0, abs(span.low) if math.isfinite(span.low) else 1.0, abs(point))
    return span.low - slack <= point <= span.high + slack


OPERATIONS: dict[str, Callable[[Value, Value], Value]] = {
    "+": lambda a, b: a + b,
    "-": lambda a, b: a - b,
    "*": lambda a, b: a * b,
    "min": minimum,
    "max": maximum,
}


@pytest.mark.parametrize("name", OPERATIONS)
@given(a=spans(), b=spans(), s=shares, t=shares)
def test_an_operation_holds_its_points(name: str, a: Interval, b: Interval, s: float, t: float) -> None:
    x, y = at(a, s), at(b, t)
    exact = low(OPERATIONS[name](x, y))
    for left, right in ((a, b), (a, y), (x, b)):
        assert holds(OPERATIONS[name](left, right), exact)


@given(a=spans(), b=spans(0.001, 1e6), s=shares, t=shares, sign=st.sampled_from([1, -1]))
def test_a_quotient_holds_its_points(a: Interval, b: Interval, s: float, t: float, sign: int) -> None:
    divisor = b * sign
    assert holds(a / divisor, at(a, s) / at(divisor, t))
    assert holds(at(a, s) / divisor, at(a, s) / at(divisor, t))


@given(a=spans(), b=spans(-1e6, 0), c=spans(0, 1e6))
def test_nothing_is_divided_by_zero(a: Interval, b: Interval, c: Interval) -> None:
    with pytest.raises(DividedByZeroError):
        a / hull(b, c)
    with pytest.raises(DividedByZeroError):
        1.0 / hull(b, c)


@given(a=spans(-1000, 1000), s=shares, exponent=st.integers(0, 5))
def test_a_power_holds_its_points(a: Interval, s: float, exponent: int) -> None:
    assert holds(a**exponent, at(a, s) ** exponent)


@given(a=spans(0, 1e6), s=shares)
def test_a_root_holds_its_points_and_undoes_the_square(a: Interval, s: float) -> None:
    assert holds(sqrt(a), math.sqrt(at(a, s)))
    back = as_interval(sqrt(a * a))
    assert back.low == pytest.approx(a.low, abs=1e-6)
    assert back.high == pytest.approx(a.high)


@given(a=spans(), s=shares)
def test_sign_and_size(a: Interval, s: float) -> None:
    assert holds(-a, -at(a, s))
    assert holds(absolute(a), abs(at(a, s)))
    twice = -a
    assert -twice == a
    assert a.middle in a
    assert low(absolute(a)) >= 0


@given(a=spans(), b=spans())
def test_wider_in_wider_out(a: Interval, b: Interval) -> None:
    wide = hull(a, b)
    assert a in wide
    assert b in wide
    assert (a + 1.0) in (wide + 1.0)


@pytest.mark.parametrize("ends", [(1.0, 0.0), (math.nan, 1.0), (0.0, math.nan)])
def test_no_interval_runs_backwards(ends: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match=r"interval|high end"):
        Interval(*ends)


def test_points_are_points() -> None:
    assert Interval.point(3.0).is_point
    assert middle(3.0) == 3.0
    assert over_corners(lambda x: x + 1, 2.0) == 3.0


# ------------------------------------------------------- every formula

sizes = st.floats(5, 60)

# What a formula's arguments may be, as (least, greatest) of each: a range in which the formula is defined.
RANGES: dict[str, tuple[Callable[..., Value], list[tuple[float, float]]]] = {
    "pitch diameter": (threads.pitch_diameter, [(5, 60), (0.5, 3)]),
    "minor diameter": (threads.minor_diameter, [(5, 60), (0.5, 3)]),
    "pitch diameter clearance": (threads.pitch_diameter_clearance, [(5, 60), (0.5, 3), (5, 60), (0.5, 3)]),
    "flank overlap": (threads.flank_overlap, [(5, 60), (0.5, 3), (5, 60), (0.5, 3)]),
    "flank overlap share": (threads.flank_overlap_share, [(5, 60), (0.5, 3), (5, 60), (0.5, 3)]),
    "turns before binding": (threads.turns_before_binding, [(5, 12), (0.5, 3), (5, 12), (0.5, 3)]),
    "stress area": (stress_area, [(6, 60), (0.5, 3)]),
    "tooth overlap": (splines.tooth_overlap, [(20, 30), (20, 30)]),
    "front share": (
        brakes.front_share_of_braking,
        [(20, 60), (60, 120), (0, 30), (0, 250), (10, 30), (100, 250)],
    ),
    "effective radius, worn in": (brakes.effective_radius, [(20, 80), (81, 160)]),
    "effective radius, new": (lambda i, o: brakes.effective_radius(i, o, False), [(20, 80), (81, 160)]),
    "clamp torque": (brakes.clamp_torque, [(0, 2e4), (50, 150), (0.2, 0.5)]),
    "line pressure": (hydraulics.line_pressure, [(0, 1000), (3, 8), (15, 30)]),
    "pedal force": (hydraulics.pedal_force_for, [(0, 20), (3, 8), (15, 30)]),
    "pedal force ratio": (hydraulics.pedal_force_ratio, [(15, 30), (15, 30)]),
    "spacer for no float": (spacer_for_no_float, [(5, 20), (10, 20), (10, 20), (10, 20), (10, 20)]),
    "front torque": (brakes.front_torque_per_pressure, [(20, 60), (60, 120), (0, 30), (0, 250)]),
    "rear torque": (brakes.rear_torque_per_pressure, [(10, 30), (100, 250)]),
    "same front torque": (
        hydraulics.pedal_force_for_the_same_front_torque,
        [(15, 30), (15, 30), *[(20, 60), (60, 120), (0, 30), (0, 250)] * 2],
    ),
    "stroke used": (
        hydraulics.share_of_stroke_used,
        [(15, 30), (20, 40), *[(15, 50), (0, 4), (0, 2)] * 3],
    ),
    "fit clearance": (limits_and_fits.fit_clearance, [(24, 26), (24, 26)]),
    "joint pressure": (
        lambda d, i, m, o: press_fits.joint_pressure(d, press_fits.Ring(i, m), press_fits.Ring(m, o)),
        [(-0.02, 0.1), (0, 10), (20, 20), (30, 90)],
    ),
    "hub hoop stress": (press_fits.hub_hoop_stress, [(0, 100), (20, 40), (41, 90)]),
    "press force": (press_fits.press_force, [(0, 100), (20, 40), (5, 50), (0.05, 0.2)]),
    "torque": (fasteners.torque_for, [(0, 5e4), (5, 30), (0.1, 0.3)]),
    "preload": (fasteners.preload_of, [(0, 300), (5, 30), (0.1, 0.3)]),
    "torque factor": (fasteners.torque_factor, [(6, 30), (0.5, 2), (0.05, 0.3), (0.05, 0.3)]),
    "bolt circle, 4": (lambda s: wheels.bolt_circle(s, 4), [(50, 100)]),
    "bolt circle, 5": (lambda s: wheels.bolt_circle(s, 5), [(50, 100)]),
    "stud engagement": (wheels.stud_engagement, [(10, 60), (0, 40), (5, 30)]),
    "track change": (wheels.track_change, [(-20, 20), (-20, 20), (0, 20)]),
    "over pins, even": (lambda t: splines.tooth_over_pins(24, 1.0, 30, 1.9, t), [(1.2, 1.8)]),
    "over pins, odd": (lambda t: splines.tooth_over_pins(25, 1.0583, 30, 1.9, t), [(1.2, 1.8)]),
}


@st.composite
def cases(draw: st.DrawFn) -> tuple[str, list[Interval], list[float]]:
    name = draw(st.sampled_from(sorted(RANGES)))
    boxes = [draw(spans(least, most)) for least, most in RANGES[name][1]]
    points = [at(box, draw(shares)) for box in boxes]
    return name, boxes, points


@given(case=cases(), mask=st.integers(0, 2047))
def test_a_formula_over_intervals_holds_its_points(case: tuple[str, list[Interval], list[float]], mask: int) -> None:
    name, boxes, points = case
    function = RANGES[name][0]
    mixed = [box if mask >> i & 1 else point for i, (box, point) in enumerate(zip(boxes, points, strict=True))]
    exact = function(*points)
    assert isinstance(exact, float)
    assert holds(function(*mixed), exact)


@given(case=cases())
def test_points_written_as_intervals_change_nothing(case: tuple[str, list[Interval], list[float]]) -> None:
    name, _, points = case
    function = RANGES[name][0]
    answer = as_interval(function(*[Interval.point(p) for p in points]))
    exact = low(function(*points))
    assert holds(answer, exact)
    assert answer.is_point or answer.width == pytest.approx(0, abs=1e-9 * max(1.0, abs(exact)))


@given(a=spans(5, 20), b=spans(5, 20), c=spans(10, 20), d=spans(10, 20), e=spans(10, 20), f=spans(10, 20), s=shares)
def test_pair_float_holds_its_points(
    a: Interval, b: Interval, c: Interval, d: Interval, e: Interval, f: Interval, s: float
) -> None:
    exact = low(pair_float(at(a, s), at(b, s), (at(c, s), at(d, s)), (at(e, s), at(f, s))))
    assert holds(pair_float(a, b, (c, d), (e, f)), exact)


def test_every_registered_formula_says_what_it_takes() -> None:
    assert len(formula_names()) >= 13
    for name in formula_names():
        found = formula(f"https://knockon.example/formula#{name}")
        assert found == formula(name)
        assert len(found.argument_units) == len(found.arguments) >= found.required >= 1
        assert found.unit
        assert found.source
        assert found.function.__doc__


UNITS = re.compile(r"\b(mm\d?|degrees?|MPa|N|K|radians|inch(es)?|per cent|micrometres|counts?|units?|turns|MPa)\b")
SOURCES = re.compile(
    r"ISO|ANSI|ASME|SAE|DIN|CFR|GUM|[Ff]ormula|[Gg]eometry|Pascal|Lame|Hooke|Bevan|Shigley|Handbook|[Ss]ource|"
    r"[Dd]efinition|inverse|tnlab|texts|balance|practice"
)


RANGE = re.compile(
    r"[Vv]alid range|Raises|positive|negative|above|below|from \d|range|or more|or less|between|outside|whole number|"
    r"any|up to|standardi|None where|not there|at least|must"
)


def public_functions() -> list[tuple[str, str]]:
    """Module and name with the docstring of each public function of the formulas."""
    found = []
    below = formulas_package.__name__ + "."
    modules = [info.name for info in pkgutil.walk_packages(formulas_package.__path__, below) if not info.ispkg]
    for path in (*modules, iso286.__name__, thread_names.__name__):
        module = importlib.import_module(path)
        for name, value in vars(module).items():
            own = inspect.isfunction(value) and value.__module__ == module.__name__
            if own and not name.startswith("_") and not path.endswith((".registry", ".interval")):
                found.append((f"{path.removeprefix(below)}.{name}", value.__doc__ or ""))
    return found


def test_every_formula_names_its_units_its_source_and_its_range() -> None:
    functions = public_functions()
    assert len(functions) > 80
    assert [name for name, text in functions if not UNITS.search(text)] == []
    assert [name for name, text in functions if not SOURCES.search(text)] == []
    assert [name for name, text in functions if not RANGE.search(text)] == []
