"""Several tables in one sheet, beside and below each other, told apart by their headings, each as a sheet of its own.

A heading ends the table above it or to its left, also one that is only half understood.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import lru_cache
from itertools import pairwise

from msgspec.structs import replace
from rapidfuzz import fuzz, process

from knockon.graph.mapping.model import Target
from knockon.graph.mapping.propose import OTHER_WORDS
from knockon.graph.sheets import Sheet, SheetError, find_head
from knockon.graph.sheets.heads import is_word, title_and_unit

ALIKE = 88.0
"""Likeness, 0 to 100, from which a cell is taken for a column's title."""
Row = tuple[int, tuple[str, ...]]
_PART_WORDS = frozenset({"part", *OTHER_WORDS["part"]})


def tables_apart(sheets: Iterable[Sheet], targets: Iterable[Target]) -> tuple[Sheet, ...]:
    """The sheets, those that hold several tables in pieces: the second of "One" is the sheet "One #2"."""
    columns = {c.name for t in targets for c in t.columns}
    words = tuple(sorted(columns | {w for n in columns for w in OTHER_WORDS.get(n, ())}))
    return tuple(piece for sheet in sheets for piece in _pieces(sheet, words))


def _pieces(sheet: Sheet, words: tuple[str, ...]) -> list[Sheet]:
    beside = _beside(sheet)
    pieces = [(rows, n == 0) for n, side in enumerate(beside) for rows in _below(side, words)]
    if len(pieces) == 1:
        return [sheet]
    remark = f"{len(pieces)} tables were found in {f'sheet {sheet.name!r}' if sheet.name else 'the file'}"
    return [
        replace(
            sheet,
            name=sheet.name if n == 1 else f"{sheet.name} #{n}".strip(),
            rows=rows,
            remarks=(*sheet.remarks, remark) if n == 1 else (),
            faulty=sheet.faulty if first else {},  # a line that cannot be split waits once, whole
        )
        for n, (rows, first) in enumerate(pieces, 1)
    ]


def _below(sheet: Sheet, words: tuple[str, ...]) -> list[tuple[Row, ...]]:
    """The rows of each table of a sheet whose tables stand below each other."""
    try:
        head = find_head(sheet)
    except SheetError:
        return [sheet.rows]
    starts = [_with_title(sheet.rows, n) for n in _further_heads(sheet.rows, head.first, head.last, words)]
    return [sheet.rows[a:b] for a, b in pairwise([0, *starts, len(sheet.rows)])]


def _beside(sheet: Sheet) -> list[Sheet]:
    """The tables beside each other: each begins at a further column of part numbers."""
    try:
        titles = find_head(sheet).titles
    except SheetError:
        return [sheet]
    keys = [n for n, title in enumerate(titles) if _names_parts(title)]
    starts = [
        n for before, n in pairwise(keys)
        if titles[n].casefold() == titles[before].casefold() or not all(titles[before + 1 : n])
    ]  # fmt: skip
    lower = list(_starting_lower(sheet, titles))
    if lower:
        starts = sorted({*starts, *lower, *(keys[:1] if min(lower) < min(keys, default=0) else ())} - {0})
    ends: list[int | None] = [0, *starts, None]
    return [replace(sheet, rows=tuple((n, cells[a:b]) for n, cells in sheet.rows)) for a, b in pairwise(ends)]


def _starting_lower(sheet: Sheet, titles: tuple[str, ...]) -> Iterator[int]:
    """The columns without a title whose first cell is that of part numbers, with another title beside it: the heading
    of a table that begins further down."""
    for place in (n for n, title in enumerate(titles) if not title):
        first = next((cells for _, cells in sheet.rows if place < len(cells) and cells[place]), ())
        two = first[place : place + 2]
        if len(two) == 2 and all(c and is_word(c) for c in two) and _names_parts(title_and_unit(two[0])[0]):
            yield place


def _names_parts(title: str) -> bool:
    """Whether a title is that of part numbers: `Part`, `P/N`, and under a group's name `Spacers Part`."""
    said = title.casefold()
    return any(said == word or said.endswith(f" {word}") for word in _PART_WORDS)


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
    """Whether the cells are titles, and enough of them differ: fewer will do where the line above is blank or lone.

    Some may be unknown, where one is that of part numbers or most are known: such a row is no data either way.
    """
    distinct = {c.casefold() for c in filled}
    if len(distinct) < 2 or not all(is_word(c) for c in filled):
        return False
    known = [c for c in filled if _is_title(c, words)]
    if any(_names_parts(title_and_unit(c)[0]) for c in known):
        return True
    plain = not any(c.isdigit() for cell in filled for c in cell)
    return (len(distinct) >= fewest and len(known) == len(filled)) or (plain and len(known) * 2 > len(filled) > 2)


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
