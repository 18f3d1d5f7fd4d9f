"""The statements as answers see them: without what is left out or withdrawn, each club's names shown as its own.

Where several clubs describe one common thing (a part, a layout, a model as made, a kit) one's own description is used,
else that of the first club by name, whole: a layout is never made of two clubs' rows. Sizes are not descriptions: every
statement of a size stays, with its source. What is passed over stays in the graph.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from decimal import Decimal, InvalidOperation
from typing import Any
from urllib.parse import unquote

import msgspec
import pyoxigraph as ox

from knockon.graph.exchange.clubs import CLUBS, TYPE, club_of
from knockon.graph.exchange.withdrawn import WITHDRAWN, is_its_own, taken_back
from knockon.graph.model.findings import Finding, RecordsError
from knockon.graph.model.names import ID, READY_MADE_GRAPH, key_of, member_iris, source_graph
from knockon.graph.model.nearest import nearest
from knockon.graph.model.schema import NUMBERS, Table, Vocabulary
from knockon.graph.rdf.canonical import XSD, iri_of

OWN_GRAPH = "graph/records"
_WHOLE = {
    **dict.fromkeys(("layouts", "layout_uses", "arrangements", "positions", "joints"), "layout"),
    **dict.fromkeys(
        ("figures", "figure_terms", "consumables", "in_the_way", "layout_words", "how_to_measure"), "layout"
    ),
    **dict.fromkeys(("steps", "tightening", "wear_limits"), "layout"),
    **dict.fromkeys(("vehicles", "fittings"), "vehicle"),
    **dict.fromkeys(("kits", "kit_lines"), "kit"),
    **dict.fromkeys(("set_members", "set_checks"), "set"),
}
"""Tables whose rows belong together, by the column that says to what."""
_DECIDES = {"fittings": ("part", "item"), "vehicles": ("like",)}
"""Columns without which a row would say something else: that a place is empty, that a vehicle has nothing else."""


class Difference(msgspec.Struct, frozen=True, order=True):
    """One cell in which a club's description of a common thing differs from the one that is used (``ours``)."""

    club: str
    thing: str
    column: str
    ours: str
    theirs: str


def left_out(graphs: Iterable[str], without: Sequence[str], merged: Iterable[str] = ()) -> set[str]:
    """The named graphs to leave out: those of the sources and clubs named.

    ``merged`` names clubs that are there even if all that they say was set aside. Raises RecordsError for an unknown
    name.
    """
    graphs = set(graphs)
    clubs = {*merged, *(club_of(g) for g in graphs)} - {""}
    sources = {shown_source(g): g for g in graphs}
    found: set[str] = set()
    for name in without:
        if name in clubs:
            found |= {g for g in graphs if club_of(g) == name}
        elif name in sources:
            found.add(sources[name])
        else:
            known = {*clubs, *sources} - {""}
            hint = f"; nearest: {', '.join(nearest(name, known))}" if nearest(name, known) else ""
            raise RecordsError(f"there is no source or club {name!r} to leave out{hint}")
    return found


def stated(quads: Iterable[ox.Quad], without: Sequence[str] = (), merged: Iterable[str] = ()) -> list[ox.Quad]:
    """The statements as they stand, without those of the sources and clubs named, without these sources' own rows, and
    without what ready-made layouts give.

    For what is passed on whole (an export, a file for other clubs). Raises RecordsError as left_out does.
    """
    quads = list(quads)
    graphs = {q.graph_name.value for q in quads if isinstance(q.graph_name, ox.NamedNode)}
    out = left_out(graphs, without, merged)
    out = {*out, READY_MADE_GRAPH}
    return [q for q in quads if not out & {iri_of(q.graph_name), iri_of(q.subject)}]


def shown_source(graph: str) -> str:
    """A named graph as answers call it: the source, ``CLUB: source``, or the club for what has no source."""
    renamed = _shown(graph)
    return key_of(renamed) if renamed.startswith(ID + "sources/") else ""


def _shown(iri: str) -> str:
    """``.../clubs/NAME/sources/N02`` as ``.../sources/NAME%3A%20N02``."""
    club = club_of(iri)
    if not club:
        return iri
    rest = iri.removeprefix(f"{CLUBS}{club}/")
    table, _, key = rest.partition("/")
    if rest == OWN_GRAPH:
        return source_graph(club)
    return f"{ID}{table}/{club}%3A%20{key}"


def seen(
    quads: Iterable[ox.Quad],
    vocabulary: Vocabulary,
    without: Sequence[str] = (),
    withdrawn: bool = False,
    merged: Iterable[str] = (),
) -> Iterable[ox.Quad]:
    """The quads that answers rest on. ``withdrawn`` keeps the notes that were withdrawn; ``merged`` as in left_out.

    Raises RecordsError if ``without`` names no source and no club.
    """
    quads = list(quads)
    found = chosen(quads, vocabulary, without, withdrawn, merged)
    return found if found is quads else whole_rows(found, vocabulary)


