"""The measuring sheet as a workbook: a tab a side, white cells to fill in, the rest protected, lists to choose from.

Every cell is written as a text, so that none becomes a formula or a date. The same sheet gives the same bytes: the
date of making is fixed.
"""

from __future__ import annotations

import io
from collections.abc import Mapping, Sequence
from datetime import UTC, datetime
from typing import TYPE_CHECKING

import msgspec

from knockon.queries.intake.measuring import form
from knockon.queries.intake.measuring.lines import Line, MeasuringSheet, Side
from knockon.queries.ui.sentences import prints as say

if TYPE_CHECKING:
    from xlsxwriter import Workbook
    from xlsxwriter.format import Format
    from xlsxwriter.worksheet import Worksheet

MADE = datetime(2000, 1, 1, tzinfo=UTC).replace(tzinfo=None)
LISTS = "lists"
_WIDTHS: Mapping[str, float] = {
    form.LINE: 6,
    form.WHEN: 14,
    form.PLACE: 24,
    form.FEATURE: 18,
    form.SIZE: 18,
    form.READING: 18,
    form.UNIT: 6,
    form.ERROR: 8,
    form.REMARK: 24,
    form.TOOL: 20,
    form.WHAT: 42,
    form.HOW: 60,
}
_HEAD_AT, _NOTES_AT = 1, 6
_MOST_WRITTEN_OUT = 255
"""Characters of a list that may stand in a cell's own rule; a longer one stands in the tab of lists."""
_FONT = {"font_name": "Arial", "font_size": 10}


class _Formats(msgspec.Struct, frozen=True):
    title: Format
    plain: Format
    head: Format
    fill: Format
    note: Format


