"""Flat jaws over an odd number of teeth, from the tips' own places by plain trigonometry.

Source: geometry. The figures 0.11 mm at 25 teeth of about 27.4 mm and 0.13 mm at 21 are common practice, no source.
"""

from __future__ import annotations

import math

import pytest

from knockon.graph.formulas.splines.involute import flat_jaw_reading


def between_jaws(radius: float, teeth: int) -> float:
    """The least width between two parallel jaws that hold points spread evenly on a circle.

    The least width of a convex polygon is reached with one jaw on a side: turn the polygon so that each side in its
    turn lies on a jaw, and look how far the farthest point is.
    """
    points = [(radius * math.cos(2 * math.pi * i / teeth), radius * math.sin(2 * math.pi * i / teeth))
              for i in range(teeth)]  # fmt: skip
    widths = []
    for i in range(teeth):
        (x1, y1), (x2, y2) = points[i], points[(i + 1) % teeth]
        length = math.hypot(x2 - x1, y2 - y1)
        normal = ((y2 - y1) / length, (x1 - x2) / length)
        widths.append(max(abs((x - x1) * normal[0] + (y - y1) * normal[1]) for x, y in points))
    return min(widths)


@pytest.mark.parametrize(("teeth", "diameter", "low_by"), [(25, 27.4, 0.11), (21, 23.28, 0.13)])
def test_how_much_flat_jaws_read_low(teeth: int, diameter: float, low_by: float) -> None:
    reading = flat_jaw_reading(diameter, float(teeth))
    assert isinstance(reading, float)
    assert diameter - reading == pytest.approx(low_by, abs=0.005)


@pytest.mark.parametrize("teeth", [3, 5, 19, 21, 25, 31])
def test_jaws_touch_one_tip_and_the_two_opposite(teeth: int) -> None:
    diameter = 27.4
    assert flat_jaw_reading(diameter, float(teeth)) == pytest.approx(between_jaws(diameter / 2, teeth), rel=1e-12)
    assert flat_jaw_reading(diameter, float(teeth)) == pytest.approx(diameter / 2 * (1 + math.cos(math.pi / teeth)))


@pytest.mark.parametrize("teeth", [4, 24, 26])
def test_an_even_number_reads_the_diameter(teeth: int) -> None:
    """A caliper is set to the largest reading that the tips allow: two of them lie opposite."""
    assert flat_jaw_reading(27.4, float(teeth)) == 27.4
