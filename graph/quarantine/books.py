"""The two tables that an import keeps beside the records: ``quarantine.csv`` and ``imported.csv``.

They are no record tables: nothing in them enters an answer.
"""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Iterable, Sequence
from operator import attrgetter
from pathlib import Path
from typing import Any

import msgspec
from msgspec.structs import fields

from knockon.graph.files.plain import why_not
from knockon.graph.model.findings import RecordsError
from knockon.graph.tables.pending import settled_content

QUARANTINE = "quarantine.csv"
IMPORTED = "imported.csv"
NO_LIMIT = 2**31 - 1
"""Characters in a cell, the most that csv counts on every system: an entry holds a whole row, of any length."""


class Entry(msgspec.Struct, frozen=True, order=True):
    """One cell of a row that was not loaded. ``cells``: the row's raw cells by record column; ``context``: how the
    mapping reads them. Both are JSON, so that the row can be read again without its sheet."""

    file: str
    sheet: str
    row: int
    table: str
    column: str
    written: str
    why: str
    suggestions: tuple[str, ...]
    cells: str
    context: str
    raw: str
    """The whole row as it stands in the sheet, a JSON list."""

    @property
    def place(self) -> tuple[str, str, int, str]:
        """The row that it belongs to."""
        return self.file, self.sheet, self.row, self.table


class Kept(msgspec.Struct, frozen=True, order=True):
    """One cell that was loaded: as written in the sheet, as it went into the table, and the help it needed."""

    file: str
    sheet: str
    row: int
    table: str
    column: str
    written: str
    read: str
    flags: str
    accepted: str = ""
    """The suggestion that a person chose in place of what is written."""

    @property
    def place(self) -> tuple[str, str, int, str]:
        """The row that it belongs to."""
        return self.file, self.sheet, self.row, self.table


def _rows(path: Path, folder: Path, head: Sequence[str]) -> list[list[str]]:
    try:
        csv.field_size_limit(NO_LIMIT)
        text = settled_content(path, folder).decode("utf-8")
        rows = [row for row in csv.reader(io.StringIO(text, newline=""), strict=True) if row]
    except FileNotFoundError:
        return []
    except OSError as error:
        raise RecordsError(f"{path} cannot be read: {why_not(error)}") from error
    except (UnicodeDecodeError, csv.Error) as error:
        raise RecordsError(f"{path} cannot be read: {error}") from error
    if not rows or rows[0] != list(head) or any(len(row) != len(head) for row in rows):
        raise RecordsError(f"{path} is not the table that an import writes ({', '.join(head)})")
    return rows[1:]


def _bytes(head: Sequence[str], rows: Iterable[Iterable[Any]]) -> bytes:
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n", quoting=csv.QUOTE_ALL)  # a lone carriage return needs quotes
    writer.writerow(head)
    writer.writerows(rows)
    return out.getvalue().encode()


def read_book(folder: Path) -> tuple[Entry, ...]:
    """The quarantine of a records folder, in the order of its file. Raises RecordsError."""
    head = [f.name for f in fields(Entry)]
    try:
        return tuple(
            Entry(file, sheet, int(row), table, column, written, why, _texts(offers), *_checked(cells, context, raw))
            for file, sheet, row, table, column, written, why, offers, cells, context, raw in _rows(
                folder / QUARANTINE, folder, head
            )
        )
    except (ValueError, TypeError, msgspec.MsgspecError) as error:
        raise RecordsError(f"{folder / QUARANTINE} cannot be read: {error}") from error


def _texts(offers: str) -> tuple[str, ...]:
    return msgspec.json.decode(offers, type=tuple[str, ...])


def _checked(cells: str, context: str, raw: str) -> tuple[str, str, str]:
    """The JSON of an entry if it holds what it should. Raises msgspec.MsgspecError."""
    msgspec.json.decode(cells, type=dict[str, str])
    msgspec.json.decode(context, type=dict[str, dict[str, Any]])
    msgspec.json.decode(raw, type=list[str])
    return cells, context, raw


def book_bytes(entries: Iterable[Entry]) -> bytes:
    """``quarantine.csv`` with these entries, sorted."""
    head = [f.name for f in fields(Entry)]
    cells = (attrgetter(*head)(e) for e in sorted(entries))
    return _bytes(head, ([json.dumps(v, ensure_ascii=False) if isinstance(v, tuple) else v for v in e] for e in cells))


def read_kept(folder: Path) -> tuple[Kept, ...]:
    """What was imported into a records folder. Raises RecordsError."""
    head = [f.name for f in fields(Kept)]
    try:
        return tuple(
            Kept(file, sheet, int(row), *rest) for file, sheet, row, *rest in _rows(folder / IMPORTED, folder, head)
        )
    except (ValueError, TypeError) as error:
        raise RecordsError(f"{folder / IMPORTED} cannot be read: {error}") from error


def kept_bytes(kept: Iterable[Kept]) -> bytes:
    """``imported.csv`` with these cells, sorted by place; the order of a row's columns is kept."""
    head = [f.name for f in fields(Kept)]
    return _bytes(head, map(attrgetter(*head), sorted(kept, key=lambda k: k.place)))
