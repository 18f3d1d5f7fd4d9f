"""The graph itself: quads in named graphs, in an embedded Oxigraph store, with rdflib's API over it when it is
wanted."""

from __future__ import annotations

from collections.abc import Iterable
from typing import TYPE_CHECKING

import pyoxigraph as ox

if TYPE_CHECKING:
    from rdflib import Dataset, Graph


def store_of(quads: Iterable[ox.Quad]) -> ox.Store:
    """An embedded store in memory that holds these quads."""
    store = ox.Store()
    store.bulk_extend(quads)
    return store


def dataset_of(store: ox.Store) -> Dataset:
    """rdflib's Dataset over the same store (no copy), all named graphs seen as one by default.

    Needs oxrdflib: the extra ``knockon[dataset]``.
    """
    from oxrdflib import OxigraphStore
    from rdflib import Dataset

    return Dataset(store=OxigraphStore(store=store), default_union=True)


def copy_of(store: ox.Store) -> Graph:
    """All statements as one rdflib graph in memory: validation is far quicker there than on the store."""
    from rdflib import Graph

    graph = Graph()
    lines = {f"{quad.subject} {quad.predicate} {quad.object} ." for quad in store}
    graph.parse(data="\n".join(sorted(lines)), format="nt")
    return graph
