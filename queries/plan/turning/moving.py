"""From where a reading moves, and by how much it may be off: what was read, or what is expected with the usual tool."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import msgspec

from knockon.graph.judge.beliefs import computing, presence_of
from knockon.graph.judge.sense import UsualSizes
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.schema import column_of
from knockon.graph.model.things import Feature, Statement
from knockon.graph.quantity import CellError, Quantity, read_cell
from knockon.queries.per_catalogue import per_catalogue
from knockon.queries.plan.turning.supposed import Read, Reading, Size
from knockon.queries.plan.turning.turning import INCH, Moving, Scale

BY_NUMBER = ("length", "angle", "ratio", "pressure", "torque", "force", "number")
"""Datatypes of sizes that a reading moves through; of all others those that are recorded are tried one by one."""
MOST_COUNT = 60


class Choice(msgspec.Struct, frozen=True):
    """One of the values that a count, a code or a designation may have, as it is written, and what it says."""

    written: str
    reading: Reading


@per_catalogue("features", "vocabulary")
def usual_of(catalogue: Catalogue) -> UsualSizes:
    """The usual sizes of a catalogue's kinds and dimensions."""
    every = {id(f): f for own in catalogue.features.values() for f in own.values()}
    return UsualSizes.of(every.values(), catalogue.vocabulary)


def moves(read: Read) -> bool:
    """Whether a size is one that a reading moves through."""
    return read.catalogue.vocabulary.kinds[read.kind].datatype_of(read.column) in BY_NUMBER


def moving(read: Read) -> Moving | None:
    """From where a reading moves, from nowhere where nothing is recorded of it; None where nothing is usual."""
    said, kind = _said(read), read.catalogue.vocabulary.kinds[read.kind]
    usual = usual_of(read.catalogue).range_of(kind.table, read.column)
    if usual is None:
        return None
    unit = read.catalogue.vocabulary.shown_unit(kind, read.column)
    tool = read.catalogue.vocabulary.usual_tool(read.kind, read.column)
    within = tool.within if tool else 0.0
    if said is None or said.low is None or said.high is None:
        return Moving(read.column, None, within, usual[1], Scale(unit))
    middle = (said.low + said.high) / 2
    if said.rank == 1 and not said.of_number:
        inches = unit == "mm" and _unit_of(said.written).startswith(("in", '"'))
        scale = Scale("in", INCH) if inches else Scale(unit)
        return Moving(read.column, middle, (said.high - said.low) / 2, usual[1], scale)
    return Moving(read.column, middle, within, usual[1], Scale(unit))


def _unit_of(written: str) -> str:
    try:
        return read_cell(written, "length")[""].unit.casefold().strip()
    except CellError:
        return ""


def _said(read: Read) -> Statement | None:
    feature = read.recorded
    if feature is None or presence_of(feature) == "absent":
        return None
    return next(iter(computing(feature.dimensions.get(read.column, ()))), None)


def choices(read: Read) -> tuple[Choice, ...]:
    """The values that a count, a code or a designation has anywhere in the records, and those that it may have."""
    kind = read.catalogue.vocabulary.kinds[read.kind]
    column = next(c for c in kind.columns if c.name == read.column)
    written = dict.fromkeys(_recorded(read.catalogue, read.kind, read.column))
    if column.datatype == "count":
        usual = usual_of(read.catalogue).range_of(kind.table, read.column)
        counts = [int(w) for w in written if w.isdigit()]
        most = min(MOST_COUNT, int(usual[1]) if usual else max(counts, default=0))
        written = dict.fromkeys(map(str, sorted({*range(most + 1), *counts})))
    found: dict[Reading, str] = {}
    for text in (*sorted(written), *column.values):
        try:
            sizes = read_cell(text, column.datatype)
        except CellError:
            continue
        reading = tuple(sorted(_sizes(read.column, sizes), key=lambda s: s.dimension))
        if reading:
            found.setdefault(reading, text)
    if column.datatype == "count":
        return tuple(Choice(w, r) for r, w in sorted(found.items(), key=lambda f: int(f[1])))
    return tuple(Choice(w, r) for r, w in sorted(found.items(), key=lambda f: f[1]))


def _sizes(column: str, sizes: dict[str, Quantity]) -> Iterator[Size]:
    for part, q in sizes.items():
        if not (q.unknown or q.not_applicable or q.absent):
            yield Size(f"{column}.{part}" if part else column, q.low, q.high, q.code, q.nominal)


def _recorded(catalogue: Catalogue, kind: str, column: str) -> Iterable[str]:
    every = {id(f): f for own in catalogue.features.values() for f in own.values() if f.kind == kind}
    for feature in every.values():
        yield from (s.written for s in _of_column(feature, column))


def _of_column(feature: Feature, column: str) -> Iterator[Statement]:
    yield from (s for d, said in feature.dimensions.items() if column_of(d) == column for s in said if not s.unknown)
