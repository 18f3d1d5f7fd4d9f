"""The template measured as a printer would draw it: SVG in millimetres, PDF in points of 1/72 in (ISO 32000-1)."""

from __future__ import annotations

import math
import re
from pathlib import Path
from xml.etree import ElementTree

import pytest
from click.testing import CliRunner

from knockon.queries.answers import CAUTION
from knockon.queries.ui.command_calculate import calculate
from knockon.queries.ui.template_drawing import pdf, svg
from knockon.queries.workshop.template import A4, LETTERS, MARGIN, RULER, Template, bolt_circle_template

MM = 25.4 / 72  # of a point
WIDE = 0.55
"""Mean width of a letter against the size of the type: DejaVu Sans, a broad face, has 0.50 to 0.55 in these texts (its
own table of widths)."""
TYPEWRITER = 0.6
"""Width of every letter of Courier against the size of the type (its own table of widths: 600 of 1000)."""
SIZES = [
    (4, 101.6, 10.0, 50.8),
    (5, 114.3, 12.5, 60.1),
    (3, 98.0, 14.0, 0.0),
    (6, 139.7, 16.0, 108.0),
    (3, 50.0, 8.0, 0.0),
]
Circle = tuple[float, float, float]


def circles_of_svg(template: Template) -> list[Circle]:
    """Centre and radius in mm, as printed: user units scaled by the stated size of the page."""
    root = ElementTree.fromstring(svg(template))
    width, height = root.attrib["width"], root.attrib["height"]
    assert width.endswith("mm") and height.endswith("mm")
    _, _, across, down = map(float, root.attrib["viewBox"].split())
    scale = float(width.removesuffix("mm")) / across
    assert float(height.removesuffix("mm")) / down == pytest.approx(scale)
    assert scale == 1.0
    names = ("cx", "cy", "r")
    return [
        tuple(float(c.attrib[n]) * scale for n in names)  # type: ignore[misc]
        for c in root.iter("{http://www.w3.org/2000/svg}circle")
    ]


def parts_of_pdf(template: Template) -> tuple[list[float], str]:
    """The page's size in mm and its drawing; the cross reference table is followed to each object."""
    data = pdf(template)
    start = int(data.rpartition(b"startxref\n")[2].split()[0])
    rows = data[start:].split(b"\n")
    assert rows[0] == b"xref"
    count = int(rows[1].split()[1])
    objects = {}
    for number in range(1, count):
        place = int(rows[2 + number].split()[0])
        assert data[place:].startswith(b"%d 0 obj" % number)
        objects[number] = data[place : data.index(b"endobj", place)]
    box = re.search(rb"/MediaBox \[([\d. ]+)\]", objects[3])
    assert box is not None
    length = re.search(rb"/Length (\d+)", objects[4])
    assert length is not None
    stream = objects[4].partition(b"stream\n")[2].rpartition(b"\nendstream")[0]
    assert len(stream) == int(length[1])
    assert b"/PrintScaling /None" in objects[1]
    return [float(x) * MM for x in box[1].split()], stream.decode("cp1252")


def circles_of_pdf(drawing: str) -> list[Circle]:
    """Centre and radius in mm of each closed curve; a quarter arc must stay on its circle within a micrometre."""
    found = []
    for path in re.findall(r"^(.*) c S$", drawing, re.MULTILINE):
        numbers = [float(x) * MM for x in re.findall(r"-?[\d.]+", path)]
        points = list(zip(numbers[::2], numbers[1::2], strict=True))
        start, arcs = points[0], [points[i : i + 3] for i in range(1, len(points), 3)]
        assert len(arcs) == 4
        (right, _), (left, _) = start, arcs[1][2]
        x, r = (right + left) / 2, (right - left) / 2
        y = start[1]
        last = start
        for first, second, end in arcs:
            half = [(a + 3 * b + 3 * c + d) / 8 for a, b, c, d in zip(last, first, second, end, strict=True)]
            for px, py in (last, end, (half[0], half[1])):
                assert math.hypot(px - x, py - y) == pytest.approx(r, abs=0.001 + 3e-4 * r)
            last = end
        found.append((x, y, r))
    return found


def lines_of_pdf(drawing: str) -> list[float]:
    """Length in mm of each straight line."""
    found = []
    for x1, y1, x2, y2 in re.findall(r"^([\d.-]+) ([\d.-]+) m ([\d.-]+) ([\d.-]+) l S$", drawing, re.MULTILINE):
        found.append(math.hypot(float(x2) - float(x1), float(y2) - float(y1)) * MM)
    return found


