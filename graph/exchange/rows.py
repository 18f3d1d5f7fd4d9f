"""Rows that come in as RDF, checked as the rows of tables are: a finding for every fault, and the good ones go on."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import Any
from urllib.parse import unquote

import msgspec
import pyoxigraph as ox

from knockon.graph.exchange.clubs import CLUBS, club_of
from knockon.graph.model.findings import Finding
from knockon.graph.model.names import ID
from knockon.graph.model.schema import RDF, VOCAB, Column, Table, Vocabulary
from knockon.graph.quantity import CellError
from knockon.graph.rdf.canonical import iri_of
from knockon.graph.tables.cells import BadCellError, expected_of, literal, near, read_size
from knockon.graph.tables.skipped import Lost, said_of
from knockon.graph.tables.stated import ABSENT, TRUE
from knockon.graph.triples.datatypes import cell_literal

TYPE = ox.NamedNode(RDF + "type")
OF, NAME = ox.NamedNode(VOCAB + "of"), ox.NamedNode(VOCAB + "featureName")
BESIDE_COLUMNS = frozenset({OF.value, NAME.value, ABSENT.value, VOCAB + "withdrawn"})
"""What rows say beside their columns: features of what they are, notes that they were withdrawn."""
Row = Mapping[str, list[Any]]


class Came(msgspec.Struct, frozen=True):
    """What came in as RDF: the statements that can be used, what is wrong with the others, the rows set aside."""

    good: list[ox.Quad]
    findings: list[Finding]
    lost: list[Lost]


def good_rows(quads: Iterable[ox.Quad], vocabulary: Vocabulary, file: str) -> Came:
    """The statements that can be used, each row by itself; rows beside each other are looked at in ``in_order``.

    A row is what one graph says of one subject that has the type of a table or kind. A faulty row is set aside whole;
    a size that cannot be read is taken as ``?``, as in tables. A cell of a row whose type nobody tells is set aside;
    other statements that belong to no row go on as they are.
    """
    rows: dict[tuple[Any, Any], list[ox.Quad]] = defaultdict(list)
    for quad in quads:
        rows[(quad.subject, quad.graph_name)].append(quad)
    tables = {t.iri: t for t in vocabulary.tables.values()} | dict(vocabulary.kinds)
    columns = {c.path: c for t in tables.values() for c in t.columns}
    came = Came(good=[], findings=[], lost=[])
    for (subject, graph), stated in rows.items():
        types = [tables[iri_of(q.object)] for q in stated if q.predicate == TYPE and iri_of(q.object) in tables]
        faults = [f for shape in types for f in _faults(shape, subject, stated, file, vocabulary)]
        meant = types
        if not types and iri_of(subject).startswith(ID):
            loose = [q for q in stated if q.predicate.value in columns]
            faults += [_of_no_row(q, columns[q.predicate.value], file) for q in loose]
            came.good.extend(q for q in stated if q not in loose) if loose else None
            meant = [t for t in [vocabulary.tables.get(path_of(subject)[0])] if t is not None and loose]
        came.findings.extend(faults)
        came.findings.extend(_of_no_column(types, stated, file))
        if any(f.set_aside for f in faults):
            came.lost.extend(_lost(shape, subject, graph, stated, file, faults) for shape in meant if not shape.is_kind)
        else:
            came.good.extend(_readable(types, stated, file, came.findings))
    return came


def _of_no_column(types: list[Table], stated: Iterable[ox.Quad], file: str) -> Iterator[Finding]:
    """What a row says in our words, but in no column of its table."""
    paths = {c.path: c.name for shape in types for c in shape.columns} if types else {}
    known = {*paths, *BESIDE_COLUMNS}
    for quad in stated:
        path = quad.predicate.value
        if paths and path.startswith(VOCAB) and path not in known:
            word, names = path.removeprefix(VOCAB), {p.removeprefix(VOCAB): name for p, name in paths.items()}
            offered = tuple(names[n] for n in near(word, names))
            where, problem = f"{shown(quad.subject)}: {word}", "no such column, so it is not read"
            yield Finding(
                file=file,
                column=where,
                written=word,
                problem=problem,
                expected="one of " + ", ".join(paths.values()),
                suggestions=offered,
                set_aside=False,
            )


def path_of(subject: Any) -> list[str]:
    """Table and key as a row's IRI has them, without the club that gave it."""
    iri = iri_of(subject)
    rest = iri.removeprefix(f"{CLUBS}{club_of(iri)}/") if club_of(iri) else iri.removeprefix(ID)
    return [unquote(part) for part in rest.split("/")] if "%" in rest else rest.split("/")


