"""Layouts that are put together in RDF (another club's, a server's): the rows that ready-made layouts give them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from typing import Any

import pyoxigraph as ox

from knockon.graph.model.layouts.ready_made import KEYS, USES
from knockon.graph.model.names import ID, READY_MADE_GRAPH, key_of
from knockon.graph.model.schema import Table, Vocabulary
from knockon.graph.tables.files import RawTable
from knockon.graph.tables.read import Reader
from knockon.graph.tables.stated import TYPE

READY_MADE = ox.NamedNode(READY_MADE_GRAPH)


def put_together(quads: Iterable[ox.Quad], vocabulary: Vocabulary) -> list[ox.Quad]:
    """The statements, with what the layouts in them are given that nobody has written out yet."""
    quads = list(quads)
    tables = {t.iri: t for t in vocabulary.tables.values() if t.table in (*KEYS, USES)}
    rows: dict[tuple[Any, Any], dict[str, list[Any]]] = defaultdict(lambda: defaultdict(list))
    for quad in quads:
        rows[(quad.subject, quad.graph_name)][quad.predicate.value].append(quad.object)
    texts: dict[str, list[dict[str, str]]] = defaultdict(list)
    given = set()
    for (_, graph), row in rows.items():
        for shape in (tables[t.value] for t in row.get(TYPE.value, ()) if t.value in tables):
            cells = _cells(shape, row)
            texts[shape.table].append(cells)
            if graph == READY_MADE:
                given.add(cells.get("layout", ""))
    texts[USES] = [cells for cells in texts[USES] if cells.get("layout") not in given]
    if not texts[USES]:
        return quads
    raw = [_table(tables_of, texts[tables_of.table]) for tables_of in tables.values() if texts[tables_of.table]]
    return [*quads, *(q for q in Reader(vocabulary).read(raw) if q.graph_name == READY_MADE)]


def _cells(shape: Table, row: dict[str, list[Any]]) -> dict[str, str]:
    return {c.name: ";".join(sorted(map(_text, row[c.path]))) for c in shape.columns if row.get(c.path)}


def _text(node: Any) -> str:
    if isinstance(node, ox.NamedNode):
        return key_of(node.value) if node.value.startswith(ID) else node.value
    if node.datatype.value.endswith("#boolean"):
        return "yes" if node.value == "true" else "no"
    return str(node.value)


def _table(shape: Table, rows: list[dict[str, str]]) -> RawTable:
    header = tuple(c.name for c in shape.columns)
    cells = tuple((i, tuple(row.get(h, "") for h in header)) for i, row in enumerate(rows, 2))
    return RawTable(f"{shape.table}.csv", shape.table, header, cells)
