"""Reads a workbook in a process of its own, which the system holds to its memory and time.

``python -m knockon.graph.sheets.child FILE`` writes JSON: a list of [sheet, rows, merged areas, whether it is shown,
number of hidden rows], where cells are text, and numbers a text in a list. Formulas are not run: a cell's stored value
is read, and where there is none the formula stands there as text.
"""

from __future__ import annotations

import datetime
import json
import sys
from collections.abc import Mapping
from contextlib import suppress
from typing import Any

from knockon.graph.sheets.raw import Facts, facts_of

MOST_MEMORY = 1024 * 1024 * 1024
MOST_SECONDS = 30
MOST_CELLS = 3_000_000
MOST_COLUMNS = 20_000


def text_of(value: object) -> str | list[str]:
    """A stored value as text: whole numbers without decimals, in a list to tell them apart; dates as 2026-03-08."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return [str(int(value)) if value.is_integer() and abs(value) < 1e15 else repr(value)]
    if isinstance(value, datetime.datetime):
        midnight = value.time() == datetime.time(0)
        return value.date().isoformat() if midnight else value.isoformat(" ")
    return str(value)


def _with(texts: list[Any], instead: Mapping[tuple[int, int], str]) -> list[Any]:
    """The rows with what stands in cells that are blank to the reader, also in rows that are wholly so to it."""
    rows: dict[int, list[Any]] = dict(texts)
    for (row, column), text in instead.items():
        if column < MOST_COLUMNS:
            cells = rows.setdefault(row + 1, [])
            cells += [""] * (column + 1 - len(cells))
            cells[column] = text
    return [[number, cells] for number, cells in sorted(rows.items())]


def _limit() -> None:
    with suppress(ImportError, ValueError, OSError):
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
        resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def main(path: str) -> int:
    """Write the sheets of a workbook to the standard output; 0, or 3 with the reason on the standard error."""
    _limit()
    from python_calamine import CalamineWorkbook

    try:
        book, facts = CalamineWorkbook.from_path(path), facts_of(path)
        shown = {m.name for m in book.sheets_metadata if str(m.visible).endswith(".Visible")}
        found = []
        for name in book.sheet_names:
            of_sheet = facts.get(name, Facts())
            sheet = book.get_sheet_by_name(name)
            rows, (top, left) = sheet.to_python(skip_empty_area=True), sheet.start or (0, 0)
            if sum(map(len, rows)) > MOST_CELLS:
                raise ValueError(f"sheet {name!r} has more than {MOST_CELLS} cells")
            texts = [[top + i + 1, [""] * left + [text_of(v) for v in row]] for i, row in enumerate(rows)]
            texts = _with(texts, of_sheet.errors)
            merged = [[*a, *b] for a, b in (getattr(sheet, "merged_cell_ranges", None) or ())] or of_sheet.merged
            found.append([name, texts, merged, name in shown, of_sheet.hidden_rows])
        json.dump(found, sys.stdout)
    except Exception as error:
        sys.stderr.write(f"{type(error).__name__}: {error}"[:300])
        return 3
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1]))
