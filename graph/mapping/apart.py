"""Several tables in one sheet, told apart by their header rows, each as a sheet of its own."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from functools import lru_cache
from itertools import pairwise

from rapidfuzz import fuzz, process

from knockon.graph.mapping.model import Target
from knockon.graph.mapping.propose import OTHER_WORDS
from knockon.graph.sheets import Sheet, SheetError, find_head
from knockon.graph.sheets.heads import is_word, title_and_unit

ALIKE = 88.0
"""Likeness, 0 to 100, from which a cell is taken for a column's title."""
Row = tuple[int, tuple[str, ...]]


def tables_apart(sheets: Iterable[Sheet], targets: Iterable[Target]) -> tuple[Sheet, ...]:
    """The sheets, those that hold several tables in pieces: the second of "One" is the sheet "One #2"."""
    columns = {c.name for t in targets for c in t.columns}
    words = tuple(sorted(columns | {w for n in columns for w in OTHER_WORDS.get(n, ())}))
    return tuple(piece for sheet in sheets for piece in _pieces(sheet, words))


def _pieces(sheet: Sheet, words: tuple[str, ...]) -> list[Sheet]:
    try:
        head = find_head(sheet)
    except SheetError:
        return [sheet]
    starts = [_with_title(sheet.rows, n) for n in _further_heads(sheet.rows, head.first, head.last, words)]
    if not starts:
        return [sheet]
    bounds = [0, *starts, len(sheet.rows)]
    pieces = [sheet.rows[a:b] for a, b in pairwise(bounds)]
    remark = f"{len(pieces)} tables were found in {f'sheet {sheet.name!r}' if sheet.name else 'the file'}"
    return [
        replace(
            sheet,
            name=sheet.name if n == 1 else f"{sheet.name} #{n}".strip(),
            rows=rows,
            remarks=(*sheet.remarks, remark) if n == 1 else (),
        )
        for n, rows in enumerate(pieces, 1)
    ]


def _further_heads(rows: tuple[Row, ...], first: int, last: int, words: tuple[str, ...]) -> list[int]:
    """Indices of rows below the head that are headers too, and not one of those seen before."""
    seen = {tuple(c for c in cells if c) for number, cells in rows if first <= number <= last}
    found = []
    for place, (number, cells) in enumerate(rows):
        filled = tuple(c for c in cells if c)
        above = [c for c in rows[place - 1][1] if c] if place else []
        apart = not above or (len(above) == 1 and is_word(above[0]))
        if number <= last or filled in seen or not _is_head(filled, words, fewest=2 if apart else 3):
            continue
        if any(any(c) for _, c in rows[place + 1 :]):
            seen.add(filled)
            found.append(place)
    return found


def _is_head(filled: tuple[str, ...], words: tuple[str, ...], fewest: int) -> bool:
    """Whether all cells are titles and enough of them differ: fewer will do where the line above is blank or lone."""
    distinct = {c.casefold() for c in filled}
    return len(distinct) >= fewest and all(is_word(c) for c in filled) and all(_is_title(c, words) for c in filled)


@lru_cache(maxsize=4096)
def _is_title(text: str, words: tuple[str, ...]) -> bool:
    said = title_and_unit(text)[0].casefold()
    return process.extractOne(said, words, scorer=fuzz.ratio, score_cutoff=ALIKE) is not None


def _with_title(rows: tuple[Row, ...], place: int) -> int:
    """Where the table begins: at a lone line of words above its header, if there is one."""
    above = place - 1
    while above > 0 and not any(rows[above][1]):
        above -= 1
    filled = [c for c in rows[above][1] if c]
    return above if len(filled) == 1 and is_word(filled[0]) and not any(c.isdigit() for c in filled[0]) else place
