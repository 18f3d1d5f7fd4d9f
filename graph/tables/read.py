"""From rows to quads: each cell checked against its column's shape, each row in its source's named graph.

A faulty row or cell becomes a Finding and the good ones go on. A faulty size is loaded as ``?``: known to be
unknown, so that
no claim may stand in for it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

import msgspec
import pyoxigraph as ox

from knockon.graph.model import names
from knockon.graph.model.findings import NO_SUCH_THING, Finding
from knockon.graph.model.layouts.ready_made import is_ready_made
from knockon.graph.model.schema import VOCAB, Column, Table, Vocabulary
from knockon.graph.quantity import CellError
from knockon.graph.tables.cells import BadCellError, expected_of, literal, near, read_size, shown
from knockon.graph.tables.figure_units import units_in_order
from knockon.graph.tables.figures import figures_in_order
from knockon.graph.tables.files import RawTable
from knockon.graph.tables.joint_ends import ends_in_order
from knockon.graph.tables.meeting import never_judged
from knockon.graph.tables.recorded import Recorded
from knockon.graph.tables.rows import Key, Names, Row, kept_rows, parts_of
from knockon.graph.tables.terms import terms_set_aside
from knockon.graph.tables.written_out import written_out
from knockon.graph.triples.datatypes import cell_literal

TYPE = ox.NamedNode("http://www.w3.org/1999/02/22-rdf-syntax-ns#type")
OF, NAME, ABSENT = (ox.NamedNode(VOCAB + n) for n in ("of", "featureName", "knownAbsent"))
TRUE = ox.Literal("true", datatype=ox.NamedNode("http://www.w3.org/2001/XMLSchema#boolean"))
FEATURE_COLUMNS = ("part", "feature", "source")
Node = ox.NamedNode | ox.Literal
Features = list[tuple[RawTable, Table, dict[str, Column]]]


class Reader(msgspec.Struct):
    """Reads rows against the vocabulary; what is wrong is collected in ``findings``."""

    vocabulary: Vocabulary
    findings: list[Finding] = msgspec.field(default_factory=list)
    _every: Names = msgspec.field(default_factory=lambda: Names.of(()))

    def read(self, tables: Iterable[RawTable]) -> Iterator[ox.Quad]:
        """All quads of the tables: of the plain ones first, which must agree with each other, then of the features."""
        tables = list(tables)
        tables += written_out(tables, self.findings)
        self._every = Names.of(self._keys(tables))
        kinds = {k.table: k for k in self.vocabulary.kinds.values()}
        rows: list[Row] = []
        features: Features = []
        for raw in tables:
            is_feature = raw.file.startswith("features/")
            known = kinds if is_feature else self.vocabulary.tables
            shape = known.get(raw.table)
            if shape is None:
                expected = "one of " + ", ".join(sorted(known))
                problem, offered = self._unknown("table", raw.table), near(raw.table, known)
                many = max(1, len(raw.rows))
                self.findings.append(
                    Finding(
                        file=raw.file,
                        row=1,
                        written=raw.table,
                        problem=problem,
                        expected=expected,
                        suggestions=offered,
                        many=many,
                    )
                )
                continue
            columns = self._columns(raw, shape)
            if columns is not None and is_feature:
                features.append((raw, shape, columns))
            elif columns is not None:
                rows += (r for n, cells in _by_header(raw) if (r := self._row(raw, shape, n, cells)) is not None)
        recorded = self._recorded(features)
        rows = ends_in_order(rows, recorded, self.vocabulary, self.findings)
        rows = units_in_order(rows, recorded, self.vocabulary, self.findings)
        kept = kept_rows(figures_in_order(rows, self.findings), self._every, self.findings)
        for row in kept:
            yield from row.quads
        yield from terms_set_aside(tables, kept, self.vocabulary)
        yield from self._features(features, kept, recorded)

    @staticmethod
    def _recorded(features: Features) -> Recorded:
        recorded = Recorded()
        for raw, shape, _ in features:
            for _, cells in _by_header(raw):
                recorded.add(cells.get("part", ""), cells.get("feature", ""), shape.iri)
        return recorded

    def _features(self, features: Features, kept: list[Row], recorded: Recorded) -> Iterator[ox.Quad]:
        for raw, shape, columns in features:
            for number, cells in _by_header(raw):
                others = recorded.otherwise(cells.get("part", ""), cells.get("feature", ""), shape.iri)
                if others:
                    labels = " and ".join(self.vocabulary.kinds[k].label for k in others)
                    problem = f"the same feature of {shown(cells['part'])} is also recorded as {labels}"
                    self._report(raw, number, "feature", cells["feature"], BadCellError(problem, "one kind of feature"))
                    continue
                yield from self._feature(raw, shape, columns, number, cells)
        self.findings += never_judged(kept, recorded, self.vocabulary)

    def _keys(self, tables: list[RawTable]) -> Iterator[tuple[str, Key]]:
        """The keys of all rows, good or not, so that a name is told apart from one whose row has a fault."""
        for raw in tables:
            shape = self.vocabulary.tables.get(raw.table)
            if shape is None or raw.file.startswith("features/"):
                continue
            where = [raw.header.index(c.name) if c.name in raw.header else -1 for c in shape.columns if c.key]
            if where and where[0] >= 0:
                for _, cells in raw.rows:
                    yield raw.table, tuple(cells[i] if i >= 0 else "" for i in where)

    def _columns(self, raw: RawTable, shape: Table) -> dict[str, Column] | None:
        columns = {c.name: c for c in shape.columns}
        fixed = FEATURE_COLUMNS if shape.is_kind else ()
        for twice in sorted({h for h in raw.header if h and raw.header.count(h) > 1}):
            fault = BadCellError("the table has this column twice, so only the first is read", "one such column")
            self._report(raw, 1, twice, twice, fault)
        expected = [*fixed, *columns]
        for header in raw.header:
            if header not in expected:
                problem, known = "no such column, so its cells are not read", "one of " + ", ".join(expected)
                self._report(raw, 1, header, header, BadCellError(problem, known, near(header, expected)))
        needed = fixed[:2] if shape.is_kind else [c.name for c in shape.columns if c.required]
        missing = [n for n in needed if n not in raw.header]
        if missing:
            problem = f"the table has no column {missing[0]!r}, so all its rows ({len(raw.rows)}) are skipped"
            self.findings.append(
                Finding(
                    file=raw.file,
                    row=1,
                    column=missing[0],
                    problem=problem,
                    expected=", ".join(needed),
                    many=len(raw.rows),
                )
            )
            return None
        return columns

    def _row(self, raw: RawTable, shape: Table, number: int, cells: dict[str, str]) -> Row | None:
        key = tuple(cells.get(c.name, "") for c in shape.columns if c.key)
        subject = ox.NamedNode(names.iri(raw.table, *key))
        graph = ox.NamedNode(
            names.READY_MADE_GRAPH
            if is_ready_made(raw.file)
            else names.source_graph(cells.get("source", "") if raw.table != "sources" else "")
        )
        quads = [ox.Quad(subject, TYPE, ox.NamedNode(shape.iri), graph)]
        good = True
        for column in shape.columns:
            written = cells.get(column.name, "")
            if not written:
                if column.required:
                    self._report(raw, number, column.name, "", BadCellError("empty", expected_of(column)))
                    good = False
                continue
            try:
                path = ox.NamedNode(column.path)
                quads += [ox.Quad(subject, path, value, graph) for value in self._values(column, written)]
            except BadCellError as error:
                self._report(raw, number, column.name, written, error)
                good = False
        return Row(raw.file, number, shape, key, cells, tuple(quads)) if good else None

    def _values(self, column: Column, written: str) -> Iterator[Node]:
        for text in parts_of(column, written):
            if column.refers_to:
                yield self._reference(column, text)
            elif column.names:
                known = self.vocabulary.named(column.names)
                if text not in known:
                    raise BadCellError(
                        self._unknown(column.name, text), f"a {column.name} of the vocabulary", near(text, known)
                    )
                yield ox.Literal(text)
            else:
                yield literal(column, text)

    def _unknown(self, sort: str, name: str) -> str:
        """What is wrong with a name that the vocabulary lacks: nobody gave it, or it could not be used."""
        where = self.vocabulary.left_out.get(f"{sort} {name}")
        return f"the {sort} of this name has an error and is not used ({where})" if where else f"no such {sort}"

    def _reference(self, column: Column, text: str) -> ox.NamedNode:
        for table in column.refers_to:
            if text in self._every.keys[table]:
                return ox.NamedNode(names.iri(table, text))
        known = self._known(*column.refers_to)
        raise BadCellError(f"not found in {' or '.join(column.refers_to)}", "a known name", near(text, known))

    def _thing(self, text: str) -> ox.NamedNode | None:
        for table in ("parts", "items", "set_members"):
            if text in self._every.keys[table]:
                return ox.NamedNode(names.iri(table, text))
        return None

    def _known(self, *tables: str) -> set[str]:
        return {k for t in tables for k in self._every.keys[t]}

    def _feature(
        self, raw: RawTable, shape: Table, columns: Mapping[str, Column], number: int, row: dict[str, str]
    ) -> Iterator[ox.Quad]:
        bearer, feature, source = row.get("part", ""), row.get("feature", ""), row.get("source", "")
        thing = self._thing(bearer)
        if thing is None:
            offered = near(bearer, self._known("parts", "items"))
            fault = BadCellError(NO_SUCH_THING, "a known name", offered)
            self._report(raw, number, "part", bearer, fault)
            return
        if not feature:
            self._report(raw, number, "feature", "", BadCellError("empty", "the feature's name"))
            return
        if source and source not in self._every.keys["sources"]:
            offered = near(source, self._known("sources"))
            fault = BadCellError("no such source", "a source of sources.csv", offered)
            self._report(raw, number, "source", source, fault)
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
            try:
                read_size(column, written)
            except (CellError, BadCellError) as error:
                problem = error.problem + ", so it counts as not known"
                unknown = BadCellError(problem, error.expected, tuple(error.suggestions))
                self._report(raw, number, name, written, unknown)
                written = "?"
            yield ox.Quad(subject, ox.NamedNode(column.path), cell_literal(column.datatype, written), graph)

    def _report(self, raw: RawTable, row: int, column: str, written: str, fault: BadCellError) -> None:
        self.findings.append(
            Finding(
                file=raw.file,
                row=row,
                column=column,
                written=shown(written),
                problem=fault.problem,
                expected=fault.expected,
                suggestions=fault.suggestions,
            )
        )


def _by_header(raw: RawTable) -> Iterator[tuple[int, dict[str, str]]]:
    """Row number and the filled cells of each row by header."""
    where = {header: raw.header.index(header) for header in raw.header}
    for number, cells in raw.rows:
        yield number, {header: cells[i] for header, i in where.items() if cells[i]}
