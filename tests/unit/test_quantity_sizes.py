"""Lengths as they stand in tables: stated, with limits, of a tolerance class, and what is none."""

from __future__ import annotations

import pytest

from knockon.graph.quantity import STRICT, CellError, Quantity, ReadingContext, read_cell


def size(text: str, datatype: str = "length", context: ReadingContext = STRICT) -> Quantity:
    readings = read_cell(text, datatype, context=context)
    assert list(readings) == [""]
    return readings[""]


def refused(text: str, datatype: str = "length", context: ReadingContext = STRICT) -> CellError:
    with pytest.raises(CellError) as caught:
        read_cell(text, datatype, context=context)
    assert caught.value.written == text
    for suggestion in caught.value.suggestions:
        read_cell(suggestion, datatype, context=context)
    return caught.value


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("25.4 mm", 25.4),
        ("25.4mm", 25.4),
        ("1 in", 25.4),
        (".497 in", 12.6238),
        ("0.497in", 12.6238),
        ("497 thou", 12.6238),
        ("1 1/16 in", 26.9875),
        ('1 1/16"', 26.9875),
        ("1 1/16''", 26.9875),
        ("1 1/16″", 26.9875),
        ("1-1/16 in", 26.9875),
        ("1½ in", 38.1),
        ("1 ½ in", 38.1),
        ("1-½ in", 38.1),
        ("1¹⁄₂ in", 38.1),
        ("½ in", 12.7),
        ("17/16 in", 26.9875),
        ("2.54 cm", 25.4),
        ("0.0254 m", 25.4),
        ("25400 µm", 25.4),
        ("1 ft", 304.8),
        ("2 ft 3 in", 685.8),
        ("2' 3 1/2\"", 698.5),
        ("ø25.4 mm", 25.4),
        ("25.4 mm dia.", 25.4),
        ("-0.5 mm", -0.5),
        ("+4.0 mm", 4.0),
        ("2.54E+01 mm", 25.4),
        ("25.4 MM", 25.4),
        ("1 INCH", 25.4),
    ],
)
def test_a_stated_length_is_nominal_and_exact(text: str, mm: float) -> None:
    reading = size(text)
    assert reading.low == reading.high == mm
    assert reading.nominal
    assert reading.written == text
    assert not reading.flags


@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("25.40 ±0.05 mm", 25.35, 25.45),
        ("25.40 mm ±0.05 mm", 25.35, 25.45),
        ("25.40 mm +/- 0.05", 25.35, 25.45),
        ("25.40 +-0.05 mm", 25.35, 25.45),
        ("0.497 in ±0.001 in", 12.5984, 12.6492),
        ("0.497 in ±1 thou", 12.5984, 12.6492),
        ("1.000 in ±0.05 mm", 25.35, 25.45),
        ("25.2..25.4 mm", 25.2, 25.4),
        ("25.2 - 25.4 mm", 25.2, 25.4),
        ("25.2–25.4 mm", 25.2, 25.4),
        ("25.2 mm to 25.4 mm", 25.2, 25.4),
        ("between 25.2 and 25.4 mm", 25.2, 25.4),
        ("1 in..2 in", 25.4, 50.8),
        ("1/4-3/8 in", 6.35, 9.525),
        ("1-1/16-1-1/8 in", 26.9875, 28.575),
        ("25 +0.021/0 mm", 25.0, 25.021),
        ("25 +0.021 -0.000 mm", 25.0, 25.021),
        ("25 mm -0.020 -0.041", 24.959, 24.98),
        ("-2..-1 mm", -2.0, -1.0),
    ],
)
def test_limits_and_uncertainty_are_not_nominal(text: str, low: float, high: float) -> None:
    reading = size(text)
    assert (reading.low, reading.high) == (low, high)
    assert not reading.nominal
    assert not reading.flags


# ISO 286-2: k6 at 25 mm is +15/+2 um, H7 +21/0, n6 at 28 mm +28/+15.
@pytest.mark.parametrize(
    ("text", "low", "high"),
    [
        ("25 k6", 25.002, 25.015),
        ("25 mm k6", 25.002, 25.015),
        ("ø25k6", 25.002, 25.015),
        ("25 H7", 25.0, 25.021),
        ("28 n6", 28.015, 28.028),
    ],
)
def test_iso_286_classes_give_limits(text: str, low: float, high: float) -> None:
    reading = size(text)
    assert reading.low == pytest.approx(low, abs=1e-9)
    assert reading.high == pytest.approx(high, abs=1e-9)
    assert not reading.nominal


