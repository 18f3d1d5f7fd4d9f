"""Records folders: tables and Turtle in, quads and a catalogue out, with a finding for every fault."""

from __future__ import annotations

import gc
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING

import msgspec
import pyoxigraph as ox

from knockon.graph.model.build import build_catalogue, catalogue_of
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.findings import Finding, RecordsError
from knockon.graph.model.schema import Vocabulary, own_files, read_vocabulary, vocabulary_files
from knockon.graph.rdf.store import store_of
from knockon.graph.tables.files import RawTable, raw_tables, read_folder
from knockon.graph.tables.skipped import rows_of_layouts

if TYPE_CHECKING:
    from knockon.graph.exchange.answerable import Stated
    from knockon.graph.records.made_of import MadeOf

__all__ = [
    "Finding", "Records", "RecordsError", "load", "load_records", "read_graph", "read_own_vocabulary",
    "read_stated", "records_from_text",
]  # fmt: skip


class Records(msgspec.Struct, frozen=True):
    """A records folder, read: the catalogue and what was found wrong on the way."""

    catalogue: Catalogue
    findings: tuple[Finding, ...]


def read_graph(
    folder: Path, incoming: Mapping[str, list[ox.Quad]] | None = None
) -> tuple[ox.Store, Vocabulary, tuple[Finding, ...]]:
    """Read a records folder into a store of named graphs; ``incoming`` and what is raised as ``read_stated`` has it."""
    stated = read_stated(folder, incoming)
    return store_of(stated.quads), stated.vocabulary, stated.findings


def read_stated(folder: Path, incoming: Mapping[str, list[ox.Quad]] | None = None) -> Stated:
    """All statements of a records folder; ``incoming``: clubs' statements taken as if they were there.

    Raises RecordsError if the folder is missing or holds no tables.
    """
    findings: list[Finding] = []
    raw = list(read_folder(folder, findings))
    vocabulary, faults = read_own_vocabulary(tuple(own_files(folder)))
    findings += faults
    from knockon.graph.exchange.answerable import Stated
    from knockon.graph.exchange.beside import completed, read_beside
    from knockon.graph.tables.read import Reader  # brings the readers of cells, which a prepared copy needs not

    reader = Reader(vocabulary)
    tables = list(reader.read(raw))
    beside = read_beside(folder, vocabulary, incoming, tables)
    quads, nameless = completed(tables, beside.good, vocabulary)
    aside = rows_of_layouts({*findings, *reader.findings}, raw)
    found = tuple(sorted({*findings, *beside.findings, *reader.findings, *nameless}))
    return Stated(dict.fromkeys(quads), vocabulary, found, aside, tuple(beside.lost), bool(beside.good or beside.lost))


def read_own_vocabulary(own: tuple[tuple[str, bytes], ...]) -> tuple[Vocabulary, tuple[Finding, ...]]:
    """The vocabulary with a club's own Turtle files, each with its name, as far as they are in order; the findings."""
    if not own:
        return read_vocabulary(vocabulary_files()), ()
    from knockon.graph.rulebook.own import (
        usable_vocabulary,
    )  # brings the shapes, which a folder without Turtle needs not

    return usable_vocabulary(own)


def _graph_of(tables: list[RawTable], vocabulary: Vocabulary) -> tuple[ox.Store, list[Finding]]:
    from knockon.graph.tables.read import Reader

    reader = Reader(vocabulary)
    return store_of(reader.read(tables)), reader.findings


MOST_READINGS = 5
"""Times that records are read anew because somebody wrote to them meanwhile."""


