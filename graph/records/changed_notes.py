"""New notes put into a prepared copy: what they tell, their sources, and sizes that they state of part numbers.

A note that names an item, or reads something on the item, says which thing stands where: that is bound anew with all
others, from the whole. So is one that is withdrawn.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping
from pathlib import Path
from typing import TypeVar

import msgspec
import pyoxigraph as ox

from knockon.graph.exchange.notes_as_rows import NotPlain, as_rows, statements_of
from knockon.graph.files.plain import content_of
from knockon.graph.model import names
from knockon.graph.model.findings import RecordsError
from knockon.graph.model.things import Feature, Note, Source
from knockon.graph.records.difference import Base, NotAlone
from knockon.graph.tables.recorded import FeaturesAt
from knockon.graph.tables.rows import Names
from knockon.graph.tables.stated import FeatureRow, FromTables, ReadTables

T = TypeVar("T")


class NewNotes(msgspec.Struct, frozen=True):
    """What new notes say."""

    notes: dict[str, Note]
    sources: dict[str, Source]
    features: list[FeatureRow]


def read_notes(folder: Path, files: Mapping[str, str], base: Base) -> NewNotes:
    """What these files say, each with this content. Raises NotAlone."""
    vocabulary = base.catalogue.vocabulary
    quads: dict[ox.Quad, None] = {}
    try:
        for file, told in files.items():
            content = content_of(folder / file)
            if hashlib.sha256(content).hexdigest() != told:
                raise NotAlone
            quads |= statements_of(content, file, vocabulary)
        rows = as_rows(quads, vocabulary, base.names_of)
    except (NotPlain, RecordsError, OSError) as error:
        raise NotAlone from error
    if rows.withdrawn or {row.shape.table for row in rows.rows} - {"notes", "sources"}:
        raise NotAlone
    gathered = FromTables(ReadTables(vocabulary, rows.rows, [], [], Names({}, {}), FeaturesAt(vocabulary)))
    notes = {n.note: n for n in gathered.records("notes", Note)}
    sources = {s.source: s for s in gathered.records("sources", Source)}
    if len(notes) + len(sources) < len(rows.rows) or notes.keys() & base.catalogue.notes.keys():
        raise NotAlone
    if sources.keys() & base.sources.keys() or any(f.table != "parts" for f in rows.features):
        raise NotAlone
    if not {note.source for note in notes.values()} <= sources.keys():  # else readings of another source are its own
        raise NotAlone
    return NewNotes(notes, sources, rows.features)


def with_more(feature: Feature, more: Feature) -> Feature:
    """A feature with what a new source says of it, as if all had been read at once: in the order of sources."""
    dimensions = {
        d: tuple(sorted((*feature.dimensions.get(d, ()), *more.dimensions.get(d, ())), key=lambda s: s.source))
        for d in sorted({*feature.dimensions, *more.dimensions})
    }
    absent, there = (
        tuple(sorted((*a, *b), key=lambda s: s.source))
        for a, b in ((feature.absent, more.absent), (feature.there, more.there))
    )
    return Feature(feature.name, feature.kind, dimensions, absent, there)


def in_order(found: Mapping[str, T]) -> dict[str, T]:
    """Records in the order of their IRIs, as a catalogue has them."""
    return {key: found[key] for key in sorted(found, key=lambda key: names.quoted((key,)))}
