"""Threads, spline pitches and counts as they are designated."""

from __future__ import annotations

import csv
from fractions import Fraction
from importlib.resources import files

import pytest

from knockon.graph.quantity import LENIENT, STRICT, CellError, Quantity, ReadingContext, read_cell
from knockon.graph.quantity.thread_series import INCH_MM, designations, standard_threads

PARTS = ["major", "pitch", "flank angle", "hand"]


def thread(text: str, context: ReadingContext = STRICT) -> dict[str, Quantity]:
    readings = read_cell(text, "thread", context=context)
    assert list(readings) == PARTS
    return readings


def figures(text: str, context: ReadingContext = STRICT) -> tuple[float | None, ...]:
    readings = thread(text, context)
    assert all(reading.low == reading.high and not reading.nominal for reading in readings.values())
    return tuple(readings[part].low for part in PARTS[:3])


def refused(text: str, datatype: str = "thread", context: ReadingContext = STRICT) -> CellError:
    with pytest.raises(CellError) as caught:
        read_cell(text, datatype, context=context)
    for suggestion in caught.value.suggestions:
        read_cell(suggestion, datatype, context=context)
    return caught.value


@pytest.mark.parametrize(
    ("text", "major", "pitch", "flank_angle"),
    [
        ("M10x1", 10, 1, 60),
        ("M12x1.25", 12, 1.25, 60),
        ("M 12 x 1.25", 12, 1.25, 60),
        ("M20×1.5", 20, 1.5, 60),
        ("m20*1.5", 20, 1.5, 60),
        ("M10x1.0 mm", 10, 1, 60),
        ("M38x1.5", 38, 1.5, 60),
        ("M8 coarse", 8, 1.25, 60),
        ("3/8-24 UNF", 9.525, 25.4 / 24, 60),
        ("3/8-24UNF", 9.525, 25.4 / 24, 60),
        ("3/8 x 24 UNF", 9.525, 25.4 / 24, 60),
        ('3/8"-24 UNF', 9.525, 25.4 / 24, 60),
        ("3/8 in-24 UNF", 9.525, 25.4 / 24, 60),
        ("3/8 UNF", 9.525, 25.4 / 24, 60),
        ("3/8 U.N.F.", 9.525, 25.4 / 24, 60),
        ("3/8 UNF 24 tpi", 9.525, 25.4 / 24, 60),
        ("3/8 NF", 9.525, 25.4 / 24, 60),
        ("3/4 UNF", 19.05, 1.5875, 60),
        ("1 1/2-16 UN", 38.1, 1.5875, 60),
        ("1-1/2-16 UN", 38.1, 1.5875, 60),
        ("1½-16 UN", 38.1, 1.5875, 60),
        (".375-24 UNF", 9.525, 25.4 / 24, 60),
        ("1/2 UNEF", 12.7, 25.4 / 28, 60),
        ("3/8-24", 9.525, 25.4 / 24, None),
        ("3/8 24 tpi", 9.525, 25.4 / 24, None),
        ("2-4.5 UNC", 50.8, 25.4 / 4.5, 60),
        ("#10-32 UNF", 4.826, 25.4 / 32, 60),
        ("No. 10 UNF", 4.826, 25.4 / 32, 60),
        ("1/4 BSF", 6.35, 25.4 / 26, 55),
        ("3/8 BSW", 9.525, 25.4 / 16, 55),
        ("3/8 Whitworth", 9.525, 25.4 / 16, 55),
        ("3/8-26 Whit", 9.525, 25.4 / 26, 55),
        ("1/4 BSP", 13.157, 25.4 / 19, 55),
        ("G 1/4", 13.157, 25.4 / 19, 55),
        ("2 BA", 4.7, 0.81, 47.5),
        ("0BA", 6.0, 1.0, 47.5),
    ],
)
def test_designations(text: str, major: float, pitch: float, flank_angle: float | None) -> None:
    read_major, read_pitch, read_angle = figures(text)
    assert (read_major, read_pitch) == pytest.approx((major, pitch), rel=1e-15)
    assert read_angle == flank_angle
    assert not any(reading.flags for reading in thread(text).values())


@pytest.mark.parametrize("count", range(4, 33))
def test_pitches_of_the_series_of_constant_pitch_are_standard(count: int) -> None:
    """ASME B1.1: 4, 6, 8, 12, 16, 20, 28 and 32 threads per inch; 1 3/16 in has 18 (UNEF) beside those."""
    odd = f"{count} threads per inch is of no standard series at 1 3/16"
    constant = count in (4, 6, 8, 12, 16, 20, 28, 32)
    assert thread(f"1 3/16-{count}")["pitch"].flags == (() if constant or count == 18 else (odd,))


@pytest.mark.parametrize("text", ["M10x1", "3/8-24 UNF", "3/4 UNF", "2 BA", "1/4 BSP", "3/8-24"])
def test_a_hand_is_never_filled_in(text: str) -> None:
    assert thread(text)["hand"].unknown
    assert thread(f"{text} LH")["hand"].code == "left"
    assert thread(f"{text} RH")["hand"].code == "right"
    assert thread(f"L.H. {text}")["hand"].code == "left"
    assert thread(f"{text} left-hand")["hand"].code == "left"


