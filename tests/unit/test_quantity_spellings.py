"""Spellings that a club member writes: each is read as a person reads it, or refused; never read otherwise."""

from __future__ import annotations

import pytest

from knockon.graph.quantity import LENIENT, CellError, ReadingContext, read_cell

MM, INCH = ReadingContext(unit="mm"), ReadingContext(unit="in")
SAFETY = ReadingContext(safety=True)
INCHES = 25.4

# A cell in a column without a unit, and the size in mm that it says.
SIZES: list[tuple[str, float]] = [
    ('1 1/16"', 17 / 16 * INCHES), ('1-1/16"', 17 / 16 * INCHES), ("1.1/16 in", 17 / 16 * INCHES),
    ("1 & 1/16 in", 17 / 16 * INCHES), ('1½"', 1.5 * INCHES), ("1Â½ in", 1.5 * INCHES), ('Â¼"', 0.25 * INCHES),
    ('Â¾"', 0.75 * INCHES), ('â…›"', 0.125 * INCHES), ("1â…› in", 1.125 * INCHES), ('1¬Ω"', 1.5 * INCHES),
    ('1┬╜"', 1.5 * INCHES), ('1┬¢"', 1.5 * INCHES), ("5/16â€³", 5 / 16 * INCHES), ("5/16â€", 5 / 16 * INCHES),
    ("5/16â€\x9d", 5 / 16 * INCHES), ("5/16″", 5 / 16 * INCHES), ("5/16''", 5 / 16 * INCHES),
    ("1⁄2 in", 0.5 * INCHES), ("3/8", 0.375 * INCHES), ("1.1/8", 1.125 * INCHES), ("1½", 1.5 * INCHES),
    ("497 thou", 12.6238), (".497 in", 12.6238), ("½ thou", 0.0127), ("3½ thou", 0.0889), ("27 m.m.", 27),
    ("27 mms", 27), ("2.7cm", 27), ("27 MM.", 27), ("28½ mm", 28.5), ("dia 1.125 in", 1.125 * INCHES),
    ("ø28 mm", 28), ("10 µm", 0.01), ("1'2 1/2\"", 14.5 * INCHES), ('1" (25.4 mm)', 25.4), ("25.4 mm or 1 in", 25.4),
    ('9/8"', 1.125 * INCHES), ("−1.5 mm", -1.5), ("28\u00a0mm", 28), ("28 mm", 28), ("1 1/8 (28.6)", 1.125 * INCHES),
]  # fmt: skip
SPANS: list[tuple[str, ReadingContext, float, float]] = [
    ("25.4 Â±0.05 mm", LENIENT, 25.35, 25.45),
    ("25.4 ¬±0.05 mm", LENIENT, 25.35, 25.45),
    ("25.4 ┬▒0.05 mm", LENIENT, 25.35, 25.45),
    ("25.4 +/- .05 mm", LENIENT, 25.35, 25.45),
    ("25.4 ± 2 thou", MM, 25.3492, 25.4508),
    ("1.125 ± 2 thou", INCH, 28.5242, 28.6258),
    ("25.4mm ±.002 in", LENIENT, 25.3492, 25.4508),
    ("25.4 mm +0/-0.02", LENIENT, 25.38, 25.4),
    ("22.2-22.4", MM, 22.2, 22.4),
    ("3-4 thou", LENIENT, 0.0762, 0.1016),
    ("1-1/16 to 1-1/8 in", LENIENT, 26.9875, 28.575),
    ("25 k6", LENIENT, 25.002, 25.015),
    ("25 H7", MM, 25.0, 25.021),
    ("27", MM, 26.5, 27.5),
]
# What has two meanings, or says more than a size.
REFUSED: list[tuple[str, str, ReadingContext]] = [
    *((text, "length", LENIENT) for text in (
        "25.4 ± 2 thou", '1.125" ± 2', "27/28", "74/73 worn", "10/8", "17/16", "10x4", "10 x4", '1 1/8" -.002',
        "2 tenths", "3 tenths of a thou", "5/8 mm", "max 74 mm", "<74 mm", "74+ mm", "28 mm (over pins)", "27 or 28",
        "28.5 / 28.6", ".036, .035, .040", "12.6 N/S 12.5 O/S", "1/2 full", "a shade over 1/2 in", "+.010", "STD",
        "-", "nil", "ditto", "same as drum", "10 mil", "28", ".497", "1,125 in", '1 1/8" (28.0 mm)', "3/4 AF",
    )),
    *((text, "length", MM) for text in ("1.1/8", "27/28", "2026-03-08", "08-Mar", "44993", "28,5")),
    *((text, "length", INCH) for text in ("25 H7", "1 H7", "27/28")),
    *((text, "length", SAFETY) for text in (".497", "28", "27/28", "28.6 (1.126)")),
    *((text, "thread", LENIENT) for text in (
        "9.5x24", "0.612-24", "7/16 AF", "7/16AF UNF", "1/2", "3/8 fine", "20x1.5", "M8x30", "1/8 NPT", "R1/8", "1-14",
        "3/8-16 UNF", "3/8 UNF?", "3/8 UNF or M10", "20 UNF", "08-Mar", "3/8 BSC", "M12x1.5 / 1.25", "M20UNF",
    )),
    *((text, "spline pitch", LENIENT) for text in ("25", "1.0", "24/47", "fine", "24-Apr", "square")),
    *((text, "quantity", LENIENT) for text in ("4 set", "sets", "as req", "2 x 2", "1 roll", "2.5", "1L 1R")),
    *((text, "pressure", LENIENT) for text in ("350", "350 lb", "10 in", "350 psi / 2.4 bar", "350#")),
    *((text, "torque", LENIENT) for text in ("150", "150 lbs", "tight", "FT")),
    *((text, "money", LENIENT) for text in ("12/6", "12-15", "12,50", "POA", "1.250", "2 for 25", "-5", "~12")),
    *((text, "hand", LENIENT) for text in ("N/S", "O/S", "ns", "pair", "both", "LHD", "inner", "kerb side")),
    *((text, "ratio", LENIENT) for text in ("8:1", "1-8", "7 deg", "08-Jan", "01:08:00")),
]  # fmt: skip
# Threads: major diameter in mm, and the pitch in mm where the cell or its series states one.
THREADS: list[tuple[str, float, float | None]] = [
    ("3/4 UNF", 19.05, 25.4 / 16), ('3/4"-16UNF-3B', 19.05, 25.4 / 16), (".75-16", 19.05, 25.4 / 16),
    ("3/4 – 16 UNF", 19.05, 25.4 / 16), ("½ UNF", 12.7, 1.27), ("Â½ UNF", 12.7, 1.27), ("1/4 BSW", 6.35, 1.27),
    ("1/4 BSF", 6.35, 25.4 / 26), ("9/16 UNEF", 14.2875, 25.4 / 24), ("10-32", 4.826, 25.4 / 32), ("2 BA", 4.7, 0.81),
    ("1/8 BSP", 9.728, 25.4 / 28), ("M20x1.5", 20, 1.5), ("m20 X 1.5", 20, 1.5), ("M20-1.5", 20, 1.5),
    ("M20 coarse", 20, 2.5), ("M20 fine", 20, None), ("M20", 20, None), ("M10x?", 10, None), ("7/16 UN", 11.1125, None),
]  # fmt: skip