def called(node: Any) -> str:
    """The key of a thing as answers call it, with the club that gave it; any other IRI as it stands."""
    club, key = club_of(iri_of(node)), "/".join(path_of(node)[1:])
    return f"{club}: {key}" if club and key else key or iri_of(node)


def cells_of(shape: Table, stated: Iterable[ox.Quad]) -> dict[str, str]:
    """A row as the cells of a table: texts by header."""
    values: dict[str, set[str]] = defaultdict(set)
    for quad in stated:
        node = quad.object
        if isinstance(node, ox.NamedNode):
            values[quad.predicate.value].add(called(node))
        else:
            values[quad.predicate.value].add(str(getattr(node, "value", node)))
    return {c.name: "; ".join(sorted(values[c.path])) for c in shape.columns if values.get(c.path)}


def lost_row(shape: Table, subject: Any, graph: Any, stated: Iterable[ox.Quad], file: str, problem: str) -> Lost:
    """A row that was set aside; where its IRI and its cells differ, its name is that of the IRI."""
    keys = [c.name for c in shape.columns if c.key]
    table, *key = path_of(subject)
    key[:1] = [called(subject).rpartition("/".join(key))[0] + key[0]] if key else []
    named = dict(zip(keys, key, strict=False)) if table == shape.table else {}
    cells = cells_of(shape, stated) | {name: text for name, text in named.items() if text}
    return Lost(file, 0, shape.table, cells, problem, iri_of(graph))


def _lost(shape: Table, subject: Any, graph: Any, stated: list[ox.Quad], file: str, faults: Iterable[Finding]) -> Lost:
    said = [said_of(f.column.removeprefix(f"{shown(subject)}: "), f) for f in faults if f.set_aside]
    return lost_row(shape, subject, graph, stated, file, "; ".join(dict.fromkeys(said)))


def _of_no_row(quad: ox.Quad, column: Column, file: str) -> Finding:
    written = shown(quad.object) if isinstance(quad.object, ox.NamedNode) else str(getattr(quad.object, "value", "?"))
    problem = "belongs to no row, since this graph does not say of what type it is"
    return Finding(
        file=file,
        column=f"{shown(quad.subject)}: {column.name}",
        written=written,
        problem=problem,
        expected="a whole row, with its type",
    )


def shown(node: Any) -> str:
    """A node as people know it."""
    return unquote(iri_of(node).removeprefix(ID)) or str(node)


def _faults(shape: Table, subject: Any, stated: list[ox.Quad], file: str, vocabulary: Vocabulary) -> Iterator[Finding]:
    row: dict[str, list[Any]] = defaultdict(list)
    for quad in stated:
        row[quad.predicate.value].append(quad.object)

    def finding(column: str, written: str, problem: str, expected: str) -> Finding:
        return Finding(
            file=file, column=f"{shown(subject)}: {column}", written=written, problem=problem, expected=expected
        )

    if not iri_of(subject).startswith(ID):
        yield finding("", shown(subject), "not an IRI of records", f"an IRI that starts with {ID}")
    if shape.is_kind:
        if len(row[OF.value]) != 1 or not iri_of(row[OF.value][0]).startswith(ID):
            yield finding("of", "", "a feature is of one thing", "the IRI of a part, item or set member")
        if len(row[NAME.value]) != 1 or not isinstance(row[NAME.value][0], ox.Literal):
            yield finding("feature", "", "a feature has one name", "the feature's name")
        return
    if shape.table in {table for other in vocabulary.tables.values() for c in other.columns for table in c.refers_to}:
        yield from (finding(*fault) for fault in _key_faults(shape, subject, stated))
    for column, value, problem in _cell_faults(shape, row, vocabulary):
        yield finding(column.name, value, problem, expected_of(column))
    yield from _several(shape, subject, row, file)


