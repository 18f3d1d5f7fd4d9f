"""Rows that were read: as quads for the graph, and straight as a catalogue is built from them.

Both say the same. What is read straight is spared the way through quads, in which each row is taken to pieces and put
together again; a vocabulary whose columns share a path, or use words that rows say beside their columns, could mean
something else by a quad than by a cell, and goes the long way (``is_plain``).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import groupby
from typing import Any, TypeVar

import msgspec
import pyoxigraph as ox

from knockon.graph.model import names
from knockon.graph.model.gathered import FromQuads, Row, Stated, field_of, many_of, record
from knockon.graph.model.layouts.ready_made import is_ready_made
from knockon.graph.model.schema import DCTERMS, RDF, VOCAB, Column, Table, Vocabulary
from knockon.graph.tables.cells import BOOLEANS, literal
from knockon.graph.tables.recorded import FeaturesAt
from knockon.graph.tables.rows import Names, parts_of
from knockon.graph.tables.rows import Row as TableRow
from knockon.graph.triples.datatypes import cell_literal

TYPE = ox.NamedNode(RDF + "type")
OF, NAME, ABSENT = (ox.NamedNode(VOCAB + n) for n in ("of", "featureName", "knownAbsent"))
TRUE = ox.Literal("true", datatype=ox.NamedNode("http://www.w3.org/2001/XMLSchema#boolean"))
BESIDE = frozenset(VOCAB + n for n in ("of", "featureName", "knownAbsent", "withdrawn"))
"""What rows say in words of ours that are no columns."""
OTHERS = (RDF, DCTERMS, "http://www.w3.org/ns/prov#")
"""Vocabularies in which something is said beside the columns: a row's type, by whom and when a note is."""
NOTES = "notes"
T = TypeVar("T")
Node = ox.NamedNode | ox.Literal


class FeatureRow(msgspec.Struct, frozen=True, gc=False):
    """A row of a feature table: the thing with its table, the feature, the source, what is written in the columns of
    the kind (blank: nothing; a size that could not be read: ``?``), whether the feature is absent."""

    kind: Table
    table: str
    thing: str
    feature: str
    source: str
    texts: tuple[str, ...]
    absent: bool


def is_plain(vocabulary: Vocabulary) -> bool:
    """Whether each column has a path of its own, in words that mean nothing else: then a cell is what a quad says."""
    shapes = (*vocabulary.tables.values(), *vocabulary.kinds.values())
    for shape in shapes:
        paths, headers = {c.path for c in shape.columns}, {c.name for c in shape.columns}
        if not len(paths) == len(headers) == len(shape.columns):
            return False
        if any(p in BESIDE or p.startswith(OTHERS) for p in paths):
            return False
    return len({shape.iri for shape in shapes}) == len(shapes) and "features" not in vocabulary.tables


class ReadTables(msgspec.Struct, frozen=True):
    """The rows of tables that can be used together, the terms of figures that were lost, the rows of features.

    ``every``: the names of all rows; ``standing``: what is recorded of the things of each place, and ``kinds``: as
    which kinds features of a name are recorded on anything; ``noted``: names that are there by notes alone, by table,
    and as ``features`` the things of which notes record some.
    """

    vocabulary: Vocabulary
    kept: list[TableRow]
    terms: list[ox.Quad]
    feature_rows: list[FeatureRow]
    every: Names
    standing: FeaturesAt
    kinds: dict[str, list[str]] = msgspec.field(default_factory=dict)
    noted: dict[str, frozenset[str]] = msgspec.field(default_factory=dict)

    def quads(self) -> Iterator[ox.Quad]:
        """All that is said, as statements: of the plain tables first, then of the features."""
        for row in self.kept:
            yield from self._row(row)
        yield from self.terms
        for feature in self.feature_rows:
            yield from _feature(feature)

    def _row(self, row: TableRow) -> Iterator[ox.Quad]:
        table = row.shape.table
        subject = ox.NamedNode(names.iri(table, *row.key))
        source = row.cells.get("source", "") if table != "sources" else ""
        own = names.READY_MADE_GRAPH if is_ready_made(row.file) else names.source_graph(source)
        graph = ox.NamedNode(own)
        yield ox.Quad(subject, TYPE, ox.NamedNode(row.shape.iri), graph)
        for column in row.shape.columns:
            path = ox.NamedNode(column.path)
            for text in parts_of(column, row.cells.get(column.name, "")):
                if text:
                    yield ox.Quad(subject, path, self._value(column, text), graph)

    def _value(self, column: Column, text: str) -> Node:
        if column.refers_to:
            return ox.NamedNode(names.iri(next(t for t in column.refers_to if text in self.every.keys[t]), text))
        return ox.Literal(text) if column.names else literal(column, text)


def _feature(row: FeatureRow) -> Iterator[ox.Quad]:
    subject = ox.NamedNode(names.iri("features", row.thing, row.feature))
    graph = ox.NamedNode(names.source_graph(row.source))
    yield ox.Quad(subject, TYPE, ox.NamedNode(row.kind.iri), graph)
    yield ox.Quad(subject, OF, ox.NamedNode(names.iri(row.table, row.thing)), graph)
    yield ox.Quad(subject, NAME, ox.Literal(row.feature), graph)
    if row.absent:
        yield ox.Quad(subject, ABSENT, TRUE, graph)
    for column, written in zip(row.kind.columns, row.texts, strict=True):
        if written:
            yield ox.Quad(subject, ox.NamedNode(column.path), cell_literal(column.datatype, written), graph)


