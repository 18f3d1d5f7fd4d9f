"""A bolt circle to print at 1:1 and lay on the hub: circles and lines in mm, before anybody draws them."""

from __future__ import annotations

import math
from textwrap import wrap

import msgspec

from knockon.graph.formulas.interval import low
from knockon.graph.formulas.wheels import adjacent_spacing
from knockon.queries.answers import CAUTION

MARGIN = 12.0
"""Room in mm around the outermost circle."""
A4 = (210.0, 297.0)
"""Width and height of a sheet in mm (ISO 216)."""
EDGE = 5.0
"""What most printers leave blank at each edge, in mm. Common practice, no source."""
RULER = 100.0
"""Length in mm of the line by which the print is checked."""
LETTERS = 47
"""Letters in a line of text: so many are no longer than the ruler, also where the reader's typeface is a broad one."""


class Circle(msgspec.Struct, frozen=True):
    """A circle: centre and radius in mm; ``cut`` is a hole, else a thin line of construction."""

    x: float
    y: float
    radius: float
    cut: bool = True


class Line(msgspec.Struct, frozen=True):
    """A line between two points in mm."""

    x1: float
    y1: float
    x2: float
    y2: float


class Text(msgspec.Struct, frozen=True):
    """A line of text at a point in mm; ``size`` is its height in mm."""

    x: float
    y: float
    words: str
    size: float = 3.5


class Template(msgspec.Struct, frozen=True):
    """A sheet of ``width`` x ``height`` mm, y downwards."""

    width: float
    height: float
    circles: tuple[Circle, ...]
    lines: tuple[Line, ...]
    texts: tuple[Text, ...]

    def fits(self, width: float, height: float) -> bool:
        """Whether it goes on a sheet of paper in mm, either way round, with the edge that printers leave blank."""
        short, long = sorted((self.width, self.height))
        narrow, wide = sorted((width - 2 * EDGE, height - 2 * EDGE))
        return short <= narrow and long <= wide


def bolt_circle_template(holes: int, circle: float, hole: float, bore: float = 0.0) -> Template:
    """A bolt circle of ``holes`` holes of diameter ``hole`` on ``circle`` (mm), with a centre bore where given.

    A ruler of 100 mm stands below it: a print on which it measures anything else is not 1:1. Raises ValueError for
    sizes that do not go into each other.
    """
    spacing = low(adjacent_spacing(circle, holes))
    if not 0 < hole < spacing or not 0 <= bore < circle - hole:
        raise ValueError("these holes would run into each other")
    radius = circle / 2
    reach = radius + hole / 2 + MARGIN
    width = max(2 * reach, RULER + 2 * MARGIN)
    x, y = width / 2, reach
    circles = [Circle(x, y, radius, cut=False)]
    if bore:
        circles.append(Circle(x, y, bore / 2))
    lines = [_cross(x, y, 6.0, True), _cross(x, y, 6.0, False)]
    for i in range(holes):
        angle = 2 * math.pi * i / holes - math.pi / 2
        hx, hy = x + radius * math.cos(angle), y + radius * math.sin(angle)
        circles.append(Circle(hx, hy, hole / 2))
        lines += [_cross(hx, hy, hole / 2 + 2, True), _cross(hx, hy, hole / 2 + 2, False)]
    base = 2 * reach + MARGIN
    start = x - RULER / 2
    lines.append(Line(start, base, start + RULER, base))
    lines += [Line(start + mark, base - 2, start + mark, base + 2) for mark in (0.0, RULER / 2, RULER)]
    said = (
        f"This line must measure {RULER:.1f} mm. If it does not, print at 100 %.",
        f"{holes} x {circle:.2f} mm ({circle / 25.4:.4f} in), holes {hole:.2f} mm",
        f"Neighbouring centres {spacing:.2f} mm ({spacing / 25.4:.4f} in)",
        CAUTION,
    )
    broken = [line for words in said for line in wrap(words, LETTERS)]
    texts = [Text(start, base + 7 + 6 * i, line) for i, line in enumerate(broken)]
    return Template(
        width=width,
        height=texts[-1].y + MARGIN,
        circles=tuple(circles),
        lines=tuple(lines),
        texts=tuple(texts),
    )


def _cross(x: float, y: float, reach: float, level: bool) -> Line:
    return Line(x - reach, y, x + reach, y) if level else Line(x, y - reach, x, y + reach)
