"""What a command did that wrote, took out or listed something, as an answer."""

from __future__ import annotations

import msgspec

from knockon.graph.columns.parquet import TableWritten
from knockon.graph.notes.photographs import Carried
from knockon.queries.ask.ask import Parameter


class FileWritten(msgspec.Struct, frozen=True):
    """A file that was handed out. ``club``: whose records it holds, where it is shared; ``set_aside``: rows and cells
    of the records that are not in it, since they are set aside. ``photographs``: those of its notes, beside it."""

    file: str
    statements: int
    club: str = ""
    set_aside: int = 0
    photographs: Carried | None = None


class ColumnsWritten(msgspec.Struct, frozen=True):
    """A folder into which the catalogue was written in columns, with its tables."""

    folder: str
    tables: tuple[TableWritten, ...]


class ClubRemoved(msgspec.Struct, frozen=True):
    """A club that was taken out again; with ``written`` False nothing was, and it is only said what would be."""

    club: str
    statements: int
    written: bool


class NoteWithdrawn(msgspec.Struct, frozen=True):
    """A note that no longer counts; it stays in the records. ``member`` wrote it, ``withdrawn_by`` took it back."""

    note: str
    member: str = ""
    withdrawn_by: str = ""


class QueryOffered(msgspec.Struct, frozen=True):
    """A ready-made query: what it answers, and what it must be told."""

    name: str
    answers: str
    parameters: tuple[Parameter, ...]


class QueriesOffered(msgspec.Struct, frozen=True):
    """The ready-made queries, by name."""

    queries: tuple[QueryOffered, ...]
