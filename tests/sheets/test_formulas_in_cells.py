"""Formulas are never run: a cell's stored value is read, and a cell without one waits alone."""

from __future__ import annotations

from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile

import pytest

from knockon.graph.sheets import open_sheets
from knockon.queries.intake.measuring.taken_in import import_filled
from knockon.queries.intake.new_vehicle import Wanted, add_vehicle
from knockon.queries.ui.prints.measuring import measuring_files
from tests.sheets.workbooks import write_ods, write_xlsx


def rows_of(path: Path) -> dict[int, tuple[str, ...]]:
    (sheet,) = open_sheets(path)
    return {number: cells for number, cells in sheet.rows if any(cells)}


def with_cell(path: Path, was: str, becomes: str, part: str) -> None:
    with ZipFile(path) as archive:
        parts = {name: archive.read(name) for name in archive.namelist()}
    assert was.encode() in parts[part]
    parts[part] = parts[part].replace(was.encode(), becomes.encode())
    with ZipFile(path, "w", ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)


def test_a_formula_without_a_stored_value_stands_there_as_a_formula_and_the_rest_is_read(tmp_path: Path) -> None:
    path = tmp_path / "sheet.xlsx"
    write_xlsx(path, [["Part No", "Bore"], ["A-1", "=1+1"], ["A-2", 20.5]])
    assert rows_of(path) == {1: ("Part No", "Bore"), 2: ("A-1", "=1+1"), 3: ("A-2", "20.5")}


def test_also_in_a_row_and_a_column_that_are_blank_to_the_reader(tmp_path: Path) -> None:
    path = tmp_path / "sheet.xlsx"
    write_xlsx(path, [["Part No", "Bore"], ["A-1", 20.5], ["", ""], ["", "", "=B2*2"]])
    assert rows_of(path)[4] == ("", "", "=B2*2")


@pytest.mark.parametrize(
    ("cell", "read"),
    [
        ('<c r="B2"><f>1+1</f><v>2</v></c>', "2"),
        ('<c r="B2" t="str"><f>A2</f><v>A-1</v></c>', "A-1"),
        ('<c r="B2" t="str"><f>IF(A2="","",1)</f><v></v></c>', ""),
        ('<c r="B2"><f>1+1</f><v></v></c>', "=1+1"),
        ('<c r="B2"><f t="shared" si="0"/></c>', "="),
        ('<c r="B2"><f>1 +\n  1</f></c>', "=1 + 1"),
        ('<c r="B2" t="e"><f>1/0</f><v>#DIV/0!</v></c>', "#DIV/0!"),
    ],
)
def test_what_is_stored_counts_also_where_it_is_an_empty_text(tmp_path: Path, cell: str, read: str) -> None:
    path = tmp_path / "sheet.xlsx"
    write_xlsx(path, [["Part No", "Bore"], ["A-1", "=1+1"], ["A-2", 20.5]])
    with_cell(path, '<c r="B2"><f>1+1</f></c>', cell.replace('"",""', '"",""'), "xl/worksheets/sheet1.xml")
    assert dict(enumerate(rows_of(path)[2]))[1] == read


def test_in_an_open_document_too(tmp_path: Path) -> None:
    path = tmp_path / "sheet.ods"
    write_ods(path, [["Part No", "Bore"], ["A-1", "here"], ["A-2", "20.5 mm"]])
    with ZipFile(path) as archive:
        text = archive.read("content.xml").decode()
    start = text.rindex("<table:table-cell", 0, text.index("here"))
    cell = text[start : text.index("</table:table-cell>", start) + len("</table:table-cell>")]
    with_cell(path, cell, '<table:table-cell table:formula="of:=1+1"/>', "content.xml")
    assert rows_of(path)[2] == ("A-1", "=1+1")


def test_a_line_of_a_measuring_sheet_waits_with_sheet_row_and_column(tmp_path: Path) -> None:
    folder = tmp_path / "records"
    choices = ("disc", "pair with spacer", "ball joint")
    add_vehicle(folder, Wanted("mine", ("driven front corner",), choices), measuring_files)
    path = tmp_path / "filled.xlsx"
    lines: list[list[object]] = [
        ["outer joint", "stub spline", "major diameter", "=20+0.9"],
        ["outer joint", "stub spline", "teeth", 25],
    ]
    heads: list[list[object]] = [["vehicle", "mine"], ["side", "left"], ["place", "feature", "size", "reading"]]
    write_xlsx(path, [*heads, *lines])
    answer = import_filled(folder, path.name, open_sheets(path))
    assert (answer.loaded, answer.quarantined) == (1, 1)
    (entry,) = answer.entries
    assert (entry.file, entry.sheet, entry.row, entry.column) == ("filled.xlsx", "Sheet1", 4, "major diameter")
    assert entry.written == "=20+0.9" and "formulas are never run" in entry.why
