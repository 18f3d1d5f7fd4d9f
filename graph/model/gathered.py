"""Rows as a catalogue is built from them, whichever way they came: from quads of the graph, or straight from tables."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, Protocol, TypeVar

import msgspec
import pyoxigraph as ox

from knockon.graph.model.names import ID, key_of
from knockon.graph.model.schema import VOCAB, Table, Vocabulary

RDF_TYPE = "http://www.w3.org/1999/02/22-rdf-syntax-ns#type"
ALIAS = {"is": "is_", "as": "as_"}
MANY = {
    **{name: name for name in ("parts", "owns", "without", "leaves", "photographs", "needs", "tightens")},
    "also called": "also_called",
}
"""Columns that may hold several values, with their fields."""
OF_VEHICLES = {**MANY, "arrangement": "arrangements"}
OF_STEPS = {**MANY, "position": "positions"}
T = TypeVar("T")
Row = dict[str, list[str]]
"""What the rows of one key say: the texts of each column, sorted."""
Stated = tuple[str, str, tuple[tuple[str, tuple[str, ...]], ...], bool]
"""What one source says of a feature: the source, the kind, the texts of each dimension, whether it is absent."""


class Gathered(Protocol):
    """The rows of all tables, in a fixed order."""

    def rows(self, table: str) -> list[Row]:
        """The rows of a table, those of one key as one, in the order of their IRIs."""

    def records(self, table: str, cls: type[T]) -> list[T]:
        """The same, typed."""

    def features(self) -> Iterator[tuple[str, str, tuple[Stated, ...]]]:
        """Each thing's features by name, both sorted, with what each source says, by source and kind."""


def many_of(cls: type[Any]) -> Mapping[str, str]:
    """The columns that may hold several values in records of this class, with their fields."""
    return {"Vehicle": OF_VEHICLES, "Step": OF_STEPS}.get(cls.__name__, MANY)


def field_of(column: str) -> str:
    """The field of a column that holds one value."""
    return ALIAS.get(column, column.replace(" ", "_"))


def record(row: Mapping[str, list[str]], cls: type[T]) -> T:
    """A row, typed."""
    many = many_of(cls)
    plain: dict[str, str | list[str]] = {many[k]: v for k, v in row.items() if k in many}
    plain |= {field_of(k): one_of(v) for k, v in row.items() if k not in many}
    return msgspec.convert(plain, cls, strict=False)


def one_of(texts: list[str]) -> str:
    """One of several texts for one cell (the reader has reported them): yes where any says yes, which is the safer."""
    return "true" if "true" in texts else texts[0]


class FromQuads:
    """Rows read back from quads, whatever their order."""

    def __init__(self, quads: Iterable[ox.Quad], vocabulary: Vocabulary) -> None:
        by_subject: dict[tuple[str, str], dict[str, list[Any]]] = defaultdict(lambda: defaultdict(list))
        for quad in quads:
            graph = getattr(quad.graph_name, "value", "")
            if isinstance(quad.subject, ox.NamedNode):
                by_subject[(quad.subject.value, graph)][quad.predicate.value].append(quad.object)
        tables = {t.iri: t for t in vocabulary.tables.values()}
        self._tables: dict[str, dict[str, Row]] = defaultdict(dict)
        self._features: dict[tuple[str, str], list[Stated]] = defaultdict(list)
        for (subject, graph), values in sorted(by_subject.items()):
            for type_ in values.get(RDF_TYPE, ()):
                if type_.value in tables:
                    shape = tables[type_.value]
                    _plain_row(self._tables[shape.table].setdefault(subject, {}), shape, values)
                elif type_.value in vocabulary.kinds:
                    self._feature_row(graph, vocabulary.kinds[type_.value], values)

    def _feature_row(self, graph: str, kind: Table, values: Mapping[str, list[Any]]) -> None:
        owner, name = values.get(VOCAB + "of"), values.get(VOCAB + "featureName")
        if owner and name:
            source = key_of(graph) if graph.startswith(ID + "sources/") else ""
            said = {c.name: tuple(sorted(str(o.value) for o in values.get(c.path, ()))) for c in kind.columns}
            cells = tuple((column, texts) for column, texts in said.items() if texts)
            absent = any(o.value == "true" for o in values.get(VOCAB + "knownAbsent", ()))
            self._features[(key_of(owner[0].value), name[0].value)].append((source, kind.iri, cells, absent))

    def rows(self, table: str) -> list[Row]:
        """As Gathered has it."""
        return [row for _, row in sorted(self._tables.get(table, {}).items())]

    def records(self, table: str, cls: type[T]) -> list[T]:
        """As Gathered has it."""
        return [record(row, cls) for row in self.rows(table)]

    def features(self) -> Iterator[tuple[str, str, tuple[Stated, ...]]]:
        """As Gathered has it."""
        for (thing, name), stated in sorted(self._features.items()):
            yield thing, name, tuple(sorted(stated, key=lambda s: (s[0], s[1])))


def _plain_row(row: Row, table: Table, values: Mapping[str, list[Any]]) -> None:
    for column in table.columns:
        for value in values.get(column.path, ()):
            text = (
                key_of(value.value) if isinstance(value, ox.NamedNode) and value.value.startswith(ID) else value.value
            )
            if text not in row.setdefault(column.name, []):
                row[column.name] = sorted([*row[column.name], text])
