"""Rows of RDF beside each other and beside tables: the same checks that the rows of tables pass, for every way in.

It is done on the statements as answers see them. What is set aside here stays in the graph, and can be passed on.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping
from typing import Any, Self

import msgspec
import pyoxigraph as ox
from msgspec.structs import replace

from knockon.graph.exchange.clubs import TYPE
from knockon.graph.exchange.rows import cells_of, lost_row, path_of, shown
from knockon.graph.exchange.view import whole_rows
from knockon.graph.model.findings import Finding
from knockon.graph.model.layouts.ready_made import FOLDER
from knockon.graph.model.names import READY_MADE_GRAPH
from knockon.graph.model.schema import Table, Vocabulary
from knockon.graph.rdf.canonical import iri_of
from knockon.graph.tables.figure_units import units_in_order
from knockon.graph.tables.figures import figures_in_order
from knockon.graph.tables.joint_ends import ends_in_order
from knockon.graph.tables.meeting import never_judged
from knockon.graph.tables.recorded import FeaturesAt, Recorded
from knockon.graph.tables.rows import Key, Names, Row, kept_rows
from knockon.graph.tables.skipped import Lost, said_of
from knockon.graph.tables.stated import NAME, OF
from knockon.graph.tables.terms import UNREAD, terms_of

Node = Any
Place = tuple[Node, Node]
"""A row: its subject and its graph."""


class InOrder(msgspec.Struct, frozen=True):
    """Statements that can be used together, what is wrong with others, the rows set aside, the cells of the rest."""

    quads: list[ox.Quad]
    findings: list[Finding]
    lost: list[Lost]
    kept: list[tuple[str, dict[str, str]]]


class _Stated(Row, frozen=True, eq=False):
    """One row that came as RDF: it has no number, and is named by its subject."""

    place: Place
    quads: tuple[ox.Quad, ...]

    def renamed(self, columns: Mapping[str, str]) -> Self:
        """As of a table's row, in its statements too."""
        paths = {c.name: c.path for c in self.shape.columns}
        other = {paths[a]: ox.NamedNode(paths[b]) for a, b in columns.items()}
        quads = tuple(
            ox.Quad(q.subject, other.get(q.predicate.value, q.predicate), q.object, q.graph_name) for q in self.quads
        )
        return replace(super().renamed(columns), quads=quads)

    def finding(self, column: str, problem: str, expected: str, set_aside: bool = True) -> Finding:
        """A finding about one cell of this row."""
        where, written = f"{shown(self.place[0])}: {column}", self.cells.get(column, "")
        return Finding(
            file=self.file, column=where, written=written, problem=problem, expected=expected, set_aside=set_aside
        )


def in_order(
    quads: Iterable[ox.Quad],
    vocabulary: Vocabulary,
    lost: Collection[Lost] = (),
    file: str = "records",
    clubs: Collection[str] = (),
) -> InOrder:
    """The statements without rows that contradict each other or name what is not there.

    ``lost``: the rows that were set aside one by one; ``clubs``: whose rows stand in a file of their own, all others in
    ``file``.
    """
    quads = list(quads)
    before = _rows(quads, vocabulary, file, clubs)
    whole = whole_rows(quads, vocabulary)
    rows = _rows(whole, vocabulary, file, clubs)
    findings: list[Finding] = []
    unread = [r for r in rows.values() if r.cells.get("dimension") == UNREAD]
    checked = [r for r in rows.values() if r not in unread]
    recorded = _recorded(whole, vocabulary)
    every = Names.of((*((r.shape.table, r.key) for r in before.values()), *_keys(lost, vocabulary)))
    standing = FeaturesAt.of(checked, recorded, vocabulary)
    turned = ends_in_order(checked, standing, vocabulary, findings)
    turned = units_in_order(turned, recorded, standing, vocabulary, findings)
    kept = kept_rows(figures_in_order(turned, findings), every, findings)
    findings += never_judged(kept, recorded, standing.now(checked, kept, recorded), vocabulary)
    stay = {r.place for r in (*kept, *unread)}
    gone = [r for place, r in before.items() if place not in stay]
    more = [_lost(r, findings, r.place in rows) for r in gone]
    terms = terms_of([r for r in (*lost, *more) if r.table == "figure_terms"], [*kept, *unread], vocabulary)
    loose = (q for q in whole if (q.subject, q.graph_name) not in rows)
    used = [*loose, *(q for r in (*kept, *unread) for q in r.quads), *terms]
    return InOrder(used, findings, more, [(r.shape.table, dict(r.cells)) for r in (*kept, *unread)])


def _rows(quads: list[ox.Quad], vocabulary: Vocabulary, file: str, clubs: Collection[str]) -> dict[Place, _Stated]:
    tables = {t.iri: t for t in vocabulary.tables.values()}
    typed = {(q.subject, q.graph_name): tables[iri_of(q.object)] for q in quads
             if q.predicate == TYPE and iri_of(q.object) in tables}  # fmt: skip
    stated: dict[Place, list[ox.Quad]] = defaultdict(list)
    for quad in quads:
        if (place := (quad.subject, quad.graph_name)) in typed:
            stated[place].append(quad)
    return {p: _row(typed[p], p, stated[p], file, clubs) for p in sorted(stated, key=str)}


def _row(shape: Table, place: Place, stated: list[ox.Quad], file: str, clubs: Collection[str]) -> _Stated:
    club = next((c for c in clubs if _is_of(c, place[1])), "")
    cells = cells_of(shape, stated)
    key = tuple(cells.get(c.name, "") for c in shape.columns if c.key)
    of_club = f"clubs/{club}.nq" if club else file
    where = f"{FOLDER}/{shape.table}" if iri_of(place[1]) == READY_MADE_GRAPH else of_club
    return _Stated(file=where, number=0, shape=shape, key=key, cells=cells, quads=tuple(stated), place=place)


def _is_of(club: str, graph: Node) -> bool:
    """Whether a graph, as answers see it, is a club's: it is called by the club's name, or with that before its own."""
    table, *name = path_of(graph)
    return table == "sources" and bool(name) and (name[0] == club or name[0].startswith(f"{club}: "))


def _recorded(quads: Iterable[ox.Quad], vocabulary: Vocabulary) -> Recorded:
    said: dict[Place, dict[Node, list[Node]]] = defaultdict(lambda: defaultdict(list))
    for quad in quads:
        if quad.predicate in (TYPE, OF, NAME):
            said[(quad.subject, quad.graph_name)][quad.predicate].append(quad.object)
    recorded = Recorded()
    for row in said.values():
        for kind in (iri_of(t) for t in row[TYPE] if iri_of(t) in vocabulary.kinds):
            for thing, name in zip(row[OF], row[NAME], strict=False):
                recorded.add("/".join(path_of(thing)[1:]), name.value, kind)
    return recorded


def _keys(lost: Iterable[Lost], vocabulary: Vocabulary) -> Iterator[tuple[str, Key]]:
    for row in lost:
        shape = vocabulary.tables[row.table]
        yield row.table, tuple(row.cells.get(c.name, "") for c in shape.columns if c.key)


def _lost(row: _Stated, findings: Iterable[Finding], is_whole: bool) -> Lost:
    """A row that was set aside: by these findings, or because it is not whole: it names what nobody has."""
    subject, graph = row.place
    prefix = f"{shown(subject)}: "
    said = [said_of(f.column.removeprefix(prefix), f) for f in findings if f.set_aside and f.column.startswith(prefix)]
    problem = "; ".join(dict.fromkeys(said)) if is_whole else "it names something that is not in the records"
    return lost_row(row.shape, subject, graph, row.quads, row.file, problem)