def chosen(
    quads: list[ox.Quad],
    vocabulary: Vocabulary,
    without: Sequence[str] = (),
    withdrawn: bool = False,
    merged: Iterable[str] = (),
) -> list[ox.Quad]:
    """The same, rows that name what is not there among them."""
    graphs = {q.graph_name.value for q in quads if isinstance(q.graph_name, ox.NamedNode)}
    out = left_out(graphs, without, merged)
    silent = {} if withdrawn else taken_back(quads)
    clubs = any(club_of(g) for g in graphs)
    if not out and not silent and not clubs:
        return quads
    kept = [q for q in quads if iri_of(q.graph_name) not in out]
    kept = _without_notes(kept, silent)
    if clubs:
        kept = _renamed(_one_description(kept, vocabulary), vocabulary)
    return kept


def speakers(quads: Iterable[ox.Quad], vocabulary: Vocabulary) -> dict[tuple[str, str], str]:
    """By each layout, vehicle, kit and set the club whose description of it is used; blank: one's own."""
    groups = _speakers(_groups(quads, vocabulary))
    return {(sort, key_of(thing)): min(said) for (sort, thing), said in groups.items() if sort in _WHOLE.values()}


def belongs_to(table: str, cells: Mapping[str, str]) -> tuple[str, str]:
    """What a row belongs to, as ``speakers`` names it."""
    return _WHOLE.get(table, table), cells.get(_WHOLE.get(table, ""), "")


def withdrawals(quads: Iterable[ox.Quad]) -> list[tuple[str, str]]:
    """The withdrawn notes as answers call them and their copies in other clubs' files, each with what was said then."""
    quads = list(quads)
    told = {(q.subject, q.graph_name): q.object.value for q in quads
            if q.predicate == WITHDRAWN and isinstance(q.object, ox.Literal) and iri_of(q.subject)}  # fmt: skip
    rows = taken_back(quads).items()
    return sorted((key_of(_shown(row[0].value)), told[original]) for row, original in rows if original in told)


def _without_notes(quads: list[ox.Quad], notes: Mapping[Any, Any]) -> list[ox.Quad]:
    """Without what is said of these notes, and without the whole graph where it is the note's own."""
    graphs = {graph for note, graph in notes if is_its_own(note, graph)}
    return [q for q in quads if q.graph_name not in graphs and (q.subject, q.graph_name) not in notes]


def _tables(vocabulary: Vocabulary) -> dict[str, Table]:
    return {t.iri: t for t in vocabulary.tables.values()}


def _one_description(quads: list[ox.Quad], vocabulary: Vocabulary) -> list[ox.Quad]:
    group = _groups(quads, vocabulary)
    said = _speakers(group)
    return [q for q in quads if (q.subject, q.graph_name) not in group
            or club_of(iri_of(q.graph_name)) == min(said[group[(q.subject, q.graph_name)]])]  # fmt: skip


def _groups(quads: Iterable[ox.Quad], vocabulary: Vocabulary) -> dict[tuple[Any, Any], tuple[str, str]]:
    """For each row what it belongs to: a layout, a vehicle, a kit, a set; else itself."""
    quads = list(quads)
    tables = _tables(vocabulary)
    type_of = {(q.subject, q.graph_name): tables[iri_of(q.object)] for q in quads
               if q.predicate == TYPE and iri_of(q.object) in tables}  # fmt: skip
    belongs = {}
    for quad in quads:
        table = type_of.get((quad.subject, quad.graph_name))
        if table is not None and table.table in _WHOLE:
            column = next((c for c in table.columns if c.name == _WHOLE[table.table]), None)
            if column is not None and quad.predicate.value == column.path:
                key = _key(quad.object, quad.subject)
                belongs[(quad.subject, quad.graph_name)] = (_WHOLE[table.table], key)
    return {row: belongs.get(row, (table.table, row[0].value)) for row, table in type_of.items()
            if isinstance(row[0], ox.NamedNode)}  # fmt: skip


def _speakers(groups: Mapping[tuple[Any, Any], tuple[str, str]]) -> dict[tuple[str, str], set[str]]:
    found: dict[tuple[str, str], set[str]] = defaultdict(set)
    for row, name in groups.items():
        found[name].add(club_of(iri_of(row[1])))
    return found


def _key(value: Any, subject: Any) -> str:
    """What a row belongs to: the thing that it names, or (where the row is of that thing itself) its own IRI."""
    return str(value.value if isinstance(value, ox.NamedNode) else subject.value)


