"""From rows to quads: each cell checked against its column's shape, each row in its source's named graph.

A faulty row or cell becomes a Finding and the good ones go on. A faulty size is loaded as ``?``: known to be
unknown, so that
no claim may stand in for it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from math import isfinite

import pyoxigraph as ox

from knockon.graph import names
from knockon.graph.limits import read_limit
from knockon.graph.nearest import nearest
from knockon.graph.quantity import CellError, read_cell
from knockon.graph.records.findings import Finding
from knockon.graph.records.tables import RawTable
from knockon.graph.schema import VOCAB, Column, Table, Vocabulary

TYPE = ox.NamedNode("http://www.w3.org/1999/02/22-rdf-syntax-ns#type")
OF, NAME, ABSENT = (ox.NamedNode(VOCAB + n) for n in ("of", "featureName", "knownAbsent"))
XSD = "http://www.w3.org/2001/XMLSchema#"
TRUE = ox.Literal("true", datatype=ox.NamedNode(XSD + "boolean"))
BOOLEANS = {"yes": "true", "no": "false", "y": "true", "n": "false", "true": "true", "false": "false"}
FEATURE_COLUMNS = ("part", "feature", "source")
Node = ox.NamedNode | ox.Literal


class BadCellError(ValueError):
    """A cell that is not what its column expects."""

    def __init__(self, problem: str, expected: str, suggestions: tuple[str, ...] = ()) -> None:
        super().__init__(problem)
        self.problem, self.expected, self.suggestions = problem, expected, suggestions


@dataclass
class Reader:
    """Reads rows against the vocabulary. ``keys`` holds the keys of every table, for references."""

    vocabulary: Vocabulary
    findings: list[Finding] = field(default_factory=list)
    keys: dict[str, set[str]] = field(default_factory=dict)
    _stated: dict[tuple[str, str], tuple[str, int]] = field(default_factory=dict)

    def read(self, tables: Iterable[RawTable]) -> Iterator[ox.Quad]:
        """All quads of the tables; findings are collected in ``findings``."""
        tables = list(tables)
        self._collect_keys(tables)
        kinds = {k.table: k for k in self.vocabulary.kinds.values()}
        for raw in tables:
            is_feature = raw.file.startswith("features/")
            shape = (kinds if is_feature else self.vocabulary.tables).get(raw.table)
            if shape is None:
                known = sorted(kinds if is_feature else self.vocabulary.tables)
                self._report(
                    raw, 1, "", raw.table, "no such table", "one of " + ", ".join(known), nearest(raw.table, known)
                )
                continue
            columns = self._columns(raw, shape)
            if columns is not None:
                where = {header: raw.header.index(header) for header in raw.header}
                for number, cells in raw.rows:
                    row = {header: cells[i] for header, i in where.items() if cells[i]}
                    yield from (
                        self._feature(raw, shape, columns, number, row)
                        if is_feature
                        else self._row(raw, shape, columns, number, row)
                    )

    def _collect_keys(self, tables: list[RawTable]) -> None:
        for raw in tables:
            shape = self.vocabulary.tables.get(raw.table)
            if shape is None or raw.file.startswith("features/"):
                continue
            key = [c.name for c in shape.columns if c.key]
            if set(key[:1]) <= set(raw.header):
                found = self.keys.setdefault(raw.table, set())
                where = [raw.header.index(k) for k in key if k in raw.header]
                for _, cells in raw.rows:
                    found.add(cells[where[0]])
                    if raw.table == "set_members" and len(where) > 1:
                        found.add(cells[where[0]] + "/" + cells[where[1]])

    def _columns(self, raw: RawTable, shape: Table) -> dict[str, Column] | None:
        columns = {c.name: c for c in shape.columns}
        fixed = FEATURE_COLUMNS if shape.is_kind else ()
        for twice in sorted({h for h in raw.header if h and raw.header.count(h) > 1}):
            self._report(raw, 1, twice, twice, "the column stands twice: only the first is read", "one such column")
        for header in raw.header:
            if header not in columns and header not in fixed:
                expected = [*fixed, *columns]
                self._report(
                    raw,
                    1,
                    header,
                    header,
                    "no such column: its cells are passed over",
                    "one of " + ", ".join(expected),
                    nearest(header, expected),
                )
        needed = fixed[:2] if shape.is_kind else [c.name for c in shape.columns if c.required]
        missing = [n for n in needed if n not in raw.header]
        if missing:
            self._report(raw, 1, missing[0], "", f"the table lacks the column {missing[0]!r}", ", ".join(needed))
            return None
        return columns

    def _row(
        self, raw: RawTable, shape: Table, columns: Mapping[str, Column], number: int, row: dict[str, str]
    ) -> Iterator[ox.Quad]:
        subject = ox.NamedNode(names.iri(raw.table, *(row.get(c.name, "") for c in shape.columns if c.key)))
        graph = ox.NamedNode(names.source_graph(row.get("source", "") if raw.table != "sources" else ""))
        quads = [ox.Quad(subject, TYPE, ox.NamedNode(shape.iri), graph)]
        good = True
        for column in shape.columns:
            written = row.get(column.name, "")
            if not written:
                if column.required:
                    self._report(raw, number, column.name, "", "the cell is empty", expected_of(column))
                    good = False
                continue
            try:
                path = ox.NamedNode(column.path)
                quads += [ox.Quad(subject, path, value, graph) for value in self._values(column, written)]
            except BadCellError as error:
                self._report(raw, number, column.name, written, error.problem, error.expected, error.suggestions)
                good = False
        if good:
            self._compare(raw, number, subject.value, shape, row)
            yield from quads

    def _compare(self, raw: RawTable, number: int, subject: str, shape: Table, row: Mapping[str, str]) -> None:
        """Report where an earlier row of the same key says something else; both stay in the graph."""
        for column in shape.columns:
            written = row.get(column.name, "")
            before = self._stated.setdefault((subject, column.name), (written, number))
            if not column.many and before[0] != written:
                used = min(filter(None, (before[0], written)))
                problem = f"row {before[1]} has the same key and says {before[0]!r}; both are kept, {used!r} is used"
                self.findings.append(Finding(raw.file, number, column.name, written, problem, "one value", (), False))

    def _values(self, column: Column, written: str) -> Iterator[Node]:
        texts = [t.strip() for t in written.split(";") if t.strip()] if column.many else [written]
        for text in texts:
            if column.refers_to:
                yield self._reference(column, text)
            elif column.names:
                known = self.vocabulary.part_types if column.names == "PartType" else self.vocabulary.rules
                if text not in known:
                    raise BadCellError(
                        f"no such {column.name}", f"a {column.name} of the vocabulary", nearest(text, known)
                    )
                yield ox.Literal(text)
            else:
                yield literal(column, text)

    def _reference(self, column: Column, text: str) -> ox.NamedNode:
        for table in column.refers_to:
            if text in self.keys.get(table, ()):
                return ox.NamedNode(names.iri(table, text))
        known = {k for t in column.refers_to for k in self.keys.get(t, ())}
        raise BadCellError(f"names nothing in {' or '.join(column.refers_to)}", "a known name", nearest(text, known))

    def _thing(self, text: str) -> ox.NamedNode | None:
        for table in ("parts", "items", "set_members"):
            if text in self.keys.get(table, ()):
                return ox.NamedNode(names.iri(table, text))
        return None

    def _feature(
        self, raw: RawTable, shape: Table, columns: Mapping[str, Column], number: int, row: dict[str, str]
    ) -> Iterator[ox.Quad]:
        bearer, feature, source = row.get("part", ""), row.get("feature", ""), row.get("source", "")
        thing = self._thing(bearer)
        if thing is None:
            known = {k for t in ("parts", "items") for k in self.keys.get(t, ())}
            self._report(
                raw, number, "part", bearer, "no such part, item or set member", "a known name", nearest(bearer, known)
            )
            return
        if not feature:
            self._report(raw, number, "feature", "", "the cell is empty", "the feature's name")
            return
        if source and source not in self.keys.get("sources", ()):
            known = self.keys.get("sources", set())
            self._report(
                raw, number, "source", source, "no such source", "a source of sources.csv", nearest(source, known)
            )
            return
        subject = ox.NamedNode(names.iri("features", bearer, feature))
        graph = ox.NamedNode(names.source_graph(source))
        yield ox.Quad(subject, TYPE, ox.NamedNode(shape.iri), graph)
        yield ox.Quad(subject, OF, thing, graph)
        yield ox.Quad(subject, NAME, ox.Literal(feature), graph)
        for name, column in columns.items():
            written = row.get(name, "")
            if not written:
                continue
            if written.lower() == "absent":
                yield ox.Quad(subject, ABSENT, TRUE, graph)
                continue
            datatype = ox.NamedNode(VOCAB + {"spline pitch": "splinePitch"}.get(column.datatype, column.datatype))
            try:
                read_cell(written, column.datatype)
                if column.values and written not in column.values and written != "?":
                    raise BadCellError("not one of the allowed values", ", ".join(column.values))
            except (CellError, BadCellError) as error:
                problem = str(error) if isinstance(error, CellError) else error.problem
                self._report(
                    raw, number, name, written, problem + "; taken as unknown", error.expected, tuple(error.suggestions)
                )
                written = "?"
            yield ox.Quad(subject, ox.NamedNode(column.path), ox.Literal(written, datatype=datatype), graph)

    def _report(
        self,
        raw: RawTable,
        row: int,
        column: str,
        written: str,
        problem: str,
        expected: str,
        suggestions: tuple[str, ...] = (),
    ) -> None:
        self.findings.append(Finding(raw.file, row, column, written, problem, expected, suggestions))


def literal(column: Column, text: str) -> ox.Literal:
    """The literal of a plain column's cell; raises BadCellError."""
    if column.values and text not in column.values:
        raise BadCellError("not one of the allowed values", ", ".join(column.values), nearest(text, column.values))
    if column.datatype == "boolean":
        if text.lower() not in BOOLEANS:
            raise BadCellError("not yes or no", "yes or no")
        return ox.Literal(BOOLEANS[text.lower()], datatype=ox.NamedNode(XSD + "boolean"))
    if column.datatype in ("integer", "decimal"):
        try:
            number = int(text) if column.datatype == "integer" else float(text)
            # Python reads "nan", "inf" and "1_0" as numbers; no sum or price can be made of the first two.
            if "_" in text or not isfinite(number):
                raise ValueError(text)
        except (ValueError, OverflowError) as error:
            raise BadCellError(
                "not a number", "a whole number" if column.datatype == "integer" else "a number"
            ) from error
        if column.datatype == "integer" and number < 0:
            raise BadCellError("a count below zero", "a whole number from 0 up")
        return ox.Literal(text, datatype=ox.NamedNode(XSD + column.datatype))
    if column.datatype == "quantity":
        try:
            read_limit(text)
        except CellError as error:
            raise BadCellError(str(error), error.expected, tuple(error.suggestions)) from error
        return ox.Literal(text, datatype=ox.NamedNode(VOCAB + "quantity"))
    return ox.Literal(text)


def expected_of(column: Column) -> str:
    """What a column expects, in words."""
    if column.values:
        return "one of " + ", ".join(column.values)
    return column.description or column.name