def measuring_workbook(sheet: MeasuringSheet) -> bytes:
    """The measuring sheet as xlsx."""
    from xlsxwriter import Workbook  # late: only what makes a workbook needs it

    out = io.BytesIO()
    book = Workbook(out, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
    book.set_properties({"title": say.MEASURING_SHEET.format(vehicle=sheet.vehicle), "created": MADE})
    formats = _formats(book)
    tabs = [(book.add_worksheet(form.TABS[side.side]), side) for side in sheet.sides]
    lists = _Lists(book)
    for tab, side in tabs:
        _write_tab(tab, sheet, side, formats, lists)
    lists.close()
    book.close()
    return out.getvalue()


def _formats(book: Workbook) -> _Formats:
    cell = {**_FONT, "valign": "top", "text_wrap": True, "border": 1, "border_color": "#999999"}
    return _Formats(
        title=book.add_format({**_FONT, "bold": True, "font_size": 14}),
        plain=book.add_format({**cell, "bg_color": "#EEEEEE"}),
        head=book.add_format({**cell, "bold": True, "bg_color": "#CCCCCC"}),
        fill=book.add_format({**cell, "locked": False, "num_format": "@"}),
        note=book.add_format({**_FONT, "italic": True}),
    )


def _write_tab(tab: Worksheet, sheet: MeasuringSheet, side: Side, formats: _Formats, lists: _Lists) -> None:
    tab.write_string(0, 0, say.MEASURING_SHEET.format(vehicle=sheet.vehicle), formats.title)
    of_side = side.side or form.ITSELF
    for row, (name, said) in enumerate(((form.VEHICLE, sheet.vehicle), (form.SIDE, of_side)), _HEAD_AT):
        tab.write_string(row, 0, name, formats.head)
        tab.write_string(row, 1, said, formats.plain)
    for row, name in enumerate((form.BY, form.DATE), _HEAD_AT + 2):
        tab.write_string(row, 0, name, formats.head)
        tab.write_blank(row, 1, None, formats.fill)
    notes = say.HOW_TO_FILL_WORKBOOK.splitlines()
    for row, note in enumerate(notes, _NOTES_AT):
        tab.write_string(row, 0, note, formats.note)
    top = _NOTES_AT + len(notes) + 1
    for column, name in enumerate(form.COLUMNS):
        tab.set_column(column, column, _WIDTHS[name])
        tab.write_string(top, column, name, formats.head)
    words = dict(sheet.stages)
    for row, (number, line) in enumerate(side.numbered, top + 1):
        _write_line(tab, row, _cells(number, line, words), formats)
        _offer(tab, row, line, lists)
    bottom = top + len(side.lines)
    reading = form.COLUMNS.index(form.READING)
    tab.ignore_errors({"number_stored_as_text": f"A1:{_name(bottom, len(form.COLUMNS) - 1)}"})
    tab.autofilter(top, 0, bottom, len(form.COLUMNS) - 1)
    tab.freeze_panes(top + 1, reading)
    tab.protect("", {"format_columns": True, "format_rows": True, "autofilter": True})
    tab.set_landscape()
    tab.set_paper(9)
    tab.fit_to_pages(1, 0)
    tab.repeat_rows(top)


def _cells(number: str, line: Line, words: Mapping[str, str]) -> dict[str, str]:
    return {
        form.LINE: number,
        form.WHEN: words[line.reached],
        form.PLACE: line.position,
        form.FEATURE: line.feature,
        form.SIZE: line.dimension,
        form.UNIT: line.unit,
        form.ERROR: line.within,
        form.TOOL: line.tool,
        form.WHAT: line.what,
        form.HOW: line.how,
    }


def _write_line(tab: Worksheet, row: int, cells: Mapping[str, str], formats: _Formats) -> None:
    for column, name in enumerate(form.COLUMNS):
        is_open = name in form.TO_FILL and (name != form.ERROR or cells.get(form.UNIT))
        text, format_of = cells.get(name, ""), formats.fill if is_open else formats.plain
        if text:
            tab.write_string(row, column, text, format_of)
        else:
            tab.write_blank(row, column, None, format_of)


def _offer(tab: Worksheet, row: int, line: Line, lists: _Lists) -> None:
    """The list of a reading, which admits any other answer; and a ± that is a number."""
    reading, error = (form.COLUMNS.index(name) for name in (form.READING, form.ERROR))
    hint = say.TYPE_A_NUMBER.format(unit=line.unit) if line.unit else say.CHOOSE_OR_TYPE
    choose = {"validate": "list", "source": lists.source(line.offered), "show_error": False}
    tab.data_validation(row, reading, row, reading, {**choose, "input_message": hint})
    if line.unit:
        tab.data_validation(row, error, row, error, {"validate": "any", "input_message": say.PLUS_MINUS_NUMBER})


class _Lists:
    """The lists to choose from: short ones are written into the rule of the cell, long ones stand in a hidden tab."""

    def __init__(self, book: Workbook) -> None:
        self._book = book
        self._long: dict[tuple[str, ...], str] = {}

    def source(self, offered: Sequence[str]) -> list[str] | str:
        """What a rule names as its list; "don't know" and "none there" stand in each, first."""
        whole = (form.DONT_KNOW, form.NONE_THERE, *offered)
        if len(",".join(whole)) <= _MOST_WRITTEN_OUT:
            return list(whole)
        if whole not in self._long:
            column = len(self._long)
            self._long[whole] = f"={LISTS}!{_name(0, column, True)}:{_name(len(whole) - 1, column, True)}"
        return self._long[whole]

    def close(self) -> None:
        """Write the tab of lists, if there are long ones."""
        if self._long:
            tab = self._book.add_worksheet(LISTS)
            for column, texts in enumerate(self._long):
                for row, text in enumerate(texts):
                    tab.write_string(row, column, text)
            tab.protect()
            tab.hide()


def _name(row: int, column: int, fixed: bool = False) -> str:
    from xlsxwriter.utility import xl_rowcol_to_cell

    return str(xl_rowcol_to_cell(row, column, row_abs=fixed, col_abs=fixed))
