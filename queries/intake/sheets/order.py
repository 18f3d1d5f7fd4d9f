"""The order in which the tables of a file are read: what others refer to before what refers to it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from collections.abc import Mapping as SaidMap

from knockon.graph.mapping import Mapping, Target
from knockon.graph.mapping.model import LISTED_FOR, SUPERSEDED_BY
from knockon.graph.model.schema import Column

_CLAIMED = {LISTED_FOR: ("vehicles",), SUPERSEDED_BY: ("parts",)}
"""What the columns that become claims refer to, beside what the schema says."""


def refers_to(column: Column) -> tuple[str, ...]:
    """The tables in which a column names a row."""
    return _CLAIMED.get(column.name, ()) or column.refers_to


def in_order(mappings: Sequence[Mapping], targets: SaidMap[str, Target]) -> tuple[tuple[Mapping, ...], ...]:
    """The mappings in groups, each after all that its rows may name. Those of one group name each other's rows, as a
    part names its mirror; their order, and that of groups which do not name each other, is that of the file."""
    import networkx as nx

    place = {mapping.table: n for n, mapping in reversed(list(enumerate(mappings)))}
    graph: nx.DiGraph[str] = nx.DiGraph()
    graph.add_nodes_from(place)
    for mapping in mappings:
        graph.add_edges_from((table, mapping.table) for _, table in within(mapping, targets, place))
    whole = nx.condensation(graph)
    first = {n: min(place[table] for table in whole.nodes[n]["members"]) for n in whole}
    groups = (whole.nodes[n]["members"] for n in nx.lexicographical_topological_sort(whole, key=first.__getitem__))
    return tuple(tuple(m for m in mappings if m.table in group) for group in groups)


def within(mapping: Mapping, targets: SaidMap[str, Target], tables: Iterable[str]) -> tuple[tuple[str, str], ...]:
    """The mapped columns that name rows of these tables, each with the table."""
    target, wanted = targets.get(mapping.table), set(tables)
    named = {*(n for c in mapping.columns for n in c.names), *(n for n, _ in mapping.fixed)}
    columns = (c for c in target.columns if c.name in named) if target else ()
    return tuple((c.name, table) for c in columns for table in refers_to(c) if table in wanted)
