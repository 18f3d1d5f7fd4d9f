"""Sizes that an import brings and that share no value with another statement of the same: both are kept, and told."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

import msgspec

from knockon.graph.mapping import Target
from knockon.graph.quantity import MEASURED, CellError, read_cell
from knockon.graph.quarantine import Kept
from knockon.graph.tables.files import RawTable
from knockon.queries.intake.sheets.tables import records_of

NEAR = 1e-6
"""Differences up to here, in the base unit, are none."""
At = tuple[str, str, str, str]


class Contradicted(msgspec.Struct, frozen=True):
    """One dimension of a part's feature of which the tables now hold sizes that share no value, as written."""

    table: str
    part: str
    feature: str
    dimension: str
    written: tuple[str, ...]


def contradicted_sizes(
    loaded: Sequence[Kept], tables: Iterable[RawTable], targets: Mapping[str, Target]
) -> tuple[Contradicted, ...]:
    """Contradictions in which a loaded row takes part. ``tables`` are as they were before the import."""
    said: dict[At, dict[str, None]] = defaultdict(dict)
    for table, rows in records_of(loaded).items():
        for row in rows:
            for at, cell in _sizes(targets, table, row):
                said[at][cell] = None
    for raw in (t for t in tables if t.file.startswith("features/")):
        for _, cells in raw.rows:
            for at, cell in _sizes(targets, "features/" + raw.table, dict(zip(raw.header, cells, strict=True))):
                if at in said:
                    said[at][cell] = None
    found = (Contradicted(*at, tuple(cells)) for at, cells in said.items() if len(cells) > 1)
    return tuple(sorted((c for c in found if _disagree(c, targets)), key=lambda c: (c.table, c.part, c.dimension)))


def _sizes(targets: Mapping[str, Target], table: str, row: Mapping[str, str]) -> Iterator[tuple[At, str]]:
    target = targets.get(table)
    if target is not None and target.shape.is_kind:
        for column in target.columns:
            if column.datatype in MEASURED and row.get(column.name):
                yield (table, row.get("part", ""), row.get("feature", ""), column.name), row[column.name]


def _disagree(one: Contradicted, targets: Mapping[str, Target]) -> bool:
    datatype = next(c.datatype for c in targets[one.table].columns if c.name == one.dimension)
    spans: dict[str, list[tuple[float, float]]] = defaultdict(list)
    for cell in one.written:
        try:
            readings = read_cell(cell, datatype)
        except CellError:
            continue
        for name, reading in readings.items():
            if reading.low is not None and reading.high is not None:
                spans[name].append((reading.low, reading.high))
    return any(max(low for low, _ in s) > min(high for _, high in s) + NEAR for s in spans.values())
