"""A records folder as an import sees it: its vocabulary, its tables as text, and what they say of new cells."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

import msgspec

from knockon.graph.judge.sense import UsualSizes, widened
from knockon.graph.judge.usual_sizes import usual_sizes
from knockon.graph.mapping import Target, targets
from knockon.graph.mapping.cells_read import Known
from knockon.graph.model.findings import Finding
from knockon.graph.model.schema import Column, Vocabulary, own_files
from knockon.graph.quantity import MEASURED, CellError, PartIndex, Quantity, read_cell
from knockon.graph.quarantine import Kept, read_kept
from knockon.graph.records import read_own_vocabulary
from knockon.graph.tables.files import RawTable, read_folder
from knockon.graph.tables.rows import members_of_set
from knockon.graph.tables.written_out import written_out
from knockon.queries.intake.sheets.critical import critical_sizes
from knockon.queries.intake.sheets.features import features_by_type, kinds_by_type, member_types
from knockon.queries.intake.sheets.tables import records_of

FEWEST = 3
"""Sizes of one dimension that must be recorded before they say what range makes sense."""


class Folder(msgspec.Struct, frozen=True):
    """A records folder as an import sees it: its vocabulary, its tables as text, and what it knows."""

    path: Path
    vocabulary: Vocabulary
    known: Known
    targets: dict[str, Target]
    tables: tuple[RawTable, ...]
    kept: tuple[Kept, ...]
    """What earlier imports brought."""

    def features(self) -> dict[str, frozenset[tuple[str, str]]]:
        """By part type the features that its parts have, as far as the records say."""
        return features_by_type(self.vocabulary, [*self.tables, *written_out(self.tables, [])])

    @property
    def whole_titles(self) -> frozenset[str]:
        """The names of columns, as titles from which no unit is to be split off."""
        return frozenset(c.name for t in self.targets.values() for c in t.columns)


def open_folder(path: Path) -> Folder:
    """Read what an import needs of a records folder. Raises RecordsError."""
    findings: list[Finding] = []
    vocabulary, _ = read_own_vocabulary(tuple(own_files(path)))
    usual = usual_sizes(path)
    tables = list(read_folder(path, findings))
    found = targets(vocabulary)
    kept = read_kept(path)
    known = _known(vocabulary, [*tables, *written_out(tables, [])], found, records_of(kept), usual)
    return Folder(path, vocabulary, known, found, tuple(tables), kept)


def _known(
    vocabulary: Vocabulary,
    tables: Sequence[RawTable],
    found: dict[str, Target],
    imported: dict[str, list[dict[str, str]]],
    usual: dict[tuple[str, str], tuple[float, float]],
) -> Known:
    """What the tables say. Sizes that came by an import say nothing of what range makes sense, so that a second import
    reads as the first one did; ``usual`` are the ranges of dimensions of which too few sizes are recorded."""
    keys: dict[str, set[str]] = {}
    names: dict[str, str] = {}
    sizes: dict[tuple[str, str], list[float]] = {}
    ends: dict[tuple[str, str], set[tuple[float, ...]]] = {}
    rows: dict[str, dict[str, dict[str, str]]] = {"parts": {}, "sources": {}, "kits": {}, "vehicles": {}}
    for raw in tables:
        name = "features/" + raw.table if raw.file.startswith("features/") else raw.table
        target = found.get(name)
        if target is None:
            continue
        own = {frozenset((k, v) for k, v in row.items() if v) for row in imported.get(name, ())}
        for _, cells in raw.rows:
            row = dict(zip(raw.header, cells, strict=True))
            if target.shape.is_kind and frozenset((k, v) for k, v in row.items() if v) not in own:
                _collect(target, row, sizes, ends)
            if not target.shape.is_kind:
                keys.setdefault(name, set()).update(names_of_row(target, row))
            if name == "parts":
                names[row.get("part", "")] = row.get("name", "")
            if name in rows:
                rows[name][row.get(name.removesuffix("s"), "")] = row
    said = ((at, widened(x for e in all_ends for x in e)) for at, all_ends in ends.items() if len(all_ends) >= FEWEST)
    sense = UsualSizes({at: found_range for at, found_range in said if found_range is not None}, usual)
    ranges = usual | {at: (min(v) / 2, max(v) * 2) for at, v in sizes.items() if len(v) >= FEWEST and min(v) > 0}
    return Known(
        keys={t: frozenset(k) for t, k in keys.items()},
        parts=PartIndex(names) if names else None,
        terms={"PartType": frozenset(vocabulary.part_types), "FitRule": frozenset(vocabulary.rules)},
        others={"PartType": vocabulary.others("PartType")},
        ranges=ranges,
        critical=critical_sizes(vocabulary, tables),
        rows=rows,
        kinds=kinds_by_type(vocabulary, tables),
        types=member_types(tables),
        sense=sense,
    )


def names_of_row(target: Target, row: Mapping[str, str]) -> tuple[str, ...]:
    """How other rows name a row of a plain table: its first key, and a set's member also with its set."""
    key = tuple(row.get(c.name, "") for c in target.shape.columns if c.key)
    return (*key[:1], *members_of_set(target.table, key)) if key else ("",)


def _collect(
    target: Target,
    row: dict[str, str],
    sizes: dict[tuple[str, str], list[float]],
    ends: dict[tuple[str, str], set[tuple[float, ...]]],
) -> None:
    """The lengths of a row; and the ends of each of its sizes, by the kind's table and the dimension."""
    for column, part, size in _sizes_in(target, row):
        if column.datatype == "length" and not part and size.low:
            sizes.setdefault((target.table, column.name), []).append(abs(size.low))
        of_size = tuple(x for x in (size.low, size.high) if x is not None)
        if of_size:
            ends.setdefault((target.shape.table, column.name + (f".{part}" if part else "")), set()).add(of_size)


def _sizes_in(target: Target, row: dict[str, str]) -> Iterator[tuple[Column, str, Quantity]]:
    """Every size of a row, with its column and the part of its designation (of a thread ``major`` and so on)."""
    for column in target.shape.columns:
        if column.datatype in MEASURED and row.get(column.name):
            try:
                readings = read_cell(row[column.name], column.datatype)
            except CellError:
                continue
            yield from ((column, part, size) for part, size in readings.items())
