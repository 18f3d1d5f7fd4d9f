"""Lengths in the cells of sheets: what is known beside the cell, and what help the reading needed."""

from __future__ import annotations

import pytest

from knockon.graph.quantity import LENIENT, ReadingContext, read_cell
from tests.unit.test_quantity_sizes import refused, size

MM = ReadingContext(unit="mm")
BORE = ReadingContext(feature_range=(5.0, 60.0))


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


@pytest.mark.parametrize("limited", ["28.575 ±0.05 mm", "28.5..28.6 mm", "28.50-28.60 mm", "about 28.6 mm"])
def test_of_a_size_with_limits_beside_one_without_neither_is_dropped(limited: str) -> None:
    """Whether the other unit's size has the same limits nobody wrote; the limits come first, or last."""
    for text in (f"{limited} (1 1/8 in)", f"1 1/8 in ({limited})"):
        assert "two statements of a size" in str(refused(text, "length"))


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
