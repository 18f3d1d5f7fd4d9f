"""From rows to what they say: each distinct cell checked once against its column's shape, rows beside each other.

A faulty row or cell becomes a Finding and the good ones go on. A faulty size is loaded as ``?``: known to be
unknown, so that
no claim may stand in for it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import msgspec
import pyoxigraph as ox

from knockon.graph.model.findings import NO_SUCH_THING, Finding
from knockon.graph.model.schema import NUMBERS, Column, Table, Vocabulary
from knockon.graph.quantity import CellError
from knockon.graph.tables.cells import BadCellError, expected_of, literal, near, read_size, shown
from knockon.graph.tables.figure_units import units_in_order
from knockon.graph.tables.figures import figures_in_order
from knockon.graph.tables.files import RawTable
from knockon.graph.tables.joint_ends import ends_in_order
from knockon.graph.tables.meeting import never_judged
from knockon.graph.tables.recorded import FeaturesAt, Recorded
from knockon.graph.tables.rows import Cells, Key, Names, Row, kept_rows, parts_of
from knockon.graph.tables.stated import FeatureRow, ReadTables
from knockon.graph.tables.terms import terms_set_aside
from knockon.graph.tables.written_out import written_out

FEATURE_COLUMNS = ("part", "feature", "source")
THINGS = ("parts", "items", "set_members")
"""The tables whose rows may have features; a name that stands in several is of the first."""
Features = list[tuple[RawTable, Table]]
Faults = dict[str, BadCellError]
"""What is wrong with a cell, by its text: each is read once, however often it stands there."""


class Reader(msgspec.Struct):
    """Reads rows against the vocabulary; what is wrong is collected in ``findings``."""

    vocabulary: Vocabulary
    findings: list[Finding] = msgspec.field(default_factory=list)
    _every: Names = msgspec.field(default_factory=lambda: Names.of(()))

    def read(self, tables: Iterable[RawTable]) -> Iterator[ox.Quad]:
        """All quads of the tables: of the plain ones first, which must agree with each other, then of the features."""
        return self.rows(tables).quads()

    def rows(self, tables: Iterable[RawTable]) -> ReadTables:
        """The rows of the tables that can be used together."""
        tables = list(tables)
        tables += written_out(tables, self.findings)
        shapes = (*self.vocabulary.tables.values(), *self.vocabulary.kinds.values())
        scoped = {c.names_in for shape in shapes for c in shape.columns if c.names_in}
        self._every = Names.of(self._keys(tables), scoped)
        rows, features = self._by_themselves(tables)
        recorded = _recorded(features)
        standing = FeaturesAt.of(rows, recorded, self.vocabulary)
        turned = ends_in_order(rows, standing, self.vocabulary, self.findings)
        turned = units_in_order(turned, recorded, standing, self.vocabulary, self.findings)
        kept = kept_rows(figures_in_order(turned, self.findings), self._every, self.findings)
        terms = list(terms_set_aside(tables, kept, self.vocabulary))
        stated = [row for raw, shape in features for row in self._features(raw, shape, recorded)]
        self.findings += never_judged(kept, recorded, standing.now(rows, kept, recorded), self.vocabulary)
        kinds = {name: sorted(found) for name, found in recorded.kinds.items()}
        return ReadTables(self.vocabulary, kept, terms, stated, self._every, standing, kinds)

    def some_features(self, raw: RawTable, shape: Table, every: Names) -> list[FeatureRow]:
        """The rows of a part of one table of features, read by themselves; ``every``: what they may name."""
        self._every = every
        return list(self._features(raw, shape, _recorded([(raw, shape)])))

    def some_rows(self, raw: RawTable, shape: Table, every: Names) -> list[Row]:
        """The rows of a part of one plain table, each read by itself; ``every``: what they may name."""
        self._every = every
        return list(self._rows(raw, shape)) if self._has_columns(raw, shape) else []

    def _by_themselves(self, tables: list[RawTable]) -> tuple[list[Row], Features]:
        """The rows of plain tables whose every cell can be read, and the tables of features."""
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
            elif not self._has_columns(raw, shape):
                continue
            elif is_feature:
                features.append((raw, shape))
            else:
                rows += self._rows(raw, shape)
        return rows, features

    def _keys(self, tables: list[RawTable]) -> Iterator[tuple[str, Key]]:
        """The keys of all rows, good or not, so that a name is told apart from one whose row has a fault."""
        for raw in tables:
            shape = self.vocabulary.tables.get(raw.table)
            if shape is None or raw.file.startswith("features/"):
                continue
            where = [raw.header.index(c.name) if c.name in raw.header else -1 for c in shape.columns if c.key]
            if where and where[0] >= 0:
                for _, cells in raw.rows:
                    yield raw.table, tuple([cells[i] if i >= 0 else "" for i in where])

    def _has_columns(self, raw: RawTable, shape: Table) -> bool:
        """Whether the table has the columns that it needs; what is wrong with its header goes to the findings."""
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
        return not missing

    def _rows(self, raw: RawTable, shape: Table) -> Iterator[Row]:
        where = _where(raw)
        faults = [(c, where.get(c.name), found) for c in shape.columns if (found := self._faults(raw, where, c))]
        keys = [where.get(c.name, -1) for c in shape.columns if c.key]
        for number, cells in raw.rows:
            good = True
            for column, at, found in faults:
                written = cells[at] if at is not None else ""
                if (fault := found.get(written)) is not None:
                    self._report(raw, number, column.name, written, fault)
                    good = False
            if good:
                key = tuple([cells[i] if i >= 0 else "" for i in keys])
                yield Row(raw.file, number, shape, key, Cells(where, cells))

    def _faults(self, raw: RawTable, where: dict[str, int], column: Column) -> Faults:
        """What is wrong with the cells of a column."""
        at = where.get(column.name)
        blank = {"": BadCellError("empty", expected_of(column))} if column.required else {}
        if at is None:
            return blank
        if _is_any_text(column):
            return blank if blank and any(not cells[at] for _, cells in raw.rows) else {}
        found = {w: fault for w in {cells[at] for _, cells in raw.rows} if w and (fault := self._fault(column, w))}
        return found | blank

    def _fault(self, column: Column, written: str) -> BadCellError | None:
        try:
            for text in parts_of(column, written):
                self._check(column, text)
        except BadCellError as error:
            return error.with_traceback(None)
        return None

    def _check(self, column: Column, text: str) -> None:
        """Raise BadCellError for a text that a column cannot hold."""
        if column.refers_to:
            if not any(text in self._every.keys[table] for table in column.refers_to):
                known = self._known(*column.refers_to)
                raise BadCellError(f"not found in {' or '.join(column.refers_to)}", "a known name", near(text, known))
        elif column.names:
            names = self.vocabulary.named(column.names)
            if text not in names:
                problem = self._unknown(column.name, text)
                offered = near(text, names, self.vocabulary.others(column.names))
                raise BadCellError(problem, f"a {column.name} of the vocabulary", offered)
        else:
            literal(column, text)

    def _unknown(self, sort: str, name: str) -> str:
        """What is wrong with a name that the vocabulary lacks: nobody gave it, or it could not be used."""
        where = self.vocabulary.left_out.get(f"{sort} {name}")
        return f"the {sort} of this name has an error and is not used ({where})" if where else f"no such {sort}"

    def _known(self, *tables: str) -> set[str]:
        return {k for t in tables for k in self._every.keys[t]}

    def _features(self, raw: RawTable, shape: Table, recorded: Recorded) -> Iterator[FeatureRow]:
        where = _where(raw)
        part, feature, source = (where.get(c, -1) for c in FEATURE_COLUMNS)
        sizes = [(c.name, where.get(c.name, -1), *self._sizes(raw, where, c)) for c in shape.columns]
        plain = [at for _, at, _, _ in sizes]
        is_plain = not any(faults or absent for _, _, faults, absent in sizes)
        heads, same = _Heads(self, raw, shape, recorded), dict[tuple[str, ...], tuple[str, ...]]()
        for number, cells in raw.rows:
            named = cells[part], cells[feature], cells[source] if source >= 0 else ""
            table = heads.table_of(number, *named)
            if table is None:
                continue
            absent = False
            if is_plain:
                texts = tuple([cells[at] if at >= 0 else "" for at in plain])
            else:
                absent, texts = self._written(raw, number, cells, sizes)
            yield FeatureRow(shape, table, *named, same.setdefault(texts, texts), absent)

    def _sizes(self, raw: RawTable, where: dict[str, int], column: Column) -> tuple[Faults, set[str]]:
        """What is wrong with the cells of a dimension, and which of them say that the feature is absent."""
        at = where.get(column.name)
        written = {cells[at] for _, cells in raw.rows} if at is not None else set()
        absent = {w for w in written if w.lower() == "absent"}
        faults: Faults = {}
        for text in (w for w in written if w and w not in absent):
            try:
                read_size(column, text)
            except (CellError, BadCellError) as error:
                problem = error.problem + ", so it counts as not known"
                faults[text] = BadCellError(problem, error.expected, tuple(error.suggestions))
        return faults, absent

    def _written(
        self, raw: RawTable, number: int, cells: tuple[str, ...], sizes: list[tuple[str, int, Faults, set[str]]]
    ) -> tuple[bool, tuple[str, ...]]:
        """Whether a row says that the feature is absent, and its sizes."""
        absent, texts = False, []
        for name, at, faults, is_absent in sizes:
            text = cells[at] if at >= 0 else ""
            if text in is_absent:
                absent, text = True, ""
            elif (fault := faults.get(text)) is not None:
                self._report(raw, number, name, text, fault)
                text = "?"
            texts.append(text)
        return absent, tuple(texts)

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


class _Heads:
    """Whose feature the rows of one table of features speak of, and by what source; what is wrong with that."""

    def __init__(self, reader: Reader, raw: RawTable, shape: Table, recorded: Recorded) -> None:
        self.reader, self.raw, self.shape, self.recorded = reader, raw, shape, recorded
        self.keys = reader._every.keys
        self._offered: dict[tuple[str, ...], tuple[str, ...]] = {}

    def table_of(self, number: int, thing: str, feature: str, source: str) -> str | None:
        """The table of the thing; None of a row that cannot be used."""
        fault = self._fault(thing, feature, source)
        if fault is not None:
            column, written, error = fault
            self.reader._report(self.raw, number, column, written, error)
            return None
        return next(table for table in THINGS if thing in self.keys[table])

    def _fault(self, thing: str, feature: str, source: str) -> tuple[str, str, BadCellError] | None:
        kinds = self.recorded.things[(thing, feature)]
        if len(kinds) > 1:
            others = self.recorded.otherwise(thing, feature, self.shape.iri)
            labels = " and ".join(self.reader.vocabulary.kinds[k].label for k in others)
            problem = f"the same feature of {shown(thing)} is also recorded as {labels}"
            return "feature", feature, BadCellError(problem, "one kind of feature")
        if not any(thing in self.keys[table] for table in THINGS):
            return "part", thing, BadCellError(NO_SUCH_THING, "a known name", self._near(thing, "parts", "items"))
        if not feature:
            return "feature", "", BadCellError("empty", "the feature's name")
        if source and source not in self.keys["sources"]:
            offered = self._near(source, "sources")
            return "source", source, BadCellError("no such source", "a source of sources.csv", offered)
        return None

    def _near(self, text: str, *tables: str) -> tuple[str, ...]:
        key = (text, *tables)
        if key not in self._offered:
            self._offered[key] = near(text, self.reader._known(*tables))
        return self._offered[key]


def _where(raw: RawTable) -> dict[str, int]:
    """Where each column stands; of one that stands twice the first is read."""
    return {header: raw.header.index(header) for header in raw.header}


def _is_any_text(column: Column) -> bool:
    return not (column.refers_to or column.names or column.values) and column.datatype not in (
        "boolean", *NUMBERS, "quantity",
    )  # fmt: skip


def _recorded(features: Features) -> Recorded:
    recorded = Recorded()
    for raw, shape in features:
        part, feature = (raw.header.index(c) for c in FEATURE_COLUMNS[:2])
        recorded.add_all([(cells[part], cells[feature]) for _, cells in raw.rows], shape.iri)
    return recorded
