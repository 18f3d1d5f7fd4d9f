"""Readings that stand in the tables: where, and those of an imported sheet taken back.

What an import wrote may be taken back: its cell counts as not known from then on, as if somebody had chosen so in the
quarantine, and the sheet imported again changes nothing of it as long as it says the same. What a person wrote into a
table is that person's: where it stands is said.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from pathlib import Path

import msgspec
from msgspec.structs import replace

from knockon.graph.quarantine import Kept, read_book
from knockon.graph.tables.files import RawTable, read_folder
from knockon.queries.intake.readings.subjects import Subject
from knockon.queries.intake.sheets.folder import open_folder
from knockon.queries.intake.sheets.tables import ALREADY, WAITING, Change, Place, table_changes
from knockon.queries.intake.sheets.writing import put_in_place, write_import, written_when_settled

NOT_KNOWN, ABSENT = "?", "absent"
TAKEN_BACK = "chosen by a person"


class InTable(msgspec.Struct, frozen=True, order=True):
    """A reading in a table: the file, the row and the column of its cell, as written; of an imported one the sheet's
    (``sheet``: its name, blank of a text file), with the record ``table`` that it went to. Blank: nobody imported
    it."""

    file: str
    sheet: str
    row: int
    column: str
    written: str
    table: str = ""

    def __str__(self) -> str:
        sheet = f", sheet {self.sheet!r}" if self.sheet else ""
        return f"{self.file}{sheet}, row {self.row}, column {self.column}"


def cells_of(folder: Path, subject: Subject, sources: Collection[str], kept: Iterable[Kept]) -> tuple[InTable, ...]:
    """The cells of the tables in which these sources say a size of a thing, or that its feature is not there."""
    at = subject.at
    things = {at.thing, at.item, at.member, at.number} - {""}
    table = f"features/{subject.kind.table}"
    places = _places(k for k in kept if k.table == table)
    found: list[InTable] = []
    for raw in read_folder(folder, []):
        if raw.file == f"{table}.csv":
            for number, row in _rows(raw):
                if row.get("part") in things and row.get("feature") == subject.feature and row.get("source") in sources:
                    found += _said(raw, number, row, subject.column.name, places)
    return tuple(dict.fromkeys(found))


def _rows(raw: RawTable) -> Iterator[tuple[int, dict[str, str]]]:
    for number, cells in raw.rows:
        yield number, {name: cell for name, cell in zip(raw.header, cells, strict=True) if cell}


def _said(
    raw: RawTable, number: int, row: Mapping[str, str], column: str, places: Mapping[frozenset[tuple[str, str]], Place]
) -> Iterator[InTable]:
    """The cells of a row that say the size of a column, or in any column that the feature is not there."""
    place = places.get(frozenset(row.items()))
    for name, text in row.items():
        if (name == column and text != NOT_KNOWN) or text.casefold() == ABSENT:
            if place is None:
                yield InTable(raw.file, "", number, name, text)
            else:
                yield InTable(*place[:3], name, text, place[3])


def _places(kept: Iterable[Kept]) -> dict[frozenset[tuple[str, str]], Place]:
    """Where in which sheet the rows of a table come from that an import wrote, by what they say."""
    rows: dict[Place, dict[str, str]] = {}
    by_hand = set()
    for one in kept:
        if one.flags != WAITING:
            rows.setdefault(one.place, {})[one.column] = one.read
        if ALREADY in one.flags:
            by_hand.add(one.place)
    filled = {place: frozenset((k, v) for k, v in row.items() if v) for place, row in rows.items()}
    return {row: place for place, row in filled.items() if place not in by_hand}


class _Work(msgspec.Struct, frozen=True):
    changes: Sequence[Change]
    kept: Sequence[Kept]


def take_back(folder: Path, cells: Sequence[InTable]) -> str:
    """Let cells that an import wrote count as not known; gives why one file is not in its place yet. Raises
    RecordsError, and then nothing was changed."""
    put_in_place(folder)
    _, waiting = written_when_settled(
        folder,
        lambda: _without(folder, cells),
        lambda work: write_import(folder, work.changes, read_book(folder), work.kept),
    )
    return waiting


def _without(folder: Path, cells: Sequence[InTable]) -> _Work:
    seen = open_folder(folder)
    gone = {((c.file, c.sheet, c.row, c.table), c.column) for c in cells}
    places = {place for place, _ in gone}
    before = [k for k in seen.kept if k.place in places]
    after = [
        replace(k, read=NOT_KNOWN, accepted=NOT_KNOWN, flags=TAKEN_BACK) if (k.place, k.column) in gone else k
        for k in before
    ]
    others = [k for k in seen.kept if k.place not in places]
    return _Work(table_changes(folder, seen.targets, before, after, others), others + after)
