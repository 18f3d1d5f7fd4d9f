"""Writing what an import or a choice comes to: worked out while others may write, written while none does."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import TypeVar

from knockon.graph.files.atomic import sole_writer
from knockon.graph.files.plain import content_of
from knockon.graph.quarantine import Entry, Kept, book_bytes, kept_bytes, read_book, read_kept
from knockon.graph.quarantine.all_or_none import finish, write_together
from knockon.graph.quarantine.books import IMPORTED, QUARANTINE
from knockon.graph.records.prepared import fingerprints
from knockon.queries.intake.sheets.tables import Change

MOST_TRIES = 3
"""Times that an import is worked out anew because somebody else wrote meanwhile, before all others are held off."""
_Work = TypeVar("_Work")


def put_in_place(folder: Path) -> None:
    """Finish an import that was cut short. Raises RecordsError."""
    with sole_writer(folder):
        finish(folder)


def written_when_settled(
    folder: Path, work_out: Callable[[], _Work], write: Callable[[_Work], str]
) -> tuple[_Work, str]:
    """Work something out with no lock held, and write it if the records are still those that it was worked out from.
    With it comes what ``write`` says.

    Other writers wait for the writing alone, not for the thinking. Where they are always quicker, they wait once.
    """
    for _ in range(MOST_TRIES):
        stamp = _stamp(folder)
        work = work_out()
        with sole_writer(folder):
            if _stamp(folder) == stamp:
                return work, write(work)
    with sole_writer(folder):
        finish(folder)
        work = work_out()
        return work, write(work)


def _stamp(folder: Path) -> tuple[str, tuple[Kept, ...], tuple[Entry, ...]]:
    """What an import rests on: the records, and what it keeps beside them."""
    return fingerprints(folder)[0], read_kept(folder), read_book(folder)


def write_import(folder: Path, changes: Sequence[Change], entries: Sequence[Entry], kept: Sequence[Kept]) -> str:
    """All files or none, those left out that stay as they are; gives why one is not in its place yet."""
    contents = {folder / IMPORTED: kept_bytes(kept), folder / QUARANTINE: book_bytes(entries)}
    contents = {c.path: c.content for c in changes} | contents
    changed = {p: c for p, c in contents.items() if not p.exists() or content_of(p) != c}
    return write_together(folder, changed)
