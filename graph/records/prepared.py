"""Prepared copies: the catalogue of a records folder, kept in the user's cache so that a short question answers at
once.

A copy is named by the content of every file that it was made from and of the code, grammars and tables that made it,
so a stale one is never read. It holds data only, in pieces that are decoded when a question touches them
(``knockon.graph.records.kept``); a copy that cannot be read is made again. Which copy is of files that look so from
outside is kept beside it, so that a million rows are not read to find that nobody changed them.
"""

from __future__ import annotations

import hashlib
import os
import time
from collections.abc import Iterable, Iterator, Sequence
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec

from knockon.graph.files.copies import folder_of_copies, keep_copy, kept_copy, open_copy
from knockon.graph.files.plain import files_in
from knockon.graph.files.rdf_files import rdf_files
from knockon.graph.files.shelf import BrokenShelf, opened, shelved
from knockon.graph.files.shipped import shipped
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.findings import Finding
from knockon.graph.model.schema import vocabulary_files
from knockon.graph.tables.files import table_files
from knockon.graph.tables.pending import LIST, settled_content

if TYPE_CHECKING:
    from knockon.graph.records.made_of import MadeOf

MAKERS = (".py", ".lark", ".csv", ".txt")
"""Files of this package that a copy depends on; the vocabulary is counted with the records."""
ENDING, LOOKS, LATEST = ".records", ".looks", ".latest"
KEY = 64
"""Characters of a copy's name."""
Prepared = tuple[Catalogue, tuple[Finding, ...]]


@cache
def _code() -> bytes:
    """What tells this program from another: for each of its files the size and when it was written and put there.

    That no file was changed is all that is asked, and reading them all would take longer than a short answer. The time
    of writing can be set (a wheel does), so the time at which the system last saw the file change counts too.
    """
    digest = hashlib.sha256()
    # Grammars, units and the standards' tables decide what a cell means as much as code does.
    for path, entry in sorted(_made_from(str(Path(__file__).resolve().parent.parent))):
        digest.update(f"{path}\0{entry.st_size}\0{entry.st_mtime_ns}\0{entry.st_ctime_ns}\0".encode())
    return digest.digest()


def _made_from(folder: str) -> Iterator[tuple[str, os.stat_result]]:
    with os.scandir(folder) as entries:
        for entry in entries:
            if entry.is_dir():
                yield from _made_from(entry.path)
            elif entry.name.endswith(MAKERS):
                yield entry.path, entry.stat()


def fingerprint(folder: Path, without: Sequence[str] = ()) -> str:
    """A name for exactly these records and this code; raises RecordsError if there are no records."""
    return fingerprints(folder, without)[1]


class Contents(msgspec.Struct, frozen=True):
    """What the files of a folder hold: a name for each table's content, one for the Turtle and for this program, one
    for each note and club beside them."""

    tables: dict[str, str]
    rest: str
    beside: dict[str, str]

    @property
    def without_notes(self) -> str:
        """A name for the tables, Turtle and code alone."""
        return _name(self.rest, *(part for table in self.tables.items() for part in table))

    @property
    def key(self) -> str:
        """A name for all."""
        return _name(self.without_notes, *(part for file in self.beside.items() for part in file))


def contents(folder: Path, without: Sequence[str] = ()) -> Contents:
    """What the files of a folder hold. Raises RecordsError if there are no records."""
    rest = hashlib.sha256(_code())
    for name, text in vocabulary_files(folder):
        rest.update(name.encode() + b"\0" + text)
    for name in sorted(set(without)):
        rest.update(b"without\0" + name.encode() + b"\0")
    tables = dict(_told(folder, table_files(folder)))
    return Contents(tables, rest.hexdigest(), dict(_told(folder, rdf_files(folder))))


def fingerprints(folder: Path, without: Sequence[str] = ()) -> tuple[str, str]:
    """A name for the tables, Turtle and code alone, and one with the notes and clubs beside them too.

    Tables belong together and are written together; a note or a club's file is whole by itself, so that whoever reads
    while notes are added reads an earlier state, and no mix. Raises RecordsError if there are no records.
    """
    found = contents(folder, without)
    return found.without_notes, found.key


