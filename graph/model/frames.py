"""The catalogue as pandas frames, for tables, counts and a club's own notebooks. Answers do not need them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pandas as pd

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.schema import column_of
from knockon.graph.model.things import STANDINGS

DIMENSION_COLUMNS = (
    *("thing", "feature", "kind", "dimension", "low", "high"),
    *("nominal", "code", "unknown", "written", "source", "standing"),
)


def dimension_frame(catalogue: Catalogue) -> pd.DataFrame:
    """One row for each stated size: thing, feature, kind, dimension, bounds in the base unit, what was written, source.

    Columns: DIMENSION_COLUMNS. A dimension that nobody states has no row; see ``unstated_frame``.
    """
    return pd.DataFrame(list(_statements(catalogue)), columns=list(DIMENSION_COLUMNS))


def _statements(catalogue: Catalogue) -> Iterator[tuple[Any, ...]]:
    for thing, features in catalogue.features.items():
        for name, feature in features.items():
            kind = catalogue.vocabulary.kinds[feature.kind].label
            for dimension, statements in feature.dimensions.items():
                for s in statements:
                    size = (s.low, s.high, s.nominal, s.code, s.unknown, s.written, s.source, STANDINGS[s.rank - 1])
                    yield (thing, name, kind, dimension, *size)


def unstated_frame(catalogue: Catalogue) -> pd.DataFrame:
    """One row for each dimension of a recorded feature that nobody states: thing, feature, kind, dimension."""
    rows = [
        (thing, name, kind.label, column.name)
        for thing, features in catalogue.features.items()
        for name, feature in features.items()
        for kind in (catalogue.vocabulary.kinds[feature.kind],)
        for column in kind.columns
        if not feature.absent and not any(column_of(d) == column.name for d in feature.dimensions)
    ]
    return pd.DataFrame(rows, columns=["thing", "feature", "kind", "dimension"])


def part_frame(catalogue: Catalogue) -> pd.DataFrame:
    """One row a part, with the cheapest price (missing where nobody offers it)."""
    rows = [
        (
            p.part,
            p.name,
            p.part_type,
            p.hand,
            p.one_use,
            min((o.price for o in catalogue.offers.get(p.part, ())), default=None),
        )
        for p in catalogue.parts.values()
    ]
    return pd.DataFrame(rows, columns=["part", "name", "part type", "hand", "one use", "cheapest"])