def measure(circles: list[Circle], holes: int, circle: float, hole: float, bore: float) -> None:
    """Lay a caliper on the drawing: every hole on the circle, neighbours s apart, sizes right to 0.01 mm."""
    drilled = [c for c in circles if c[2] == pytest.approx(hole / 2, abs=0.005)]
    assert len(drilled) == holes
    (ring,) = [c for c in circles if c[2] == pytest.approx(circle / 2, abs=0.005)]
    middle = ring[:2]
    assert all(math.dist(middle, c[:2]) == pytest.approx(circle / 2, abs=0.01) for c in drilled)
    around = sorted(drilled, key=lambda c: math.atan2(c[1] - middle[1], c[0] - middle[0]))
    spacing = circle * math.sin(math.pi / holes)
    for one, other in zip(around, around[1:] + around[:1], strict=True):
        assert math.dist(one[:2], other[:2]) == pytest.approx(spacing, abs=0.01)
    if bore:
        assert [c[:2] for c in circles if c[2] == pytest.approx(bore / 2, abs=0.005)] == [
            pytest.approx(middle, abs=0.01)
        ]


@pytest.mark.parametrize(("holes", "circle", "hole", "bore"), SIZES)
def test_svg_and_pdf_measure_what_was_asked(holes: int, circle: float, hole: float, bore: float) -> None:
    template = bolt_circle_template(holes, circle, hole, bore)
    measure(circles_of_svg(template), holes, circle, hole, bore)
    page, drawing = parts_of_pdf(template)
    assert page == pytest.approx([0, 0, template.width, template.height], abs=0.001)
    measure(circles_of_pdf(drawing), holes, circle, hole, bore)
    assert any(length == pytest.approx(RULER, abs=0.002) for length in lines_of_pdf(drawing))
    assert "/UserUnit" not in pdf(template).decode("cp1252")  # a point stays a point


@pytest.mark.parametrize(("holes", "circle", "hole", "bore"), SIZES)
def test_a_mark_crosses_the_ruler_at_its_ends_and_in_its_middle(
    holes: int, circle: float, hole: float, bore: float
) -> None:
    lines = bolt_circle_template(holes, circle, hole, bore).lines
    (ruler,) = (n for n in lines if n.y1 == n.y2 and n.x2 - n.x1 == RULER)
    marks = sorted((n for n in lines if n.x1 == n.x2 and n.y1 < ruler.y1 < n.y2), key=lambda n: n.x1)
    assert [n.x1 - ruler.x1 for n in marks] == pytest.approx([0, RULER / 2, RULER])


@pytest.mark.parametrize(("holes", "circle", "hole", "bore"), SIZES)
def test_everything_lies_on_the_sheet(holes: int, circle: float, hole: float, bore: float) -> None:
    template = bolt_circle_template(holes, circle, hole, bore)
    assert all(c.radius <= c.x <= template.width - c.radius for c in template.circles)
    assert all(c.radius <= c.y <= template.height - c.radius for c in template.circles)
    assert all(0 <= x <= template.width for n in template.lines for x in (n.x1, n.x2))
    assert all(t.x >= MARGIN and t.x + WIDE * t.size * len(t.words) <= template.width - MARGIN for t in template.texts)
    assert all(t.size <= t.y <= template.height - MARGIN for t in template.texts)
    assert CAUTION in " ".join(t.words for t in template.texts)
    assert template.fits(*A4)


def test_a_full_line_goes_on_the_ruler_also_as_on_a_typewriter_and_one_letter_more_does_not() -> None:
    letter = TYPEWRITER * bolt_circle_template(*SIZES[0]).texts[0].size
    assert LETTERS * letter <= RULER < (LETTERS + 1) * letter


@pytest.mark.parametrize(("holes", "circle", "hole", "bore"), SIZES)
def test_each_centre_is_marked_by_a_cross_that_sticks_out_of_its_hole_alike_both_ways(
    holes: int, circle: float, hole: float, bore: float
) -> None:
    """It is what a centre punch is set by: what shows beyond the hole's edge, on all four sides."""
    template = bolt_circle_template(holes, circle, hole, bore)
    middle, *others = (c for c in template.circles if not bore or c.radius != bore / 2)
    assert len(others) == holes
    for c in (middle, *others):
        cross = [n for n in template.lines if (n.x1 + n.x2, n.y1 + n.y2) == pytest.approx((2 * c.x, 2 * c.y))]
        level, upright = sorted(cross, key=lambda n: abs(n.y2 - n.y1))
        assert level.y1 == level.y2 and upright.x1 == upright.x2
        assert level.x2 - level.x1 == pytest.approx(upright.y2 - upright.y1)
        assert c is middle or level.x2 - level.x1 > hole


def test_a_sheet_too_big_for_the_paper_says_so(tmp_path: Path) -> None:
    words = ["template", "--holes", "6", "--circle", "205 mm", "--hole", "18 mm", str(tmp_path / "big.svg")]
    outcome = CliRunner().invoke(calculate, words)
    assert outcome.exit_code == 0
    assert "Too big for A4" in outcome.output
    words[4] = "139.7 mm"
    assert "Too big" not in CliRunner().invoke(calculate, words).output


def test_equal_questions_give_equal_bytes() -> None:
    first, second = (bolt_circle_template(*SIZES[1]) for _ in range(2))
    assert svg(first) == svg(second) and pdf(first) == pdf(second)
