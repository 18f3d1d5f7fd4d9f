"""Some thousands of cells as people write them, each with what a careful person reads, in every context of a sheet.

The readings in cells/ were written down before the reader was looked at; where two were fair (often: a flagged one,
or none), the table holds the one that the reader came to give. A row says what is known beside the cell ("mm" in the
header, a decimal comma, a usual range of sizes ...), the cell, and its reading: a number or `low..high` in the base
unit, a word, `unknown`, or `refused`; several readings as `major=10 pitch=1`; a `!` where the reading says that it
needed help.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from pathlib import Path

import pytest

from knockon.graph.quantity import STRICT, CellError, Quantity, ReadingContext, read_cell, write_cell

FOLDER = Path(__file__).parent / "cells"
TABLES = sorted(path.stem for path in FOLDER.glob("*.csv"))
BESIDE = {
    "": ReadingContext(),
    "mm": ReadingContext(unit="mm"),
    "in": ReadingContext(unit="in"),
    "deg": ReadingContext(unit="deg"),
    "comma": ReadingContext(decimal_comma=True),
    "mm, comma": ReadingContext(unit="mm", decimal_comma=True),
    "8 to 150 mm": ReadingContext(feature_range=(8, 150)),
    "8 to 150 mm, safety": ReadingContext(feature_range=(8, 150), safety=True),
    "driver right": ReadingContext(driver="right"),
    "driver left": ReadingContext(driver="left"),
    "day first": ReadingContext(date_order="day first"),
}


def rows(table: str) -> list[dict[str, str]]:
    with (FOLDER / f"{table}.csv").open(encoding="utf-8", newline="") as stream:
        return list(csv.DictReader(stream))


def told(readings: Mapping[str, Quantity]) -> str:
    """The readings as the tables write them."""
    values = [f"{name}={_value(q)}" if name else _value(q) for name, q in readings.items()]
    return " ".join(values) + (" !" if any(q.flags for q in readings.values()) else "")


def _value(quantity: Quantity) -> str:
    if quantity.unknown:
        return "unknown"
    if quantity.absent:
        return "absent"
    if quantity.not_applicable:
        return "not applicable"
    if quantity.low is None or quantity.high is None:
        return str(quantity.code)
    if quantity.low == quantity.high:
        return f"{quantity.low:.7g}"
    return f"{quantity.low:.7g}..{quantity.high:.7g}"


def read(row: Mapping[str, str]) -> str:
    try:
        return told(read_cell(row["cell"], row["datatype"], context=BESIDE[row["beside"]]))
    except CellError as error:
        assert error.written == row["cell"]
        assert error.why
        for offer in error.suggestions:
            read_cell(offer, row["datatype"], context=BESIDE[row["beside"]])
        return "refused"


def test_there_are_many_cells() -> None:
    assert sum(len(rows(table)) for table in TABLES) > 2_500


@pytest.mark.parametrize("table", TABLES)
def test_each_cell_is_read_as_a_careful_person_reads_it(table: str) -> None:
    cells = rows(table)
    assert cells
    found = [(row["beside"], row["cell"], row["read"], read(row)) for row in cells]
    assert [f for f in found if f[2] != f[3]] == []


@pytest.mark.parametrize("table", sorted(set(TABLES) - {"money", "hand", "date", "quantity"}))
def test_what_goes_into_a_table_means_there_what_was_read(table: str) -> None:
    kept = 0
    for row in rows(table):
        try:
            readings = read_cell(row["cell"], row["datatype"], context=BESIDE[row["beside"]])
        except CellError:
            continue
        own = {name: q for name, q in readings.items() if name not in ("teeth", "worn", "minimum")}
        again = read_cell(write_cell(own, row["datatype"]), row["datatype"], context=STRICT)
        for name, quantity in own.items():
            assert _meaning(again[name]) == _meaning(quantity), row["cell"]
        kept += 1
    assert kept > 1


def _meaning(quantity: Quantity) -> tuple[object, ...]:
    lacks = quantity.unknown, quantity.absent, quantity.not_applicable
    return quantity.low, quantity.high, quantity.nominal, quantity.code, lacks
