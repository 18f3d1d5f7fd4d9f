"""Added notes as rows of tables: a folder of tables with notes beside them is read straight, as one without is.

Notes say in RDF what rows of tables say: a note, its source, the things that it names, sizes read on them. Where the
statements of all notes are, one for one, those that such rows make (``_as_rows`` makes the rows' statements again and
compares), the catalogue of tables and notes is that of all these rows (``FromTables`` is held to what quads give).
What is said in words of PROV-O and DCTERMS beside that is in no column, so no catalogue reads it.

The long way checks more than rows one by one; it would find nothing, and set nothing aside, where this holds:

- Nothing was wrong with the tables, so that checking them again beside each other finds nothing either, as long as
  they are checked against the same: names (notes only add some) and what is recorded of features. No feature that a
  note records has a name or kind that the things of its places had not (``_is_usual``).
- Rows of notes are of tables whose rows are checked by themselves, by what they name, and by agreeing with rows of the
  same key: both are looked at here, for all notes and again without those that were withdrawn.
- No club is merged, and no statement is in foreign words that mean something here, so that nothing is described
  twice, renamed or translated.

Wherever one of these does not hold, or a note that was withdrawn was a table's with sizes of its own, None is given,
and the folder is read the long way.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from pathlib import Path
from typing import Any

import msgspec
import pyoxigraph as ox
from msgspec.structs import replace

from knockon.graph.exchange.foreign import is_understood
from knockon.graph.exchange.rows import good_rows
from knockon.graph.exchange.withdrawn import WITHDRAWN, is_its_own
from knockon.graph.files.plain import content_of
from knockon.graph.files.rdf_files import note_files
from knockon.graph.model.findings import RecordsError
from knockon.graph.model.names import ID, iri, key_of, source_graph
from knockon.graph.model.schema import DCTERMS, Table, Vocabulary
from knockon.graph.rdf.canonical import PROV, from_bytes, iri_of
from knockon.graph.tables.recorded import THINGS, FeaturesAt
from knockon.graph.tables.rows import Names, Row, parts_of
from knockon.graph.tables.stated import ABSENT, NAME, OF, TYPE, FeatureRow, ReadTables

BY_THEMSELVES = frozenset({"notes", "sources", "items", "claims", "offers", "suppliers"})
"""Tables whose rows are checked by themselves, by what they name and by rows of the same key."""
Place = tuple[Any, Any]
"""A row: its subject and its graph."""
Used = Mapping[str, Collection[str]]
"""Names by table."""


class Noted(msgspec.Struct, frozen=True):
    """Rows of notes; ``withdrawn``: the notes that were taken back, each with its graph."""

    rows: list[Row]
    features: list[FeatureRow]
    withdrawn: frozenset[Place] = frozenset()


class NotPlain(Exception):
    """Notes say something that rows of tables do not."""


def with_notes(folder: Path, read: ReadTables) -> ReadTables | None:
    """The rows of a folder's tables, with which nothing was wrong, and of the notes beside them; None where these have
    to be read as RDF is."""
    try:
        noted = _noted(folder, read)
        return _joined(read, noted)
    except NotPlain:
        return None


def _noted(folder: Path, read: ReadTables) -> Noted:
    """The rows of all notes. Raises NotPlain."""
    every: dict[ox.Quad, None] = {}
    for path in note_files(folder):
        try:
            every |= statements_of(content_of(path), path.relative_to(folder).as_posix(), read.vocabulary)
        except (RecordsError, OSError) as error:
            raise NotPlain from error
    return as_rows(every, read.vocabulary, lambda used: read.every)


def statements_of(content: bytes, name: str, vocabulary: Vocabulary) -> dict[ox.Quad, None]:
    """The statements of a file with which nothing is wrong. Raises NotPlain, RecordsError."""
    quads = dict.fromkeys(from_bytes(content, "nq", name))
    came = good_rows(quads, vocabulary, name)
    if came.findings or came.lost or any(is_understood(q) for q in quads) or {*came.good} != {*quads}:
        raise NotPlain
    return quads


def as_rows(quads: Iterable[ox.Quad], vocabulary: Vocabulary, named: Callable[[Used], Names]) -> Noted:
    """The rows that make these statements, and no others but those that no catalogue reads; ``named``: of the names
    that they use those that tables have. Raises NotPlain."""
    stated: dict[Place, list[ox.Quad]] = defaultdict(list)
    for quad in quads:
        stated[(quad.subject, quad.graph_name)].append(quad)
    shapes = {t.iri: t for t in vocabulary.tables.values() if t.table in BY_THEMSELVES} | dict(vocabulary.kinds)
    rows: list[Row] = []
    features: list[FeatureRow] = []
    withdrawn: set[Place] = set()
    told: set[ox.Quad] = set()
    for place, said in stated.items():
        withdrawn |= {place for q in said if q.predicate == WITHDRAWN}
        types = [iri_of(q.object) for q in said if q.predicate == TYPE and _is_ours(q)]
        ours = [q for q in said if q.predicate != WITHDRAWN and _is_ours(q)]
        if not types and not ours:
            continue
        if len(types) != 1 or types[0] not in shapes:
            raise NotPlain
        told.update(ours)
        shape = shapes[types[0]]
        if shape.is_kind:
            features += _features(shape, ours)
        else:
            rows.append(_row(shape, ours))
    noted = Noted(rows, features, frozenset(withdrawn))
    every = named(_used(noted))
    _must_be_named(every, noted)
    if {*ReadTables(vocabulary, rows, [], features, _with_names(every, rows), FeaturesAt(vocabulary)).quads()} != told:
        raise NotPlain
    return noted


def _used(noted: Noted) -> Used:
    """The names that rows use, by table."""
    found: dict[str, set[str]] = defaultdict(set)
    for row in noted.rows:
        for column in row.shape.columns:
            text = row.cells.get(column.name, "")
            for table in column.refers_to if text else ():
                found[table].update(parts_of(column, text))
    for feature in noted.features:
        found[feature.table].add(feature.thing)
    return found


def _is_ours(quad: ox.Quad) -> bool:
    """Whether a statement may be read from a row: neither a column nor a row's type is a word of these vocabularies."""
    said = iri_of(quad.object) if quad.predicate == TYPE else quad.predicate.value
    return not said.startswith((PROV, DCTERMS))


