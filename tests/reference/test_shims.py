"""Shims and bearing float. The rules are common practice without a source; the arithmetic is checked by hand."""

import pytest

from knockon.graph.formulas.bearings import NORMAL_CLASS_T, pair_float, spacer_for, spacer_for_no_float
from knockon.graph.formulas.interval import Interval, low
from knockon.graph.formulas.shims import best_stacks, wanted_by_common_rule, wanted_by_washer
from knockon.graph.quantity.thread_names import INCH

THOU = INCH / 1000
BOX: dict[float, int | None] = {n * THOU: None for n in (2, 3, 5, 10, 30)}


def thou(shims: tuple[float, ...]) -> list[int]:
    return [round(s / THOU) for s in shims]


# Gaps of 0.068 and 0.047 in. Common practice, no source: gap minus 0.030 in; with a tab washer of 0.036 in: gap minus
# washer.
@pytest.mark.parametrize(
    ("gap", "washer", "stack"),
    [
        (68, None, [30, 5, 3]),
        (47, None, [10, 5, 2]),
        (68, 36, [30, 2]),
        (47, 36, [5, 3, 3]),
    ],
)
def test_shims_of_a_swivel(gap: float, washer: float | None, stack: list[int]) -> None:
    reading = gap * THOU
    wanted = wanted_by_common_rule(reading) if washer is None else wanted_by_washer(reading, washer * THOU)
    best = best_stacks(wanted, BOX)[0]
    assert thou(best.shims) == stack
    assert best.error == pytest.approx(0, abs=1e-4)


def test_the_two_rules_differ_by_the_washer() -> None:
    difference = low(wanted_by_common_rule(68 * THOU)) - low(wanted_by_washer(68 * THOU, 36 * THOU))
    assert difference == pytest.approx(6 * THOU)


def test_the_box_is_respected() -> None:
    best = best_stacks(11 * THOU, {5 * THOU: 1, 3 * THOU: 1, 2 * THOU: 1})[0]
    assert thou(best.shims) == [5, 3, 2]
    assert best.error == pytest.approx(-THOU, abs=1e-4)


def test_bearing_float_by_hand() -> None:
    # Geometry: spacer 0.497, web 0.440, T 0.6875, B 0.660 in: zero gap 0.440 + 2 x 0.0275 = 0.495, float 0.002 in.
    pair = (0.6875 * INCH, 0.660 * INCH)
    assert low(spacer_for_no_float(0.440 * INCH, *pair, *pair)) / INCH == pytest.approx(0.495, abs=1e-6)
    found = pair_float(0.497 * INCH, 0.440 * INCH, pair, pair)
    assert low(found) / INCH == pytest.approx(0.002, abs=1e-6)
    # Two bearings of normal class may each be 0.20 mm wider (ISO 492; from memory): float minus 0.40 mm.
    width = 0.6875 * INCH + NORMAL_CLASS_T
    spread = pair_float(0.497 * INCH, 0.440 * INCH, (width, 0.660 * INCH), (width, 0.660 * INCH))
    assert isinstance(spread, Interval)
    assert spread.width == pytest.approx(0.40)
    assert spread.low < 0


def test_spacer_for_a_window() -> None:
    measured = (17.40, 16.764)
    window = Interval(0.0, 0.10)
    found = spacer_for(window, 11.176, measured, measured)
    assert found is not None
    for length in (found.low, found.middle, found.high):
        play = low(pair_float(length, 11.176, measured, measured))
        assert window.low - 1e-9 <= play <= window.high + 1e-9
    loose = (Interval(17.40, 17.60), 16.764)
    assert spacer_for(window, 11.176, loose, loose) is None