def load(folder: Path, without: Sequence[str] = ()) -> Records:
    """The records of a folder, from the prepared copy if one was made from exactly these files.

    ``without`` names sources and merged clubs whose statements are left out. Where somebody writes tables while they
    are read, they are read again: an answer rests on one state. Notes that arrive meanwhile are seen or not. Raises
    RecordsError as read_graph does, where one of these names is not known, and where the writing does not end.
    """
    from knockon.graph.records import prepared

    looks = prepared.looks(folder, without)
    found = prepared.seen_before(looks)
    if found is not None:
        return Records(*found)
    told = prepared.contents(folder, without)
    for _ in range(MOST_READINGS):
        found = prepared.fetch(told.key) or prepared.fetch_changed(folder, told)
        if found is not None:
            if prepared.looks(folder, without) == looks:
                prepared.note_looks(looks, told.key)
            return Records(*found)
        with nothing_collected():
            records, made = _read(folder, without)
        before, told = told, prepared.contents(folder, without)
        if told == before:
            with nothing_collected():
                prepared.keep(told.key, (records.catalogue, records.findings), made, told)
            if made is not None:
                prepared.note_latest(folder, told)
            if prepared.looks(folder, without) == looks:
                prepared.note_looks(looks, told.key)
        if told.without_notes == before.without_notes:
            return records
        # somebody put tables in place while they were being read: half of them may be the old ones
    raise RecordsError(f"{folder} is being written to. Try again when that is done")


@contextmanager
def nothing_collected() -> Iterator[None]:
    """Look for no garbage meanwhile: reading makes millions of objects that stay, and looking through them again and
    again takes as long as reading."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def _read(folder: Path, without: Sequence[str]) -> tuple[Records, MadeOf | None]:
    """The records of a folder, and what they were made of where that is tables alone."""
    from knockon.graph.files.rdf_files import club_files
    from knockon.graph.tables.stated import is_plain

    if not without and not club_files(folder):
        vocabulary, faults = read_own_vocabulary(tuple(own_files(folder)))
        straight = _of_tables(folder, vocabulary, faults) if is_plain(vocabulary) else None
        if straight is not None:
            return straight
    from knockon.graph.exchange.answerable import answerable

    found = answerable(read_stated(folder), without, merged=[p.stem for p in club_files(folder)])
    return Records(found.catalogue, found.findings), None


def _of_tables(
    folder: Path, vocabulary: Vocabulary, faults: tuple[Finding, ...]
) -> tuple[Records, MadeOf | None] | None:
    """The records of a folder that holds tables, and notes that say what rows of tables can, without the way through
    quads; None where there are other notes."""
    from knockon.graph.files.copies import folder_of_copies
    from knockon.graph.files.rdf_files import note_files
    from knockon.graph.model.build import Recorded
    from knockon.graph.records.made_of import MadeOf, rows_of
    from knockon.graph.tables.read import Reader
    from knockon.graph.tables.stated import FromTables

    findings = list(faults)
    raw = list(read_folder(folder, findings))
    reader = Reader(vocabulary)
    read = reader.rows(raw)
    found = tuple(sorted({*findings, *reader.findings}))
    aside = rows_of_layouts(found, raw)
    rows = {} if found or folder_of_copies() is None else rows_of(raw)
    if note_files(folder):
        from knockon.graph.exchange.notes_as_rows import with_notes  # a folder without notes reads no RDF

        joined = with_notes(folder, read) if not found else None
        if joined is None:
            return None
        read = joined
    raw.clear()  # a large table stands in memory once
    recorded = Recorded()
    catalogue = catalogue_of(FromTables(read), vocabulary, aside, recorded)
    made = MadeOf(rows, recorded, read.standing.by_type, read.kinds, read.noted) if rows else None
    return Records(catalogue, found), made


def load_records(folder: Path, without: Sequence[str] = ()) -> Catalogue:
    """The catalogue of a records folder; faulty rows are left out (see ``load`` for the findings)."""
    return load(folder, without).catalogue


def records_from_text(tables: Mapping[str, str], turtle: Mapping[str, str] | None = None) -> Records:
    """Records from texts by file name, for small worlds that are not on disk; shipped vocabulary and ``turtle``."""
    own = tuple((name, text.encode()) for name, text in sorted((turtle or {}).items()))
    vocabulary, faults = read_own_vocabulary(own)
    findings = list(faults)
    raw = list(raw_tables(tables, findings))
    store, more = _graph_of(raw, vocabulary)
    found = tuple(sorted({*findings, *more}))
    return Records(build_catalogue(store, vocabulary, rows_of_layouts(found, raw)), found)