def _names(rows: Iterable[Row]) -> dict[str, set[str]]:
    found: dict[str, set[str]] = defaultdict(set)
    for row in rows:
        found[row.shape.table].add(row.key[0])
    return found


def _with_names(every: Names, rows: Iterable[Row]) -> Names:
    keys = defaultdict(set, every.keys)
    for table, more in _names(rows).items():
        keys[table] = keys[table] | more
    return Names(keys, every.inside)


def _row(shape: Table, stated: Iterable[ox.Quad]) -> Row:
    """The row of a plain table that says this. Raises NotPlain where a cell would have to hold two texts."""
    said: dict[str, list[str]] = defaultdict(list)
    for quad in stated:
        said[quad.predicate.value].append(_text(quad.object))
    cells: dict[str, str] = {}
    for column in shape.columns:
        texts = sorted(said.get(column.path, ()))
        if len(texts) > 1 and not column.many:
            raise NotPlain
        if texts:
            cells[column.name] = "; ".join(texts)
            if sorted(parts_of(column, cells[column.name])) != texts:
                raise NotPlain
    key = tuple(cells.get(c.name, "") for c in shape.columns if c.key)
    return Row("notes", 0, shape, key, cells)


def _text(node: Any) -> str:
    if isinstance(node, ox.NamedNode):
        return key_of(node.value) if node.value.startswith(ID) and "/" in node.value.removeprefix(ID) else node.value
    return str(node.value)


def _features(shape: Table, stated: Sequence[ox.Quad]) -> Iterable[FeatureRow]:
    """The rows of one feature: as many as some size has values."""
    said: dict[str, list[Any]] = defaultdict(list)
    for quad in stated:
        said[quad.predicate.value].append(quad.object)
    bearer, name = said[OF.value], said[NAME.value]
    if len(bearer) != 1 or len(name) != 1 or iri_of(stated[0].graph_name) == "":
        raise NotPlain
    table = iri_of(bearer[0]).removeprefix(ID).partition("/")[0]
    graph = iri_of(stated[0].graph_name)
    source = key_of(graph) if graph.startswith(ID + "sources/") else ""
    texts = [sorted(str(o.value) for o in said.get(c.path, ())) for c in shape.columns]
    for i in range(max(1, *map(len, texts)) if texts else 1):
        cells = tuple(column[i] if i < len(column) else "" for column in texts)
        yield FeatureRow(shape, table, _text(bearer[0]), str(name[0].value), source, cells, ABSENT.value in said)


