"""What is kept of a row of a sheet: its cells as written and as read, or, in the quarantine, what is wrong with it."""

from __future__ import annotations

import json
from collections.abc import Sequence

from knockon.graph.mapping.cells_read import Fault, Read
from knockon.graph.mapping.model import BESIDE
from knockon.graph.mapping.statements import record_table
from knockon.graph.quarantine import Entry, Kept

Place = tuple[str, str, int, str]
"""A row: the file of its sheet, the sheet, its number there, and the table that it goes to."""


def kept_row(place: Place, read: dict[str, Read], written: dict[str, str], chosen: dict[str, str]) -> list[Kept]:
    """What is kept of a row that was loaded."""
    out = []
    for name, cell in read.items():
        flags = (*cell.flags, *(["chosen by a person"] if chosen.get(name) else []))
        raw = str(written.get(name, cell.written))  # a workbook's number is kept as the text that it is
        out.append(Kept(*place, name, raw, cell.text, "; ".join(flags), chosen.get(name, "")))
    return out


def kept_beside(place: Place, read: dict[str, Read], written: dict[str, str], chosen: dict[str, str]) -> list[Kept]:
    """The cells of a sheet of parts or sizes that go elsewhere, as its condition does: kept with their row."""
    if record_table(place[3]) != "parts" and not place[3].startswith("features/"):
        return []
    return kept_row(place, {n: cell for n, cell in read.items() if n in BESIDE}, written, chosen)


def entries_of(place: Place, faults: Sequence[Fault], written: dict[str, str], context: str, raw: str) -> list[Entry]:
    """What the quarantine keeps of a row that was not loaded: an entry for each fault."""
    cells = json.dumps(written, ensure_ascii=False, sort_keys=True)
    return [
        Entry(
            *place,
            column=f.column,
            written=str(written.get(f.column, f.written)),
            why=f.why,
            suggestions=f.suggestions,
            cells=cells,
            context=context,
            raw=raw,
        )
        for f in faults
    ]
