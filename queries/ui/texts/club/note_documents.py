"""Answers about notes as JSON documents: they read the records in part only, so they say less of them than others."""

from __future__ import annotations

import msgspec

from knockon.queries.club.note_added import Against, Bound
from knockon.queries.club.notes import NoteShown
from knockon.queries.ui.document import SCHEMA


class NotesFrom(msgspec.Struct, frozen=True):
    """Which records hold the notes: whether they are the invented demo world, and what was left out."""

    invented: bool
    without: tuple[str, ...] = ()


class NotesDocument(msgspec.Struct, frozen=True, kw_only=True):
    """The notes that were found. ``status`` is the exit status, ``schema`` the version of the form."""

    answer: str
    schema: int = SCHEMA
    records: NotesFrom
    status: int
    notes: tuple[NoteShown, ...]


class NoteAdded(msgspec.Struct, frozen=True, kw_only=True):
    """The note that was added: which things its readings belong to, and what it contradicts. ``schema``: the version
    of the form. ``status``: the exit status. ``written``: the note's name. ``not_read``: why the records could not be
    read again once it was written; nothing but its name is known then."""

    answer: str
    schema: int = SCHEMA
    records: NotesFrom
    status: int
    written: str
    notes: tuple[NoteShown, ...]
    bound: tuple[Bound, ...]
    contradicts: tuple[Against, ...]
    not_read: str = ""