def _told(folder: Path, paths: Iterable[Path]) -> Iterator[tuple[str, str]]:
    for path in paths:
        try:
            content = settled_content(path, folder)
        except OSError:  # may not be read, is no file, or was put in its place meanwhile
            content = b"unreadable"
        yield path.relative_to(folder).as_posix(), hashlib.sha256(content).hexdigest()


def _name(*parts: str) -> str:
    return hashlib.sha256("\0".join(parts).encode("utf-8", "surrogateescape")).hexdigest()


def fetch(key: str) -> Prepared | None:
    """The prepared copy of this name, or None."""
    file = open_copy(f"{key}{ENDING}")
    if file is None:
        return None
    from knockon.graph.records.kept import from_shelf

    with file:
        try:
            return from_shelf(file)
        except (BrokenShelf, OSError):
            return None


def keep(key: str, prepared: Prepared, made: MadeOf | None = None, told: Contents | None = None) -> None:
    """Keep a copy, whole or not at all; a cache that cannot be written is no error. ``made``: what it was made of, if
    that is to be kept with it, in a folder with these contents."""
    if folder_of_copies() is not None:
        from knockon.graph.records.kept import on_shelf

        keep_copy(f"{key}{ENDING}", *on_shelf(prepared, made, told.tables if told else {}, told.beside if told else {}))


def note_latest(folder: Path, told: Contents) -> None:
    """Keep which copy is the latest of a folder, whatever its tables and notes hold."""
    keep_copy(f"{_latest(folder, told)}{LATEST}", told.key.encode())


def _latest(folder: Path, told: Contents) -> str:
    return _name(str(folder.absolute()), told.rest)


def fetch_changed(folder: Path, told: Contents) -> Prepared | None:
    """A copy of a folder with these contents, made from the latest one of it where few rows have changed, or notes
    were added; or None."""
    key = kept_copy(f"{_latest(folder, told)}{LATEST}")
    file = open_copy(f"{key.decode()}{ENDING}") if key and len(key) == KEY and key.isalnum() else None
    if file is None:
        return None
    from knockon.graph.records.changed import made_anew

    with file:
        try:
            pieces = made_anew(folder, told.tables, told.beside, opened(file))
        except (BrokenShelf, OSError):
            return None
    if pieces is None:
        return None
    keep_copy(f"{told.key}{ENDING}", *shelved(pieces))
    note_latest(folder, told)
    return fetch(told.key)


SETTLED = 3 * 10**9
"""Nanoseconds after which the times of a file tell a later change: no clock of a file system is coarser."""


def looks(folder: Path, without: Sequence[str] = ()) -> str:
    """A name for how the files of a folder look from outside (their sizes and times, not what is in them), or blank
    where that does not tell: a file was changed a moment ago, or times may be set at will.

    Whatever looks the same is the same: the system itself notes when a file last changed, and nobody can set that
    time. Raises RecordsError if there are no records.
    """
    if os.name == "nt" or (folder / LIST).exists():  # Windows notes when a file was made, not when it changed
        return ""
    digest = hashlib.sha256(_code())
    now, latest = time.time_ns(), 0
    ours = files_in(shipped("graph", "vocabulary"), ".ttl")
    try:
        for path in (*table_files(folder), *files_in(folder, ".ttl"), *rdf_files(folder), *ours):
            about = path.stat()
            latest = max(latest, about.st_mtime_ns, about.st_ctime_ns)
            seen = (about.st_dev, about.st_ino, about.st_size, about.st_mtime_ns, about.st_ctime_ns, about.st_mode)
            digest.update(f"{path.absolute()}\0{seen}\0".encode("utf-8", "surrogateescape"))
    except OSError:
        return ""
    for name in sorted(set(without)):
        digest.update(b"without\0" + name.encode("utf-8", "surrogateescape") + b"\0")
    return digest.hexdigest() if latest + SETTLED < now else ""


def seen_before(looks: str) -> Prepared | None:
    """The prepared copy of records that looked so, or None."""
    key = kept_copy(f"{looks}{LOOKS}") if looks else None
    return fetch(key.decode("ascii", "replace")) if key and len(key) == KEY and key.isalnum() else None


def note_looks(looks: str, key: str) -> None:
    """Keep which copy is of records that look so."""
    if looks:
        keep_copy(f"{looks}{LOOKS}", key.encode())
