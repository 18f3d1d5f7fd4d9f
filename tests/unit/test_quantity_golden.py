"""Rows of a club's sheet as they came in, each with the reading that was agreed on."""

from __future__ import annotations

from collections.abc import Callable

import pytest

from knockon.graph.quantity import LENIENT, CellError, PartIndex, Quantity, ReadingContext, read_cell

Readings = dict[str, Quantity]

BORE = ReadingContext(feature_range=(10.0, 80.0))
SPACER = ReadingContext(feature_range=(5.0, 20.0))
MM = ReadingContext(unit="mm")
NUMBERS = ReadingContext(
    parts=PartIndex(
        {
            "ALDER-201L": "knuckle, disc",
            "ALDER-201R": "knuckle, disc",
            "LARCH-101": "brake drum 7 in",
            "ROWAN-141": "drive flange, drum",
        }
    )
)


def interval(low: float, high: float, *, nominal: bool) -> Callable[[Readings], bool]:
    def holds(readings: Readings) -> bool:
        q = readings[""]
        return q.low == pytest.approx(low) and q.high == pytest.approx(high) and q.nominal is nominal

    return holds


def thread(major: float, pitch: float | None) -> Callable[[Readings], bool]:
    def holds(readings: Readings) -> bool:
        known = (readings["major"].low, readings["pitch"].low) == (major, pitch)
        return known and readings["pitch"].unknown is (pitch is None)

    return holds


@pytest.mark.parametrize(
    ("raw", "datatype", "context", "holds", "flag"),
    [
        ('1 1/16"', "length", LENIENT, interval(26.9875, 26.9875, nominal=True), None),
        ("1.1/8", "length", LENIENT, interval(28.575, 28.575, nominal=True), "read as 1 1/8"),
        ("1½", "length", LENIENT, interval(38.1, 38.1, nominal=True), "unit inferred"),
        ("1Â½", "length", LENIENT, interval(38.1, 38.1, nominal=True), "repaired text"),
        (".497", "length", SPACER, interval(12.6238, 12.6238, nominal=True), "unit inferred"),
        ("28", "length", BORE, interval(27.5, 28.5, nominal=False), "±0.5"),
        ("28 (bearing bore)", "length", MM, interval(27.5, 28.5, nominal=False), "±0.5"),
        (
            "27,52",
            "length",
            ReadingContext(unit="mm", decimal_comma=True),
            interval(27.52, 27.52, nominal=True),
            None,
        ),
        ("~74", "length", MM, interval(72, 76, nominal=False), "approximate"),
        ("22.2-22.4", "length", MM, interval(22.2, 22.4, nominal=False), None),
        ("?", "length", LENIENT, lambda r: r[""].unknown, None),
        ("tbc", "length", LENIENT, lambda r: r[""].unknown, None),
        ("", "length", LENIENT, lambda r: r[""].unknown, None),
        ("n/a", "length", LENIENT, lambda r: r[""].not_applicable and not r[""].unknown, None),
        ("3/4 UNF", "thread", LENIENT, thread(19.05, 1.5875), None),
        ("M20 fine", "thread", LENIENT, thread(20, None), None),
        ("25 spl", "count", LENIENT, interval(25, 25, nominal=False), None),
        ("25 spl", "spline pitch", LENIENT, lambda r: r[""].unknown and r["teeth"].low == 25, None),
        (" alder 201 l ", "part number", NUMBERS, lambda r: r[""].code == "ALDER-201L", "read as"),
        ("N/S", "hand", ReadingContext(driver="right"), lambda r: r[""].code == "left", "driver"),
        ("1 kit", "quantity", LENIENT, lambda r: r["basis"].code == "kit" and r["each"].unknown, "contents"),
        ("350psi", "pressure", LENIENT, lambda r: round(r[""].low / 100, 1) == 24.1, None),
        (
            "12.50+VAT ea",
            "money",
            LENIENT,
            lambda r: (r[""].low, r["tax"].code, r["per"].code) == (12.5, "excluded", "each"),
            None,
        ),
    ],
)
def test_accepted(
    raw: str,
    datatype: str,
    context: ReadingContext,
    holds: Callable[[Readings], bool],
    flag: str | None,
) -> None:
    readings = read_cell(raw, datatype, context=context)
    assert holds(readings), readings
    assert all(reading.written == raw for reading in readings.values())
    flags = next(iter(readings.values())).flags
    assert (flag is None and not flags) or (flag is not None and any(flag in said for said in flags))


@pytest.mark.parametrize(
    ("raw", "datatype", "context", "suggestions"),
    [
        ("27,52", "length", MM, ("27.52",)),
        ("08-Mar", "length", LENIENT, ("3/8 in",)),
        ("44993", "length", LENIENT, ("3/8 in",)),
        ("7/16 AF", "thread", LENIENT, ("1/4-20 UNC", "1/4-28 UNF")),
        ("ALDER-201", "part number", NUMBERS, ("ALDER-201L", "ALDER-201R")),
        ("ALDER-2O1L", "part number", NUMBERS, ("ALDER-201L",)),
        ("same as drum one", "part number", NUMBERS, ("LARCH-101", "ROWAN-141")),
        ("N/S", "hand", LENIENT, ("left", "right")),
        ("O/S", "hand", LENIENT, ("left", "right")),
    ],
)
def test_quarantined(raw: str, datatype: str, context: ReadingContext, suggestions: tuple[str, ...]) -> None:
    with pytest.raises(CellError) as caught:
        read_cell(raw, datatype, context=context)
    assert caught.value.suggestions == suggestions
    for suggestion in suggestions:
        read_cell(suggestion, datatype, context=context)
