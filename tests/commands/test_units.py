"""Sizes for people: mm and inch side by side, fractions as fractions, honest rounding."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from msgspec.structs import replace

from knockon.queries.fits.checking.evidence import Line, Value
from knockon.queries.fits.checking.size_names import FeatureSize, WrittenSize
from knockon.queries.ui import units


@pytest.mark.parametrize(
    ("mm", "written", "shown"),
    [
        (25.4, "25.4 mm", "25.4 mm (1.000 in)"),
        (25.4, "1 in", "25.4 mm (1.000 in)"),
        (26.9875, "1 1/16 in", "26.988 mm (1 1/16 in)"),
        (28.575, "1-1/8 in", "28.575 mm (1 1/8 in)"),
        (19.05, "3/4 in", "19.05 mm (3/4 in)"),
        (24.13, ".950 in", "24.13 mm (0.950 in)"),
        (15.875, "0.6250 in", "15.875 mm (0.6250 in)"),
        (28.0, "28.0 mm", "28 mm (1.102 in)"),
        (0.0, "0 mm", "0 mm"),
        (0.002, "0.002 mm", "0.002 mm (0.0001 in)"),
        (-2.108, "", "-2.108 mm (-0.083 in)"),
    ],
)
def test_lengths(mm: float, written: str, shown: str) -> None:
    assert units.length(mm, mm, written) == shown


def test_intervals_and_open_ends() -> None:
    assert units.length(3.5, 4.5) == "3.5 to 4.5 mm (0.138 to 0.177 in)"
    assert units.length(28.575, 28.585) == "28.575 to 28.585 mm (1.1250 to 1.1254 in)"
    assert units.length(3.0, None) == "at least 3 mm (0.118 in)"
    assert units.length(None, 0.1) == "up to 0.1 mm (0.004 in)"
    assert units.length(None, None) == "not known"


@given(st.floats(0.02, 5000), st.floats(0, 5))
def test_both_units_say_the_same_length(low: float, width: float) -> None:
    shown = units.length(low, low + width)
    mm, _, inch = shown.removesuffix(" in)").partition(" mm (")
    for one, other in zip(mm.split(" to "), inch.split(" to "), strict=True):
        assert abs(float(one) - float(other) * 25.4) <= 0.0005 * 25.4 + 0.0005 + 1e-9


def value(written: str, low: float | None, datatype: str, unit: str = "", dimension: str = "d") -> Value:
    return Value("P", FeatureSize("f", dimension), written, low, low, "s", "drawing", True, datatype, unit)


@pytest.mark.parametrize(
    ("stated", "shown"),
    [
        (value("25", 25.0, "count"), "25"),
        (value("24/48", 25.4 / 24, "spline pitch", "mm"), "24/48 (module 1.058)"),
        (value("module 1.0", 1.0, "spline pitch", "mm"), "module 1.0"),
        (value("3/4-16 UNF", 19.05, "thread", "mm", "thread.major"), "3/4-16 UNF (19.05 mm (0.750 in))"),
        (value("3/4-16 UNF", 25.4 / 16, "thread", "mm", "thread.pitch"), "3/4-16 UNF (1.587 mm, 16 to the inch)"),
        (value("M20x1.5", 1.5, "thread", "mm", "thread.pitch"), "M20x1.5 (1.5 mm)"),
        (value("1:8", 0.125, "ratio"), "1:8"),
        (value("10 psi", 68.94757, "pressure", "kPa"), "10 psi (68.9 kPa)"),
        (value("1.5 bar", 150.0, "pressure", "kPa"), "1.5 bar (21.8 psi)"),
        (value("?", None, "length", "mm"), "not known (written ?)"),
        (value("taper", None, "code"), "taper"),
    ],
)  # fmt: skip
def test_stated_sizes(stated: Value, shown: str) -> None:
    assert units.size(stated) == shown


@pytest.mark.parametrize("written", ["2RS", "1/4 UNF bore", "<A>", "A?", "- 12"])
def test_a_code_is_known_whatever_its_first_sign_is(written: str) -> None:
    assert units.size(value(written, None, "code")) == written
    assert units.size(value(" ? ", None, "length")) == "not known (written  ? )"


def test_a_size_with_limits_says_what_was_written() -> None:
    stated = Value("P", FeatureSize("f", "d"), "4.0 mm ±0.5 mm", 3.5, 4.5, "s", "on the item", True, "length", "mm")
    assert units.size(stated) == "3.5 to 4.5 mm (0.138 to 0.177 in), written 4.0 mm ±0.5 mm"


def line(low: float, window: tuple[float | None, float | None], margin: float, unit: str = "mm") -> Line:
    return Line("l", "service", "required", "no", low, low, *window, margin, unit, "", "", "", ())


def test_misses_and_windows_in_words() -> None:
    assert units.miss(line(-0.0583, (-0.002, 0.002), -0.0563)) == "they differ by 0.058 mm (0.002 in)"
    assert units.miss(line(-11.227, (0.0, None), -11.227)) == "short by 11.227 mm (0.442 in)"
    assert units.miss(line(4, (0, 0), -4, "")) == "they differ by 4"
    differ = line(4, (0, 0), -4)
    for open_end in (replace(differ, low=None), replace(differ, high=None)):  # nobody can tell by how much
        assert units.miss(open_end) == ""
    assert units.window(line(1, (3.0, None), 0)) == "at least 3 mm (0.118 in)"
    assert units.window(line(1, (-0.1, 0.1), 0, "deg")) == "equal, within 0.1 deg"
    assert units.window(line(1, (0, 0), 0, "")) == "equal"
    wide = line(0.8, (-0.5, 0.5), -0.3)  # half a millimetre each way is not next to nothing
    assert units.window(wide) == "-0.5 to 0.5 mm (-0.020 to 0.020 in)"
    assert units.miss(wide) == "over by 0.3 mm (0.012 in)"


@pytest.mark.parametrize(
    ("written", "shown"),
    [
        (WrittenSize("2.250 in", 57.15, 57.15), "57.15 mm (2.250 in)"),
        (WrittenSize("1 1/8 in", 28.575, 28.575), "28.575 mm (1 1/8 in)"),
        (WrittenSize("57.15 mm", 57.15, 57.15), "57.15 mm (2.250 in)"),
        (WrittenSize("25 to 26 mm", 25.0, 26.0), "25 to 26 mm"),
        (WrittenSize("3/8-24 UNF"), "3/8-24 UNF"),
        (WrittenSize("?"), "?"),
    ],
)
def test_plain_lengths_of_records_in_both_units(written: WrittenSize, shown: str) -> None:
    assert units.written_length(written) == shown
