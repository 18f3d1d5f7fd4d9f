"""What queries are asked of: the statements as answers see them, sizes as numbers, and the vocabulary."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pyoxigraph as ox

from knockon.graph.catalogue import Catalogue, build_catalogue
from knockon.graph.exchange.clubs import merged_clubs
from knockon.graph.exchange.derived import sizes_as_numbers, vocabulary_quads
from knockon.graph.exchange.view import seen
from knockon.graph.records import read_graph


def asked_of(folder: Path, without: Sequence[str] = ()) -> tuple[list[ox.Quad], Catalogue]:
    """The statements of a records folder that a query sees, and their catalogue. Raises RecordsError."""
    store, vocabulary, _ = read_graph(folder)
    quads = list(seen(store, vocabulary, without, merged=merged_clubs(folder)))
    catalogue = build_catalogue(quads, vocabulary)
    return [*quads, *sizes_as_numbers(catalogue), *vocabulary_quads(folder)], catalogue
