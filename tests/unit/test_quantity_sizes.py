"""Lengths, angles, pressures, torques and ratios as they stand in tables and sheets."""

from __future__ import annotations

import pytest

from knockon.graph.quantity import (
    LENIENT,
    STRICT,
    CellError,
    Quantity,
    ReadingContext,
    read_cell,
)

MM = ReadingContext(unit="mm")
BORE = ReadingContext(feature_range=(5.0, 60.0))


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


@pytest.mark.parametrize(
    ("text", "context", "low", "high", "nominal", "flag"),
    [
        (".497", BORE, 12.6238, 12.6238, True, "unit inferred: inch"),
        ("28", BORE, 27.5, 28.5, False, "±0.5"),
        ("28", MM, 27.5, 28.5, False, "±0.5"),
        ("28.0", MM, 28.0, 28.0, True, ""),
        ("28 mm", BORE, 28.0, 28.0, True, ""),
        ("1.125", ReadingContext(unit="inches"), 28.575, 28.575, True, ""),
        ("1", ReadingContext(unit="(in)"), 25.4, 25.4, True, ""),
        ("27,52", ReadingContext(unit="mm", decimal_comma=True), 27.52, 27.52, True, ""),
        ("1.234,5", ReadingContext(unit="mm", decimal_comma=True), 1234.5, 1234.5, True, "1234.5"),
        ("1,234.5 mm", LENIENT, 1234.5, 1234.5, True, "1234.5"),
        ("~74", MM, 72.0, 76.0, False, "approximate"),
        ("c. 74 mm", LENIENT, 72.0, 76.0, False, "approximate"),
        ("74 mm approx", LENIENT, 72.0, 76.0, False, "approximate"),
        ("about 2 in", LENIENT, 45.72, 55.88, False, "approximate"),
        ("~74.25 mm", LENIENT, 72.765, 75.735, False, "approximate"),
        ("22.2-22.4", MM, 22.2, 22.4, False, ""),
        ("1.1/8", LENIENT, 28.575, 28.575, True, "read as 1 1/8"),
        ("1 & 1/8", LENIENT, 28.575, 28.575, True, "read as 1 1/8"),
        ("1Â½", LENIENT, 38.1, 38.1, True, "repaired text"),
        ("1Ã‚Â½ in", LENIENT, 38.1, 38.1, True, "repaired text"),
        ("25.4 Â±0.1 mm", LENIENT, 25.3, 25.5, False, "repaired text"),
        ("1¬Ω in", LENIENT, 38.1, 38.1, True, "repaired text"),
        ("25.4\u200b mm", LENIENT, 25.4, 25.4, True, "invisible"),
        ("1 1/3 in", LENIENT, 4 / 3 * 25.4, 4 / 3 * 25.4, True, "unusual fraction"),
        ("28.6 mm (1 1/8 in)", LENIENT, 28.575, 28.575, True, "agrees with 28.6 mm"),
        ("1.125 in / 28.58 mm", LENIENT, 28.575, 28.575, True, "agrees with 28.58 mm"),
        ("57.15 (2.250)", LENIENT, 57.15, 57.15, True, "units inferred"),
        ("1.1 in (28.0 mm)", LENIENT, 28.0, 28.0, True, "agrees with 1.1 in"),
        ("28.0 mm worn", LENIENT, 28.0, 28.0, True, "worn"),
        ("28.0 (worn)", MM, 28.0, 28.0, True, "worn"),
        ("28 (mm)", LENIENT, 28.0, 28.0, True, ""),
        ("28.0 mm (bearing bore)", LENIENT, 28.0, 28.0, True, "remark: bearing bore"),
        ("1.125 mm", LENIENT, 1.125, 1.125, True, ""),
        ("99 mm", BORE, 99.0, 99.0, True, "outside the usual range"),
    ],
)
def test_sheet_cells_say_what_help_they_needed(
    text: str, context: ReadingContext, low: float, high: float, nominal: bool, flag: str
) -> None:
    reading = size(text, context=context)
    assert reading.low == pytest.approx(low, abs=1e-9)
    assert reading.high == pytest.approx(high, abs=1e-9)
    assert reading.nominal is nominal
    if flag:
        assert any(flag in said for said in reading.flags)
    else:
        assert reading.flags == ()


@pytest.mark.parametrize(
    ("text", "context"),
    [
        (".497", LENIENT),
        ("28", LENIENT),
        ("10", ReadingContext(feature_range=(5.0, 500.0))),
        (".497", ReadingContext(feature_range=(5.0, 60.0), safety=True)),
        ("57.15 (2.250)", ReadingContext(safety=True)),
        ("27,52", MM),
        ("1 1/16", MM),
        ("1.125 mm", BORE),
        ("1.125", ReadingContext(unit="mm", feature_range=(5.0, 60.0))),
        ("28", ReadingContext(unit="furlong")),
        ("28", ReadingContext(unit="psi")),
        ("28 mm (not measured)", LENIENT),
        ("30 max (mm)", LENIENT),
        ("28 mm (1.125 in)", LENIENT),
        ("10.0/9.5", MM),
        ("worn 9 (min 8)", MM),
    ],
)
def test_a_unit_is_never_guessed_and_a_doubt_never_settled(text: str, context: ReadingContext) -> None:
    refused(text, context=context)


