"""The statements that one row of a sheet makes: what it says of new parts and of worn ones, each on its own standing.

A sheet has a source with one standing, and single cells of it may say another: `1.118 (worn)`, or a column of
conditions. A size of a worn part never stands as a drawing; a record row has one source, so such a row becomes several.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import msgspec
from msgspec.structs import replace

from knockon.graph.mapping.cells_read import NEW, WORN, Known, Read
from knockon.graph.mapping.claimed import claims_of
from knockon.graph.mapping.model import BESIDE, CONDITION, OF, Target
from knockon.graph.model.things import STANDINGS
from knockon.graph.quantity import MEASURED

STANDING_OF = {WORN: "worn", NEW: "same number, new"}
FURTHER = " #"
"""Between a table's name and the number of a further statement of one row, as between a sheet's and its table's."""


class Statement(msgspec.Struct, frozen=True):
    """One row for a record table. ``table`` of a second statement ends in ` #2`, so that each is kept apart."""

    table: str
    cells: dict[str, Read]


def record_table(table: str) -> str:
    """The record table of a statement, or of a row as it is kept."""
    return table.partition(FURTHER)[0].partition(OF)[0]


def kept_table(table: str) -> str:
    """The name under which the row of a statement is kept."""
    return table.partition(FURTHER)[0]


def statements_of(target: Target, read: Mapping[str, Read], known: Known) -> tuple[Statement, ...]:
    """The rows that the cells of one row become, the sheet's own standing first, with the sources that they need."""
    claims = [
        Statement("claims" + (f"{FURTHER}{n}" if n > 1 else ""), cells) for n, cells in enumerate(claims_of(read), 1)
    ]
    if not target.shape.is_kind:
        return (Statement(target.table, {n: c for n, c in read.items() if not _is_beside(target, n)}), *claims)
    whole = read[CONDITION].text if CONDITION in read else ""
    names = [c.name for c in target.shape.columns]
    rest = {n: cell for n, cell in read.items() if n not in names and n not in BESIDE | {"source"}}
    parted: dict[str, dict[str, Read]] = {}
    for mark, name, cell in _marked(read, names, whole, {c.name for c in target.columns if c.datatype in MEASURED}):
        parted.setdefault(mark, {})[name] = cell
    by_source: dict[str, dict[str, Read]] = {}
    sources: dict[str, dict[str, str]] = {}
    for mark in sorted(parted) or [""]:
        source = _source(read.get("source"), mark, known, sources)
        cells = by_source.setdefault(source.text if source else "", dict(rest))
        cells |= parted.get(mark, {})
        if source:
            cells["source"] = source
    found = [
        Statement(target.table + (f"{FURTHER}{n}" if n > 1 else ""), cells)
        for n, cells in enumerate(by_source.values(), 1)
    ]
    return (
        *found,
        *claims,
        *(Statement("sources", {n: Read(c, c, ()) for n, c in row.items()}) for row in sources.values()),
    )


def _is_beside(target: Target, name: str) -> bool:
    return name in BESIDE and not any(c.name == name for c in target.shape.columns)


def _marked(
    read: Mapping[str, Read], names: list[str], whole: str, measured: set[str]
) -> Iterator[tuple[str, str, Read]]:
    """Each size with its mark, that of the cell before that of the row; codes go with the row."""
    for name in names:
        cell = read.get(name)
        if cell is None:
            continue
        for mark, text in cell.marked or (("", cell.text),):
            own = mark or whole
            said = "" if own != WORN or name not in measured else "measured on a worn part"
            flags = cell.flags if not said or said in cell.flags else (*cell.flags, said)
            yield own, name, replace(cell, text=text, flags=flags)


def _source(said: Read | None, mark: str, known: Known, needed: dict[str, dict[str, str]]) -> Read | None:
    """The source of a statement: the sheet's, or one beside it that stands as the mark says; ``needed`` gains it.

    Worn is no better than worn, whoever measured it. A size of a new part is lifted above a source that stands as worn
    only where its member is named: that is what the standing asks.
    """
    row = known.rows.get("sources", {}).get(said.text) if said else None
    if said is None or row is None or mark not in STANDING_OF:
        return said
    now, wanted = row.get("standing", ""), STANDING_OF[mark]
    better = now in STANDINGS and STANDINGS.index(now) < STANDINGS.index(wanted)
    if not (better if mark == WORN else now == "worn" and row.get("member")):
        return said
    name, there = f"{said.text}-{mark}", known.rows["sources"]
    own = {"source": name, "title": f"{row.get('title') or said.text}, {mark} parts", "standing": wanted}
    stands = there.get(name, dict(row) | own)  # one of this name that is there already is left as it is
    needed[name] = {n: cell for n, cell in sorted(stands.items()) if cell}
    return replace(said, text=name, flags=(*said.flags, f"stands as {wanted}: the sheet says that it was {mark}"))