def _several(shape: Table, subject: Any, row: Row, file: str) -> Iterator[Finding]:
    """Columns of one value for which several are stated."""
    for column in shape.columns:
        said = sorted({shown(v) if isinstance(v, ox.NamedNode) else str(v.value) for v in row.get(column.path, ())})
        if len(said) > 1 and not column.many:
            told = f"{len(said)} different values are stated. All are kept and {said[0]!r} is used"
            where = f"{shown(subject)}: {column.name}"
            yield Finding(
                file=file, column=where, written="; ".join(said), problem=told, expected="one value", set_aside=False
            )


def _key_faults(shape: Table, subject: Any, stated: list[ox.Quad]) -> Iterator[tuple[str, str, str, str]]:
    """Cells of a key that say another name than the row's IRI, by which others name it."""
    cells, (table, *key) = cells_of(shape, stated), path_of(subject)
    if table != shape.table:
        yield "", table, f"the IRI is one of {table}", f"an IRI of {shape.table}"
        return
    for column, text in zip((c for c in shape.columns if c.key), key, strict=False):
        if cells.get(column.name, "") != text and cells.get(column.name):
            yield column.name, cells[column.name], f"the row's IRI says {text!r}", "the same in both"


def _cell_faults(shape: Table, row: Row, vocabulary: Vocabulary) -> Iterator[tuple[Column, str, str]]:
    for column in shape.columns:
        for value in row.get(column.path, ()):
            problem = _fault(column, value, vocabulary)
            if problem:
                yield column, str(getattr(value, "value", value)), problem
        if column.required and not row.get(column.path):
            yield column, "", "nothing is stated"


def _fault(column: Column, value: Any, vocabulary: Vocabulary) -> str:
    if column.refers_to:
        return "" if iri_of(value).startswith(ID) and "/" in iri_of(value).removeprefix(ID) else "not an IRI of records"
    if not isinstance(value, ox.Literal):
        return "not a text or number"
    if column.names:
        return "" if value.value in vocabulary.named(column.names) else f"no such {column.name}"
    try:
        literal(column, value.value)
    except BadCellError as error:
        return error.problem
    return ""


def _readable(types: list[Table], stated: list[ox.Quad], file: str, findings: list[Finding]) -> Iterator[ox.Quad]:
    """The statements, each size that cannot be read replaced by ``?``."""
    columns = {c.path: c for shape in types if shape.is_kind for c in shape.columns}
    for quad in stated:
        column = columns.get(quad.predicate.value)
        if columns and quad.predicate == ABSENT:
            yield from _absence(quad, columns.values(), file, findings)
        elif column is None:
            yield quad
        elif (
            isinstance(quad.object, ox.Literal) and quad.object.value.casefold() == "absent"
        ):  # as in a cell of a table
            yield ox.Quad(quad.subject, ABSENT, TRUE, quad.graph_name)
        else:
            yield ox.Quad(quad.subject, quad.predicate, _size(quad, column, file, findings), quad.graph_name)


def _absence(quad: ox.Quad, columns: Iterable[Column], file: str, findings: list[Finding]) -> Iterator[ox.Quad]:
    """Whether a feature is known absent; where that cannot be read no claim may stand in for its sizes."""
    written = str(getattr(quad.object, "value", quad.object))
    if isinstance(quad.object, ox.Literal) and written in ("true", "1", "false", "0"):
        if written in ("true", "1"):
            yield ox.Quad(quad.subject, ABSENT, TRUE, quad.graph_name)
        return
    problem = "neither yes nor no, so every size counts as not known"
    findings.append(
        Finding(
            file=file,
            column=f"{shown(quad.subject)}: absent",
            written=written,
            problem=problem,
            expected="true, or nothing",
        )
    )
    for column in columns:
        unknown = cell_literal(column.datatype, "?")
        yield ox.Quad(quad.subject, ox.NamedNode(column.path), unknown, quad.graph_name)


def _size(quad: ox.Quad, column: Column, file: str, findings: list[Finding]) -> ox.Literal:
    written = str(getattr(quad.object, "value", quad.object))
    try:
        if not isinstance(quad.object, ox.Literal):
            raise BadCellError("not a size", expected_of(column))
        read_size(column, written)
        return quad.object
    except (CellError, BadCellError) as error:
        where = f"{shown(quad.subject)}: {column.name}"
        findings.append(
            Finding(
                file=file,
                column=where,
                written=written,
                problem=error.problem + ", so it counts as not known",
                expected=error.expected,
            )
        )
        return cell_literal(column.datatype, "?")