@pytest.mark.parametrize(
    ("text", "flag"),
    [
        ("M20 fine", "M20 fine may be 1.0, 1.5 or 2.0"),
        ("M20F", "M20 fine may be 1.0, 1.5 or 2.0"),
        ("M6 fine", "M6 fine may be 0.75"),
        ("M20", "none is written"),
        ("3/8 UNS", "UNS states it behind the size"),
        ("1/2 UN", "UN states it behind the size"),
    ],
)
def test_a_pitch_that_is_not_written_is_unknown(text: str, flag: str) -> None:
    pitch = thread(text)["pitch"]
    assert pitch.unknown and pitch.low is None
    assert flag in pitch.flags[0]
    assert thread(text)["major"].low is not None


@pytest.mark.parametrize(
    ("text", "part", "flag"),
    [
        ("10-32", "major", "read as size #10"),
        ("10 UNF", "major", "read as size #10"),
        ("M12-1.25", "major", "read as M12x1.25"),
        ("M10x1.4", "pitch", "not a standard pitch"),
        ("3/8-24 UNF-2A", "major", "tolerance class 2A"),
        ("M10x1-6g", "major", "tolerance class 6g"),
        ("3/8-24 x 1 1/4", "major", "1 1/4 behind the thread"),
        ("1/2 UNF x 1 1/2", "major", "1 1/2 behind the thread"),
        ("M8x1.25x20", "major", "20 behind the thread"),
    ],
)
def test_what_needed_help_says_so(text: str, part: str, flag: str) -> None:
    assert any(flag in said for said in thread(text)[part].flags)


@pytest.mark.parametrize(
    ("text", "suggestions"),
    [
        ("7/16 AF", ("1/4-20 UNC", "1/4-28 UNF")),
        ("3/8", ("3/8-16 UNC", "3/8-24 UNF")),
        ("3/8 fine", ("3/8-16 UNC", "3/8-24 UNF")),
        ("3/8-16 UNF", ("3/8-24 UNF", "3/8-16 UNC")),
        ("1/2-13 BSW", ("1/2-12 BSW", "1/2-13 UNC")),
        ("20x1.5", ("M20x1.5",)),
        ("20x1.5 mm", ("M20x1.5 mm",)),
        ("12x1.5", ("M12x1.5",)),
        ("8x1", ("M8x1",)),
        ("12-8", ('12"-8',)),
        ("M10x20", ("M10",)),
        ("M10x1,25", ("M10x1.25",)),
        ("08-Mar", ("3/8 UNF", "3/8 UNC")),
        ("08-Mar-24", ("3/8-24",)),
        ("24-Oct", ("10-24",)),
        ("Oct-32", ("10-32",)),
        ("M1Ox1", ("M10x1",)),
    ],
)
def test_a_refused_thread_offers_what_may_be_meant(text: str, suggestions: tuple[str, ...]) -> None:
    offered = refused(text).suggestions
    assert [s for s in offered if s in suggestions] == list(suggestions)


@pytest.mark.parametrize(
    "text",
    ["13 AF", "5/9 UNF", "#13-32", "M10x6", "M0x1", "3/8-0", "3/8-24 LH RH", "30 BA", "M", "UNF",
     "1/8-27 NPT", "1/8 BSPT", "3/8 mm", "same as the other", "25 spl", "3/8-24 UNF BSF", "M10x1 UNF",
     "8-1", "3/8-1"],
)  # fmt: skip
def test_what_is_no_thread_is_refused(text: str) -> None:
    refused(text)


def test_a_metric_comma_is_read_where_the_sheet_writes_one() -> None:
    assert figures("M10x1,25", ReadingContext(decimal_comma=True)) == (10, 1.25, 60)


@pytest.mark.parametrize("text", ["?", "absent", "n/a"])
def test_a_lack_holds_for_every_part(text: str) -> None:
    readings = thread(text)
    assert len({(q.unknown, q.absent, q.not_applicable) for q in readings.values()}) == 1


def test_every_standard_thread_reads_as_its_table_says() -> None:
    read = 0
    for standard in standard_threads():
        if standard.series.startswith("M"):
            text = f"{standard.size}x{float(standard.pitch)}"
        elif standard.series == "BA":
            text = standard.size
        else:
            text = f"{standard.size} {standard.series}"
        assert figures(text)[:2] == (float(standard.major), float(standard.pitch)), text
        read += 1
    assert read > 250


def test_the_further_threads_name_their_standard() -> None:
    table = files("knockon.graph.quantity").joinpath("thread_series.csv").read_text(encoding="utf-8")
    rows = list(csv.DictReader(table.splitlines()))
    assert len(rows) > 100
    assert {row["source"].split()[0] for row in rows} == {"ASME", "BS", "ISO"}
    sizes = [(row["series"], row["size"], row["pitch"]) for row in rows]
    assert len(set(sizes)) == len(sizes)


