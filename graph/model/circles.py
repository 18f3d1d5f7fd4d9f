"""What leads back to where it began."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from graphlib import CycleError, TopologicalSorter
from typing import TypeVar

N = TypeVar("N", bound=object)


def ways_round(edges: Mapping[N, Iterable[N]]) -> Iterator[tuple[N, ...]]:
    """For each edge that leads back to its start, in their order, a shortest way round: ``a, b, ..., a``."""
    try:
        TopologicalSorter(edges).prepare()
        return
    except CycleError:
        import networkx as nx  # late: it takes long to load, and hardly anything leads round

    graph: nx.DiGraph[N] = nx.DiGraph((start, end) for start, ends in edges.items() for end in ends)
    circle_of = {one: n for n, circle in enumerate(nx.strongly_connected_components(graph)) for one in circle}
    for start, ends in edges.items():
        for end in ends:
            if circle_of[start] == circle_of[end]:
                yield (start, *nx.shortest_path(graph, end, start))