def test_what_is_outside_the_features_range_offers_the_other_unit() -> None:
    assert refused("1.125 mm", context=BORE).suggestions == ("1.125 in",)
    assert refused(".497", context=ReadingContext(feature_range=(5.0, 60.0), safety=True)).suggestions == (".497 in",)


@pytest.mark.parametrize(
    ("text", "key", "new", "other"),
    [
        ("new 10.0 / worn 9.5 mm", "worn", 10.0, 9.5),
        ("10.0 new, 9.5 worn", "worn", 10.0, 9.5),
        ("worn 9.5 new 10.0", "worn", 10.0, 9.5),
        (".375 in new .335 in worn", "worn", 9.525, 8.509),
        ("10.0 mm (min 9.0)", "minimum", 10.0, 9.0),
        ("10.0 (9.0 min)", "minimum", 10.0, 9.0),
        ("new: 10.0 min: 9.0", "minimum", 10.0, 9.0),
    ],
)
def test_new_with_worn_or_least_size(text: str, key: str, new: float, other: float) -> None:
    readings = read_cell(text, "length", context=MM)
    assert {name: reading.low for name, reading in readings.items()} == {"": new, key: other}


@pytest.mark.parametrize(
    ("text", "datatype", "low", "high", "nominal"),
    [
        ("82 deg", "angle", 82.0, 82.0, True),
        ("82°", "angle", 82.0, 82.0, True),
        ("90º", "angle", 90.0, 90.0, True),
        ("82 deg ±1 deg", "angle", 81.0, 83.0, False),
        ("14° 30'", "angle", 14.5, 14.5, True),
        ("7° 7' 30\"", "angle", 7.125, 7.125, True),
        ("1:8", "ratio", 0.125, 0.125, False),
        ("1 : 10", "ratio", 0.1, 0.1, False),
        ("1 in 8", "ratio", 0.125, 0.125, False),
        ("1/8", "ratio", 0.125, 0.125, False),
        ("12.5 %", "ratio", 0.125, 0.125, False),
        ("1 1/2 in/ft", "ratio", 0.125, 0.125, False),
        ("1.5 in per ft", "ratio", 0.125, 0.125, False),
        ("0.38", "number", 0.38, 0.38, False),
        ("69 %", "number", 0.69, 0.69, False),
        ("0.35..0.40", "number", 0.35, 0.4, False),
        ("10 psi", "pressure", 68.94757293168361, 68.94757293168361, False),
        ("350psi", "pressure", 2413.1650526089265, 2413.1650526089265, False),
        ("0.7 bar", "pressure", 70.0, 70.0, False),
        ("8-10 psi", "pressure", 55.15805834534689, 68.94757293168361, False),
        ("1 kgf/cm²", "pressure", 98.0665, 98.0665, False),
        ("0.1 MPa", "pressure", 100.0, 100.0, False),
        ("50 N m", "torque", 50.0, 50.0, False),
        ("50Nm", "torque", 50.0, 50.0, False),
        ("100 lbf ft", "torque", 135.58179483314004, 135.58179483314004, False),
        ("100 ft-lb", "torque", 135.58179483314004, 135.58179483314004, False),
        ("12 lbf in", "torque", 1.3558179483314003, 1.3558179483314003, False),
        ("1 kgf m", "torque", 9.80665, 9.80665, False),
        ("200 N", "force", 200.0, 200.0, False),
        ("1 lbf", "force", 4.4482216152605, 4.4482216152605, False),
    ],
)
def test_other_sizes(text: str, datatype: str, low: float, high: float, nominal: bool) -> None:
    reading = size(text, datatype)
    assert reading.low == pytest.approx(low, rel=1e-15)
    assert reading.high == pytest.approx(high, rel=1e-15)
    assert reading.nominal is nominal


def test_a_torque_in_wrong_notation_is_read_with_a_flag() -> None:
    reading = size("80 lb/ft", "torque")
    assert reading.low == pytest.approx(108.46543586651204)
    assert reading.flags == ("lb/ft read as lbf ft",)


@pytest.mark.parametrize(
    ("text", "datatype"),
    [
        ("82", "angle"),
        ("400 deg", "angle"),
        ("82 mm", "angle"),
        ("10", "pressure"),
        ("10 mm", "pressure"),
        ("50", "torque"),
        ("50 N", "torque"),
        ("tight", "torque"),
        ("1:0", "ratio"),
        ("steep", "ratio"),
        ("8 mm", "number"),
    ],
)
def test_no_unit_is_filled_in_anywhere(text: str, datatype: str) -> None:
    refused(text, datatype)


def test_codes_are_folded_and_kept_as_written() -> None:
    reading = size("  Double   Inverted ", "code")
    assert reading.code == "double inverted"
    assert reading.written == "  Double   Inverted "
    assert size("?", "code").unknown
    assert size("none", "code").code == "none"


def test_an_unknown_datatype_is_the_callers_mistake() -> None:
    with pytest.raises(ValueError, match="no datatype 'lenght'"):
        read_cell("25.4 mm 1", "lenght")


def test_the_error_names_cell_fault_expectation_and_offers() -> None:
    error = refused("25.4")
    assert str(error) == (
        "cannot read '25.4'; unit missing; expected a length with its unit, such as 25.4 mm, "
        "1 1/16 in or 25.40 ±0.05 mm; perhaps 25.4 mm or 25.4 in"
    )
