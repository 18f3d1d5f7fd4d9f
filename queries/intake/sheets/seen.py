"""What is known while the tables of a file are read: what the records hold, and what the file itself brings."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from collections.abc import Mapping as SaidMap

from msgspec.structs import replace

from knockon.graph.mapping import Target
from knockon.graph.mapping.cells_read import Fault, Known
from knockon.graph.mapping.statements import record_table
from knockon.graph.quantity import PartIndex
from knockon.graph.quarantine import Kept
from knockon.queries.intake.sheets.folder import names_of_row
from knockon.queries.intake.sheets.keeping import Place
from knockon.queries.intake.sheets.order import refers_to
from knockon.queries.intake.sheets.tables import ALREADY

PARTS = "parts"
SheetRow = SaidMap[str, str]
Rows = SaidMap[str, SaidMap[str, SheetRow]]
"""By table and name: the row."""


class Seen:
    """What is known while a file is read that fills these ``tables``. What an earlier import of it brought (``own``)
    is known again from its row on, as all that it brings: so a second import reads as the first one did."""

    def __init__(
        self, known: Known, tables: Collection[str], targets: SaidMap[str, Target], own: Iterable[Kept]
    ) -> None:
        self._targets = targets
        plain = {t for t in tables if t in targets and not targets[t].shape.is_kind}
        gone = _brought_before(own, targets, plain)
        self._keys = {t: {*known.keys.get(t, ())} - gone.get(t, set()) for t in sorted(plain)}
        self._rows: dict[str, dict[str, SheetRow]] = {
            t: {n: row for n, row in known.rows[t].items() if n not in gone.get(t, ())}
            for t in self._keys
            if t in known.rows
        }
        self._waiting: dict[str, set[str]] = {}
        self._base = known
        self.known = known
        self.settle()

    def alike(self) -> Seen:
        """A copy, in which rows can be tried."""
        other = Seen(self._base, (), self._targets, ())
        other._keys = {t: {*keys} for t, keys in self._keys.items()}
        other._rows = {t: dict(rows) for t, rows in self._rows.items()}
        other._waiting = {t: {*names} for t, names in self._waiting.items()}
        other.settle()
        return other

    def settle(self) -> None:
        """What has been loaded is known, and nothing else that the file brings."""
        self.suppose({})

    def suppose(self, coming: Rows) -> None:
        """Rows that the file brings count as known before they are read: those of a table may name each other."""
        base = self._base
        keys = {t: {*own, *coming.get(t, {})} if coming.get(t) else own for t, own in self._keys.items()}
        parts = base.parts
        if PARTS in self._keys:
            there = {**self._rows.get(PARTS, {}), **coming.get(PARTS, {})}
            parts = PartIndex({n: row.get("name", "") for n, row in there.items()}) if there else None
        rows = {t: {**own, **coming[t]} if coming.get(t) else own for t, own in self._rows.items()}
        self.known = replace(base, keys={**base.keys, **keys}, rows={**base.rows, **rows}, parts=parts)

    def add(self, table: str, row: dict[str, str]) -> None:
        """A row that is loaded."""
        if table not in self._keys:
            return
        names = names_of_row(self._targets[table], row)
        self._keys[table].update(names)
        if table in self._rows:
            self._rows[table][names[0]] = row

    def put_off(self, table: str, written: SheetRow) -> None:
        """A row that waits: what names it waits too."""
        if table in self._keys:
            self._waiting.setdefault(table, set()).update(n for n in names_of_row(self._targets[table], written) if n)

    def waits(self, target: Target, written: SheetRow) -> tuple[Fault, ...]:
        """A fault for each cell of a row that names a row of the file which waits."""
        found = []
        for column in target.columns if self._waiting else ():
            said = written.get(column.name, "")
            tables = [t for t in refers_to(column) if t != target.table]
            waiting = any(said in self._waiting.get(t, ()) for t in tables)
            if said and waiting and not any(said in self.known.keys.get(t, ()) for t in tables):
                found.append(Fault(column.name, said, f"the row of this {column.name} waits. Mend that first"))
        return tuple(found)


def _brought_before(own: Iterable[Kept], targets: SaidMap[str, Target], tables: Collection[str]) -> dict[str, set[str]]:
    """What an earlier import of the file brought, and what is recorded for no other reason, by table."""
    rows: dict[Place, list[Kept]] = {}
    for one in own:
        if record_table(one.table) in tables:
            rows.setdefault(one.place, []).append(one)
    found: dict[str, set[str]] = {}
    for place, cells in rows.items():
        if not any(ALREADY in k.flags for k in cells):
            table = record_table(place[3])
            row = {k.column: k.read for k in cells}
            found.setdefault(table, set()).update(n for n in names_of_row(targets[table], row) if n)
    return found
