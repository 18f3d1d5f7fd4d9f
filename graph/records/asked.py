"""What queries are asked of: the statements as answers see them, sizes as numbers, and the vocabulary."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pyoxigraph as ox

from knockon.graph.exchange.answerable import answerable
from knockon.graph.exchange.clubs import merged_clubs
from knockon.graph.exchange.derived import sizes_as_numbers, vocabulary_quads
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.records import read_stated


def asked_of(folder: Path, without: Sequence[str] = ()) -> tuple[list[ox.Quad], Catalogue]:
    """The statements of a records folder that a query sees, and their catalogue. Raises RecordsError."""
    found = answerable(read_stated(folder), without, merged=merged_clubs(folder))
    return [*found.quads, *sizes_as_numbers(found.catalogue), *vocabulary_quads(folder)], found.catalogue