def test_a_fraction_with_a_class_of_millimetres_needs_its_unit_and_is_read_with_either() -> None:
    offered = refused("3/8 H7").suggestions
    assert offered == ("3/8 in H7", "0.375 mm H7")
    reading = size(offered[0])
    assert (reading.low, reading.high) == pytest.approx((9.525, 9.540), abs=1e-9)  # ISO 286-2: +15/0 um


@pytest.mark.parametrize("text", ["25 k99", "25 H7/k6", "25 i6", "0 k6", "9000 k6"])
def test_what_is_no_tolerance_class_of_one_part_is_refused(text: str) -> None:
    refused(text)


@pytest.mark.parametrize(
    ("text", "suggestions"),
    [
        ("25.4", ("25.4 mm", "25.4 in")),
        ("1 1/16", ("1 1/16 mm", "1 1/16 in")),
        ("22.2-22.4", ("22.2-22.4 mm", "22.2-22.4 in")),
        ("27,52 mm", ("27.52 mm",)),
        ("1.234,5 mm", ("1234.5 mm",)),
        ("1 17/16 in", ("2 1/16 in",)),
        ("1 16/16 in", ("2 in",)),
        ("25.4..25.2 mm", ("25.2..25.4 mm",)),
        ("1 - 1/2 in", ("1 1/2 in",)),
        ("28 mm (1 1/8 in)", ("28 mm", "1 1/8 in")),
        ("7/16 AF", ("7/16 in",)),
        ("13 A/F", ("13 mm",)),
        ("O.497 in", ("0.497 in",)),
        ("1O mm", ("10 mm",)),
        ("l0 mm", ("10 mm",)),
        ("25.4 mm?", ("?", "25.4 mm")),
        ("08-Mar", ("3/8 in",)),
        ("8-Mar-2023", ("3/8 in",)),
        ("Mar-08", ("3/8 in",)),
        ("44993", ("3/8 in",)),
        ("42372", ("1 3/16 in",)),  # 3 January 2016
        ("2023-03-08", ("3/8 in",)),
        ("2023-03-08 00:00:00", ("3/8 in",)),
        ("08/03/2023", ("3/8 in",)),
        ("01-Jan-08", ("1 1/8 in",)),
        ("16-May", ("5/16 in",)),
        ("none", ("?", "n/a", "absent")),
        ("-", ("?", "n/a", "absent")),
    ],
)
def test_a_refused_length_offers_what_may_be_meant(text: str, suggestions: tuple[str, ...]) -> None:
    offered = refused(text).suggestions
    assert [s for s in offered if s in suggestions] == list(suggestions)


@pytest.mark.parametrize(
    "text",
    [
        "1e5 mm",
        "1e99999 mm",
        "1E+300 mm",
        "12 km",
        "25.4.1 mm",
        "25 4 mm",
        "1/0 in",
        "1 1/0 in",
        "25 psi",
        "25 deg",
        "100000 mm",
        "1:8",
        "3/8-24 in",
        "25.4 mm 1 in",
        "min 9 mm",
        "10 mm (min 9.0)",
        "new 10 mm / worn 9.5 mm",
        "25 ±50% mm",
        "25 mm ±-0.1 mm",
        "25 mm +20 -30 mm",
        "2 in 3 ft",
        "#N/A",
        "#REF!",
        "####",
        "see above",
        "same as drum one",
        "as above",
        "ditto",
        "inf mm",
        "nan mm",
        "٢٥ mm",
        "25\ufffd mm",
        "25\x00 mm",
        "=25.4",
    ],
)
def test_what_is_no_length_is_refused(text: str) -> None:
    refused(text)


@pytest.mark.parametrize("text", ["?", "??", "tbc", "TBC.", "tba", "unknown", "not known", "n/k", "", "  "])
def test_unknown_is_not_zero(text: str) -> None:
    reading = size(text)
    assert reading.unknown and not reading.absent and not reading.not_applicable
    assert (reading.low, reading.high, reading.code) == (None, None, None)


def test_absent_and_not_applicable_differ_from_unknown() -> None:
    absent, irrelevant = size("absent"), size("n/a")
    assert absent.absent and not absent.unknown and not absent.not_applicable
    assert irrelevant.not_applicable and not irrelevant.unknown and not irrelevant.absent
    assert size("0 mm").low == 0.0