def _joined(read: ReadTables, noted: Noted) -> ReadTables:
    """The rows of the tables and of the notes that stand. Raises NotPlain where reading them the long way might find
    something wrong."""
    _must_agree(read.kept, noted.rows)
    own = {graph for note, graph in noted.withdrawn if is_its_own(note, graph)}
    kept = _without_withdrawn(read, noted.withdrawn, {key_of(graph.value) for graph in own})
    rows = [r for r in noted.rows if (place := _place(r)) not in noted.withdrawn and place[1] not in own]
    features = [f for f in noted.features if ox.NamedNode(source_graph(f.source)) not in own]
    standing = Noted(rows, features)
    if len(rows) < len(noted.rows):
        _must_be_named(read.every, standing)
    if features and not _is_usual(read, standing):
        raise NotPlain
    alone = {table: frozenset(found - read.every.keys.get(table, set())) for table, found in _names(rows).items()}
    alone["features"] = frozenset(f.thing for f in features)
    return replace(
        read,
        kept=[*kept, *rows],
        feature_rows=[*read.feature_rows, *features],
        every=_with_names(read.every, rows),
        noted=alone,
    )


def _place(row: Row) -> Place:
    source = row.cells.get("source", "") if row.shape.table != "sources" else ""
    return ox.NamedNode(iri(row.shape.table, *row.key)), ox.NamedNode(source_graph(source))


def _must_agree(tables: Iterable[Row], rows: Iterable[Row]) -> None:
    """Rows of one key say the same, but for whom they have it from. Raises NotPlain."""
    same: dict[tuple[str, tuple[str, ...]], list[Row]] = defaultdict(list)
    for row in rows:
        same[(row.shape.table, row.key)].append(row)
    wanted = {table for table, _ in same}
    for row in tables:
        if row.shape.table in wanted and (row.shape.table, row.key) in same:
            same[(row.shape.table, row.key)].append(row)
    for (table, _), found in same.items():
        for column in found[0].shape.columns if len(found) > 1 else ():
            said = {row.cells.get(column.name, "") for row in found}
            if len(said) > 1 and (column.name != "source" or table == "sources"):
                raise NotPlain


def _must_be_named(every: Names, noted: Noted) -> None:
    """All that rows name is there, and none hangs on another of its table. Raises NotPlain."""
    own = _names(noted.rows)

    def is_there(table: str, name: str) -> bool:
        return name in every.keys.get(table, ()) or name in own.get(table, ())

    for row in noted.rows:
        for column in row.shape.columns:
            text = row.cells.get(column.name, "")
            if text and (column.no_circle_from or column.mutual):
                raise NotPlain
            if text and column.names_in and not every.has(column, text, row.cells.get("layout", "")):
                raise NotPlain
            names = parts_of(column, text) if text and column.refers_to else ()
            if not all(any(is_there(table, name) for table in column.refers_to) for name in names):
                raise NotPlain
    if not all(f.table in THINGS and is_there(f.table, f.thing) for f in noted.features):
        raise NotPlain


def _without_withdrawn(read: ReadTables, withdrawn: Collection[Place], sources: Collection[str]) -> list[Row]:
    """The rows of the tables without notes that were withdrawn; ``sources``: those that are of such a note alone.
    Raises NotPlain where more would go than the note's row."""
    if not withdrawn:
        return read.kept
    subjects = {iri_of(note) for note, _ in withdrawn}
    if not all(subject.startswith(ID + "notes/") for subject in subjects):
        raise NotPlain
    if sources and any(row.source in sources for row in read.feature_rows):
        raise NotPlain
    kept = []
    for row in read.kept:
        table, source = row.shape.table, row.cells.get("source", "")
        if table == "notes":
            place = _place(row)
            if place in withdrawn or source in sources:
                continue
        elif source in sources and table != "sources":
            raise NotPlain
        kept.append(row)
    return kept


def _is_usual(read: ReadTables, noted: Noted) -> bool:
    """Whether something has a feature of each one's name and kind, and things of the same places have: then what is
    recorded, of anything and of positions, is the same with these."""
    if any(f.kind.iri not in read.kinds.get(f.feature, ()) for f in noted.features):
        return False
    new: dict[str, set[tuple[str, str]]] = defaultdict(set)
    for feature in noted.features:
        new[feature.thing].add((feature.feature, feature.kind.iri))
    return read.standing.has([*read.kept, *noted.rows], new)