@pytest.mark.parametrize(("text", "size_mm"), SIZES)
def test_sizes_are_read_as_written(text: str, size_mm: float) -> None:
    reading = read_cell(text, "length", context=LENIENT)[""]
    assert reading.low == pytest.approx(size_mm)
    assert reading.high == pytest.approx(size_mm)
    assert reading.written == text


@pytest.mark.parametrize(("text", "context", "low", "high"), SPANS)
def test_spans_are_read_as_written(text: str, context: ReadingContext, low: float, high: float) -> None:
    reading = read_cell(text, "length", context=context)[""]
    assert reading.low == pytest.approx(low)
    assert reading.high == pytest.approx(high)


@pytest.mark.parametrize(("text", "major", "pitch"), THREADS)
def test_threads_have_the_pitch_that_is_stated_and_no_other(text: str, major: float, pitch: float | None) -> None:
    readings = read_cell(text, "thread", context=LENIENT)
    assert readings["major"].low == pytest.approx(major)
    assert readings["pitch"].low == (pytest.approx(pitch) if pitch else None)
    assert readings["hand"].unknown


@pytest.mark.parametrize(("text", "datatype", "context"), REFUSED)
def test_what_has_two_meanings_is_refused_and_each_offer_is_readable(
    text: str, datatype: str, context: ReadingContext
) -> None:
    with pytest.raises(CellError) as caught:
        read_cell(text, datatype, context=context)
    for offer in caught.value.suggestions:
        read_cell(offer, datatype, context=context)


@pytest.mark.parametrize(
    ("text", "datatype", "offers"),
    [
        ('1 1/8" -.002', "length", ('1 1/8 " +0 -.002 "',)),
        ('1" 1/8', "length", ('1 1/8 "',)),
        ("5/8 mm", "length", ("5/8 in", "0.625 mm")),
        ("2 tenths", "length", ("0.2 mm", "0.2 thou")),
        ("28 mm bore", "length", ("28 mm",)),
        ("9.5x24", "thread", ('9.5"x24',)),
        ("stud M12x1.5", "thread", ("M12x1.5",)),
        ("01:08:00", "ratio", ("1:8",)),
        ("max 74 mm", "length", ()),
    ],
)
def test_offers_say_what_may_be_meant(text: str, datatype: str, offers: tuple[str, ...]) -> None:
    with pytest.raises(CellError) as caught:
        read_cell(text, datatype, context=LENIENT)
    assert caught.value.suggestions == offers


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("25T 24/48", "more than a count"),
        ("24/48 25T", "more than a count"),
        ("25 teeth, mod 1", "more than a count"),
        ("24 dp", "not a count"),
        ("2.5/5", "not a count"),
    ],
)
def test_a_count_with_a_pitch_is_told_from_what_is_no_count(text: str, why: str) -> None:
    with pytest.raises(CellError) as caught:
        read_cell(text, "count", context=LENIENT)
    assert caught.value.why == why


def test_a_count_of_five_figures_is_a_slip() -> None:
    """Say a part number in the column of teeth."""
    assert read_cell("9999", "count", context=LENIENT)[""].high == 9999
    with pytest.raises(CellError, match="too many to be meant"):
        read_cell("10000", "count", context=LENIENT)


def test_a_fraction_is_of_an_inch_also_where_a_unit_is_never_guessed() -> None:
    reading = read_cell("1.1/8", "length", context=SAFETY)[""]
    assert reading.low == pytest.approx(28.575)
    assert any("unit inferred" in flag for flag in reading.flags)
