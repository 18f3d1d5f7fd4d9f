"""Numbers with a decimal comma in a file whose cells are parted by commas: two cells where one was written."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace

from knockon.graph.sheets import Sheet, SheetError, find_head

_BEFORE = re.compile(r"[~±+\-øØ£€$\s]{0,3}\d+")
_BEHIND = re.compile(r"\d+(?![\d.]).*", re.DOTALL)
_MOST_PAIRS = 16


def rejoined(sheet: Sheet) -> Sheet:
    """The sheet with its torn numbers as they stand in the file, ``25,4 mm``, and a remark that counts them.

    Only rows with more cells than the header has titles are looked at. Where it is not plain which cells belong
    together, all from the first that may are one cell, which no reader takes for a number.
    """
    if sheet.delimiter != ",":
        return sheet
    try:
        head = find_head(sheet)
    except SheetError:
        return sheet
    wide = max((n for n, title in enumerate(head.titles, 1) if title), default=0)
    rows = tuple((n, _row(cells, wide) if n > head.last else cells) for n, cells in sheet.rows)
    count = sum(1 for old, new in zip(sheet.rows, rows, strict=True) if old != new)
    if not count:
        return sheet
    remark = f"{count} {'row has' if count == 1 else 'rows have'} numbers with an unquoted comma: put together again"
    return replace(sheet, rows=rows, remarks=(*sheet.remarks, remark))


def _row(cells: tuple[str, ...], wide: int) -> tuple[str, ...]:
    filled = max((n for n, cell in enumerate(cells, 1) if cell), default=0)
    more = filled - wide
    if more <= 0:
        return cells
    places = [n for n in range(filled - 1) if _BEFORE.fullmatch(cells[n]) and _BEHIND.fullmatch(cells[n + 1])]
    if len(places) < more:
        return cells
    choices = list(_apart(places[:_MOST_PAIRS], more))
    if len(choices) == 1:
        return tuple(_joined(cells[:filled], choices[0]))
    first = places[0]
    return (*cells[:first], ",".join(cells[first:filled]))


def _apart(places: list[int], count: int) -> Iterator[tuple[int, ...]]:
    """Each choice of ``count`` pairs that share no cell, at most two of them."""
    found = 0
    stack: list[tuple[int, tuple[int, ...]]] = [(0, ())]
    while stack and found < 2:
        at, chosen = stack.pop()
        if len(chosen) == count:
            found += 1
            yield chosen
            continue
        left = (n for n in range(at, len(places)) if not chosen or places[n] > chosen[-1] + 1)
        stack.extend((n + 1, (*chosen, places[n])) for n in left)


def _joined(cells: tuple[str, ...], places: tuple[int, ...]) -> Iterator[str]:
    for n, cell in enumerate(cells):
        if n in places:
            yield f"{cell},{cells[n + 1]}"
        elif n - 1 not in places:
            yield cell