def _renamed(quads: list[ox.Quad], vocabulary: Vocabulary) -> list[ox.Quad]:
    keys = {c[0].path for t in vocabulary.tables.values() if len(c := [k for k in t.columns if k.key]) == 1}

    def put(node: Any) -> Any:
        if isinstance(node, ox.NamedNode) and node.value.startswith(CLUBS):
            return ox.NamedNode(_shown(node.value))
        return node

    found = []
    for quad in quads:
        if not club_of(iri_of(quad.graph_name)):
            found.append(quad)
            continue
        value = put(quad.object)
        own = club_of(iri_of(quad.subject))
        if own and quad.predicate.value in keys and isinstance(value, ox.Literal):
            value = ox.Literal(f"{own}: {value.value}")
        found.append(ox.Quad(put(quad.subject), quad.predicate, value, put(quad.graph_name)))
    return found


def whole_rows(quads: list[ox.Quad], vocabulary: Vocabulary) -> list[ox.Quad]:
    """Without rows that name what is not there (any more): the reader of tables sets them aside too."""
    while True:
        rows, cells = _broken(quads, vocabulary)
        if not rows and not cells:
            return quads
        quads = [q for q in quads if q not in cells and (q.subject, q.graph_name) not in rows]


def _broken(quads: Iterable[ox.Quad], vocabulary: Vocabulary) -> tuple[dict[tuple[Any, Any], ox.Quad], set[ox.Quad]]:
    """Rows (with the statement at fault) and single statements that name what nobody has."""
    quads = list(quads)
    tables = _tables(vocabulary)
    refers = {c.path for t in tables.values() for c in t.columns if c.refers_to}
    typed = {(q.subject, q.graph_name): tables[iri_of(q.object)] for q in quads
             if q.predicate == TYPE and iri_of(q.object) in tables}  # fmt: skip
    there: set[Any] = {row[0] for row in typed}
    for (subject, _), shape in typed.items():
        if shape.table == "set_members" and isinstance(subject, ox.NamedNode):
            there |= {ox.NamedNode(iri) for iri in member_iris(subject.value)}
    rows: dict[tuple[Any, Any], ox.Quad] = {}
    cells: set[ox.Quad] = set()
    for quad in quads:
        table = typed.get((quad.subject, quad.graph_name))
        if table is None or quad.predicate.value not in refers or quad.object in there:
            continue
        column = next((c for c in table.columns if c.path == quad.predicate.value and c.refers_to), None)
        if column is not None and (column.required or column.key or column.name in _DECIDES.get(table.table, ())):
            row = (quad.subject, quad.graph_name)
            rows[row] = min(quad, rows.get(row, quad), key=str)  # the same one, whatever the order of statements
        elif column is not None:
            cells.add(quad)
    return rows, cells


def nameless(quads: Iterable[ox.Quad], vocabulary: Vocabulary) -> list[Finding]:
    """A finding for each statement that names what nobody has."""
    rows, cells = _broken(quads, vocabulary)
    names = {c.path: c.name for t in vocabulary.tables.values() for c in t.columns if c.refers_to}
    found = []
    for quad in sorted({*rows.values(), *cells}, key=str):
        club = club_of(iri_of(quad.graph_name))
        where = f"clubs/{club}.nq" if club else "notes"
        subject, value = (unquote(getattr(n, "value", str(n)).removeprefix(ID)) for n in (quad.subject, quad.object))
        column = f"{subject}: {names[quad.predicate.value]}"
        found.append(
            Finding(
                file=where,
                column=column,
                written=value,
                problem="names something that is not in the records",
                expected="a known name",
            )
        )
    return found


def _same(value: Any) -> Any:
    """What a cell comes to, the same for 1190 and 1190.00: a number is no other for being written otherwise."""
    if isinstance(value, ox.Literal) and value.datatype.value.removeprefix(XSD) in NUMBERS:
        try:
            return Decimal(value.value)
        except InvalidOperation:
            return value
    return value


def differences(quads: Iterable[ox.Quad], vocabulary: Vocabulary) -> list[Difference]:
    """Where clubs describe a common thing otherwise than the description that is used; sources are no description."""
    quads = list(quads)
    used = set(_one_description(quads, vocabulary))
    columns = {c.path: c for t in vocabulary.tables.values() for c in t.columns if c.name != "source"}
    stated: dict[tuple[Any, str], set[Any]] = defaultdict(set)
    for quad in used:
        stated[(quad.subject, quad.predicate.value)].add(quad.object)
    found = set()
    for quad in quads:
        column = columns.get(quad.predicate.value)
        ours = stated.get((quad.subject, quad.predicate.value), set())
        if quad in used or column is None or column.key or not ours or _same(quad.object) in map(_same, ours):
            continue
        values = [unquote(getattr(o, "value", str(o)).removeprefix(ID)) for o in (min(ours, key=str), quad.object)]
        thing = unquote(iri_of(quad.subject).removeprefix(ID))
        found.add(Difference(club_of(iri_of(quad.graph_name)), thing, column.name, values[0], values[1]))
    return sorted(found)
