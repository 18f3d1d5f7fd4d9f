"""Terms of figures that were set aside: a sum without one of its terms is another sum, so the figure stays open."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping

import pyoxigraph as ox

from knockon.graph.model import names
from knockon.graph.model.schema import RDF, Vocabulary
from knockon.graph.tables.files import RawTable
from knockon.graph.tables.rows import Row
from knockon.graph.tables.skipped import Lost

TABLE = "figure_terms"
UNREAD = "a term that was skipped"
BEHIND = 900_000
"""Where a term stands that has no place in the chain that can be read."""


def terms_set_aside(tables: Iterable[RawTable], kept: Iterable[Row], vocabulary: Vocabulary) -> Iterator[ox.Quad]:
    """For each row of ``figure_terms`` that was set aside, of a figure that was not: a term of which nobody knows."""
    kept = list(kept)
    good = {(row.file, row.number) for row in kept if row.shape.table == TABLE}
    lost = []
    for raw in tables:
        if raw.table != TABLE or raw.file.startswith("features/") or not {"layout", "figure"} <= set(raw.header):
            continue
        for number, cells in raw.rows:
            if (raw.file, number) not in good:
                row_cells = dict(zip(reversed(raw.header), reversed(cells), strict=True))
                lost.append(Lost(raw.file, number, TABLE, row_cells, ""))
    return terms_of(lost, kept, vocabulary)


def terms_of(lost: Iterable[Lost], kept: Iterable[Row], vocabulary: Vocabulary) -> Iterator[ox.Quad]:
    """The same for rows of ``figure_terms`` of any way in.

    A term stands at the position that was written, if there is one, else where another term of the figure stands.
    """
    standing: dict[tuple[str, str], list[str]] = defaultdict(list)
    positions = set()
    for row in kept:
        if row.shape.table == TABLE:
            standing[(row.cells["layout"], row.cells["figure"])].append(row.cells["position"])
        elif row.shape.table == "positions":
            positions.add((row.cells["layout"], row.cells["position"]))
    for term in lost:
        layout, figure, position = (term.cells.get(h, "") for h in ("layout", "figure", "position"))
        if (layout, figure) in standing:
            if (layout, position) not in positions:
                position = min(standing[(layout, figure)])
            yield from _term(layout, figure, position, term.cells, vocabulary)


def _term(
    layout: str, figure: str, position: str, cells: Mapping[str, str], vocabulary: Vocabulary
) -> Iterator[ox.Quad]:
    shape = vocabulary.tables[TABLE]
    written = cells.get("order", "")
    order = written if written.isascii() and written.isdigit() and len(written) < 7 else str(BEHIND)
    values = {
        "figure": figure,
        "order": order,
        "position": position,
        "feature": cells.get("feature", "") or UNREAD,
        "dimension": UNREAD,
        "role": cells.get("role", ""),
    }
    subject = ox.NamedNode(names.iri(TABLE, layout, figure, order, UNREAD))
    graph = ox.NamedNode(names.RECORDS_GRAPH)
    yield ox.Quad(subject, ox.NamedNode(RDF + "type"), ox.NamedNode(shape.iri), graph)
    for column in shape.columns:
        if column.name == "layout":
            yield ox.Quad(subject, ox.NamedNode(column.path), ox.NamedNode(names.iri("layouts", layout)), graph)
        elif values.get(column.name):
            yield ox.Quad(subject, ox.NamedNode(column.path), _literal(column.datatype, values[column.name]), graph)


def _literal(datatype: str, text: str) -> ox.Literal:
    xsd = "http://www.w3.org/2001/XMLSchema#"
    return ox.Literal(text, datatype=ox.NamedNode(xsd + datatype)) if datatype == "integer" else ox.Literal(text)