class FromTables:
    """Rows gathered straight from tables, for a vocabulary that ``is_plain``.

    It is what ``FromQuads`` gathers from the quads of the same rows: a row's IRI is made of its table and its key, so
    rows of one key are one row there and here; a cell's quads hold its texts (yes and no as true and false), and the
    quads of different columns differ in their paths. What else is said of rows, by whom a note is, is in no column.
    """

    def __init__(self, read: ReadTables) -> None:
        self._tables: dict[str, list[TableRow]] = {}
        for row in read.kept:
            self._tables.setdefault(row.shape.table, []).append(row)
        # A lost term is said in quads alone; of one key with another row they are one.
        terms = {iri for quad in read.terms if isinstance(quad.subject, ox.NamedNode) for iri in [quad.subject.value]}
        self._terms: dict[str, list[Row]] = {}
        if terms:
            quads = [*read.terms, *(q for r in self._tables.get("figure_terms", ()) for q in read._row(r))]
            self._terms["figure_terms"] = FromQuads(quads, read.vocabulary).rows("figure_terms")
        self._feature_rows = read.feature_rows

    def rows(self, table: str) -> list[Row]:
        """As Gathered has it."""
        if table in self._terms:
            return self._terms[table]
        return [_joined(list(same)) for _, same in groupby(self._sorted(table), _iri)]

    def records(self, table: str, cls: type[T]) -> list[T]:
        """As Gathered has it."""
        rows = self._sorted(table)
        if not rows or table in self._terms or len({row.key for row in rows}) < len(rows):
            return [record(row, cls) for row in self.rows(table)]
        shape, many = rows[0].shape, many_of(cls)
        plain = [(c.name, field_of(c.name)) for c in shape.columns if c.name not in many and _is_as_written(c)]
        other = [c for c in shape.columns if c.name in many or not _is_as_written(c)]
        found = []
        for row in rows:
            get = row.cells.get
            said: dict[str, Any] = {field: text for column, field in plain if (text := get(column))}
            for column in other:
                texts = _texts(column, get(column.name, ""))
                if texts and column.name in many:
                    said[many[column.name]] = texts
                elif texts:
                    said[field_of(column.name)] = "true" if "true" in texts else texts[0]
            found.append(said)
        return msgspec.convert(found, list[cls], strict=False)  # type: ignore[valid-type]

    def _sorted(self, table: str) -> list[TableRow]:
        return sorted(self._tables.get(table, ()), key=_iri)

    def features(self) -> Iterator[tuple[str, str, tuple[Stated, ...]]]:
        """As Gathered has it."""
        said: dict[tuple[str, str], FeatureRow | list[FeatureRow]] = {}
        for row in self._feature_rows:
            key = (row.thing, row.feature)
            if (first := said.setdefault(key, row)) is not row:
                said[key] = [*(first if isinstance(first, list) else [first]), row]
        words: dict[tuple[str, tuple[str, ...], str, bool], tuple[Stated, ...]] = {}
        for thing, name in sorted(said):
            found = said[(thing, name)]
            if isinstance(found, list):
                yield thing, name, tuple(_together(found))
                continue
            written = (found.kind.iri, found.texts, found.source, found.absent)
            stated = words.get(written)
            if stated is None:
                stated = words[written] = tuple(_together([found]))
            yield thing, name, stated


def _iri(row: TableRow) -> str:
    """What orders rows of a table as their IRIs do."""
    return names.quoted(row.key)


def _is_as_written(column: Column) -> bool:
    return not column.many and column.datatype != "boolean"


def _texts(column: Column, written: str) -> list[str]:
    """The texts that the quads of a cell hold."""
    texts = {text for text in parts_of(column, written) if text}
    if column.datatype == "boolean" and not column.refers_to and not column.names:
        texts = {BOOLEANS[text.lower()] for text in texts}
    return sorted(texts)


def _joined(rows: list[TableRow]) -> Row:
    """What rows of one key say together."""
    found: Row = {}
    for column in rows[0].shape.columns:
        texts = sorted({text for row in rows for text in _texts(column, row.cells.get(column.name, ""))})
        if texts:
            found[column.name] = texts
    return found


def _together(rows: Iterable[FeatureRow]) -> Iterator[Stated]:
    """What the rows of one feature say, by source and kind."""
    for (source, kind), same in groupby(sorted(rows, key=_said_by), _said_by):
        group = list(same)
        shape = group[0].kind
        texts = [tuple(sorted({r.texts[i] for r in group if r.texts[i]})) for i in range(len(shape.columns))]
        cells = tuple((c.name, said) for c, said in zip(shape.columns, texts, strict=True) if said)
        yield source, kind, cells, any(r.absent for r in group)


def _said_by(row: FeatureRow) -> tuple[str, str]:
    return row.source, row.kind.iri