# Read in BS 84 as quoted by the Whitworth page of an open thread generator: 1/2 BSW 12, BSF 16; 1/4 BSF 26; 3/8 BSF 20;
# ISO 228-1 as tabulated by an open thread library: 1/8 and 1/4 BSP.
@pytest.mark.parametrize(
    ("series", "size", "per_inch", "major"),
    [
        ("BSW", "1/2", 12, 12.7),
        ("BSF", "1/2", 16, 12.7),
        ("BSF", "1/4", 26, 6.35),
        ("BSF", "3/8", 20, 9.525),
        ("BSP", "1/8", 28, 9.728),
        ("BSP", "1", 11, 33.249),
    ],
)
def test_british_series_against_published_rows(series: str, size: str, per_inch: int, major: float) -> None:
    found = [t for t in standard_threads() if (t.series, t.size) == (series, size)]
    assert [(float(t.major), INCH_MM / t.pitch) for t in found] == [(major, Fraction(per_inch))]


def test_designations_of_a_size() -> None:
    assert designations("3/4") == ("3/4-10 UNC", "3/4-16 UNF")
    assert designations("7/3") == ()


@pytest.mark.parametrize(
    ("text", "module"),
    [
        ("24/48", 25.4 / 24),
        ("24/48 DP", 25.4 / 24),
        ("24 / 48", 25.4 / 24),
        ("24 DP", 25.4 / 24),
        ("module 1.0", 1.0),
        ("module 1", 1.0),
        ("mod 1", 1.0),
        ("m 1", 1.0),
        ("m1.25", 1.25),
        ("m=1", 1.0),
        ("1.0 module", 1.0),
    ],
)
def test_spline_pitches_are_modules(text: str, module: float) -> None:
    (reading,) = read_cell(text, "spline pitch").values()
    assert reading.low == reading.high == pytest.approx(module, rel=1e-15)
    assert not reading.nominal and not reading.flags


def test_a_tooth_count_leaves_the_pitch_unknown() -> None:
    readings = read_cell("25 spl", "spline pitch", context=LENIENT)
    assert readings[""].unknown and readings["teeth"].low == 25
    both = read_cell("25T 24/48", "spline pitch", context=LENIENT)
    assert both["teeth"].low == 25
    assert both[""].low == pytest.approx(25.4 / 24)
    refused("25 spl", "spline pitch")


@pytest.mark.parametrize(
    ("text", "suggestions"),
    [
        ("24", ("24 DP", "module 24")),
        ("1.0", ("module 1.0",)),
        ("24/40", ("24/48",)),
        ("1 mm", ()),
        ("0/0", ()),
        ("module 0", ()),
        ("0 DP", ()),
        ("1 24/48", ()),
    ],
)
def test_what_is_no_spline_pitch_is_refused(text: str, suggestions: tuple[str, ...]) -> None:
    assert refused(text, "spline pitch").suggestions == suggestions


@pytest.mark.parametrize(
    ("text", "low", "high", "flags"),
    [
        ("27", 27, 27, ()),
        ("0", 0, 0, ()),
        ("25 spl", 25, 25, ()),
        ("25T", 25, 25, ()),
        ("25 teeth", 25, 25, ()),
        ("25 splines", 25, 25, ()),
        ("27.0", 27, 27, ("read as 27",)),
        ("four", 4, 4, ("read as 4",)),
        ("24-26", 24, 26, ()),
    ],
)
def test_counts(text: str, low: float, high: float, flags: tuple[str, ...]) -> None:
    reading = read_cell(text, "count")[""]
    assert (reading.low, reading.high, reading.flags) == (low, high, flags)
    assert not reading.nominal


@pytest.mark.parametrize("text", ["27.5", "27,0", "1/2", "-4", "~27", "44993", "26-24", "25T 24/48", "many"])
def test_what_is_no_count_is_refused(text: str) -> None:
    refused(text, "count")


def test_a_counts_decimal_comma_needs_the_locale() -> None:
    assert read_cell("27,0", "count", context=ReadingContext(decimal_comma=True))[""].low == 27


@pytest.mark.parametrize(
    ("text", "hand"),
    [
        ("Tr 8x1.5 LH", "left"),
        ("Tr8x1.5LH", "left"),
        ("TR 8 x 1.5 mm, left hand", "left"),
        ("tr. 8x1.5 RH", "right"),
        ("Tr 8x1.5", None),
        ("Tr 8x1.5-7e", None),
    ],
)
def test_trapezoidal_threads(text: str, hand: str | None) -> None:
    assert figures(text) == (8, 1.5, 30)
    assert thread(text)["hand"].code == hand


def test_a_trapezoidal_thread_without_its_pitch_is_not_known() -> None:
    found = thread("Tr 8")
    assert (found["major"].low, found["pitch"].unknown, found["flank angle"].low) == (8, True, 30)


@pytest.mark.parametrize("text", ["Tr 40x14 (P7)", "Tr 40x14P7", "Tr 40 x 14 (P7) LH", "Tr 8x50", "Tr", "Tr 1/2x1.5"])
def test_what_is_no_single_start_trapezoidal_thread_is_refused(text: str) -> None:
    refused(text)
