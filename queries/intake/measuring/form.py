"""How a measuring sheet is laid out in a workbook, so that one filled in can be read back: headings, and fixed answers.

A tab is one side of one vehicle, or what the vehicle has once. Its head names vehicle and side and asks who measured
and when; below stands one line a size. A tab saved as a text table is read alike. Rows may be moved or deleted: each
line names its place, feature and size.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import msgspec

from knockon.graph.model.things import SIDES
from knockon.graph.sheets import Sheet

VEHICLE, SIDE, BY, DATE = "vehicle", "side", "measured by", "date"
HEAD = (VEHICLE, SIDE, BY, DATE)
"""What the rows above the lines say, each in its first cell, with the answer in the second."""
ITSELF = "the vehicle itself"
"""The side of what the vehicle has once."""
PLACE, FEATURE, SIZE, READING, UNIT, ERROR = "place", "feature", "size", "reading", "unit", "±"
LINE, WHEN, REMARK, HOW, WHAT, TOOL = "line", "when", "remark", "how to measure", "what it is", "usual tool"
COLUMNS = (LINE, WHEN, PLACE, FEATURE, SIZE, READING, UNIT, ERROR, TOOL, HOW, WHAT, REMARK)
TO_FILL = (READING, ERROR, REMARK)
FILLED = (READING, REMARK)
"""A line holds something if one of these does: the ± of the usual tool stands there beforehand."""
NEEDED = (PLACE, FEATURE, SIZE, READING)
"""The columns by which a sheet is known as a measuring sheet."""
DONT_KNOW, NONE_THERE = "don't know", "none there"
LINE_LETTERS: Mapping[str, str] = {"left": "L", "right": "R", "": "V"}
"""What the numbers of lines begin with, so that a line on paper is found in the workbook."""
TABS: Mapping[str, str] = {**{side: side for side in SIDES}, "": "vehicle"}


class FilledLine(msgspec.Struct, frozen=True):
    """A line with something in it: its row, what the cells say as written, and the whole row."""

    row: int
    cells: Mapping[str, str]
    raw: tuple[str, ...]

    def cell(self, column: str) -> str:
        """What a column says; blank where there is none."""
        return self.cells.get(column, "")


class FilledSide(msgspec.Struct, frozen=True):
    """One tab: what its head says (``head``, and the rows it stands in), and its lines that hold something."""

    sheet: str
    head: Mapping[str, str]
    rows: Mapping[str, int]
    lines: tuple[FilledLine, ...]
    blank: int

    @property
    def side(self) -> str | None:
        """left, right, blank of the vehicle itself; None where the head says something else."""
        said = " ".join(self.head.get(SIDE, "").casefold().split())
        known = {side: side for side in SIDES} | {ITSELF: ""}
        return known.get(said)


def is_measuring_sheet(sheets: Sequence[Sheet]) -> bool:
    """Whether a file is a measuring sheet: one of its tabs has the head and the headings."""
    return any(_headings(sheet) for sheet in sheets)


def filled_sides(sheets: Sequence[Sheet]) -> Iterator[FilledSide]:
    """The tabs of a measuring sheet, with what is filled in; others are left out."""
    for sheet in sheets:
        found = _headings(sheet)
        if found is None:
            continue
        at, places = found
        head, rows = _head(sheet, at)
        lines, blank = [], 0
        for number, cells in sheet.rows:
            if number <= at:
                continue
            said = {name: cells[n] if n < len(cells) else "" for name, n in places.items()}
            if any(said[name] for name in FILLED if name in said):
                lines.append(FilledLine(number, said, cells))
            elif any(said.values()):
                blank += 1
        yield FilledSide(sheet.name, head, rows, tuple(lines), blank)


def _headings(sheet: Sheet) -> tuple[int, dict[str, int]] | None:
    """The row of the headings and where each column stands; None in a sheet that is no tab of a measuring sheet."""
    above: set[str] = set()
    for number, cells in sheet.rows:
        names = [" ".join(cell.casefold().split()) for cell in cells]
        if set(NEEDED) <= set(names) and {VEHICLE, SIDE} <= above:
            return number, {name: names.index(name) for name in COLUMNS if name in names}
        above.add(names[0] if names else "")
    return None


def _head(sheet: Sheet, before: int) -> tuple[dict[str, str], dict[str, int]]:
    said: dict[str, str] = {}
    rows: dict[str, int] = {}
    for number, cells in sheet.rows:
        name = " ".join(cells[0].casefold().split()) if cells else ""
        if number < before and name in HEAD and name not in said:
            said[name] = " ".join(cells[1].split()) if len(cells) > 1 else ""
            rows[name] = number
    return said, rows
