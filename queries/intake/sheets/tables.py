"""The record tables before and after an import: rows added, taken out and left, and keys that are taken."""

from __future__ import annotations

import codecs
import csv
import io
import json
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

import msgspec
from msgspec.structs import replace

from knockon.graph.mapping import Target
from knockon.graph.mapping.cells_read import Fault
from knockon.graph.mapping.model import BESIDE
from knockon.graph.mapping.rows import READ_BESIDE
from knockon.graph.mapping.statements import kept_table, record_table
from knockon.graph.model.findings import Finding
from knockon.graph.quarantine import Entry, Kept
from knockon.graph.records import RecordsError
from knockon.graph.tables.files import RawTable, read_table

WAITING = "chosen by a person, but the row waits for another cell"
"""The flag of a choice whose row is still in the quarantine."""
ALREADY = "the table had this row before"
"""The flag of a loaded row that a table held already, written by hand: no import takes it out."""
Row = tuple[str, ...]
Place = tuple[str, str, int, str]


class Change(msgspec.Struct, frozen=True):
    """A record table as it will be: its header and new content, and the rows added, removed and already there."""

    table: str
    path: Path
    content: bytes
    added: tuple[Row, ...]
    removed: tuple[Row, ...]
    unchanged: int
    header: Row = ()
    altered: tuple[tuple[Row, Row], ...] = ()


def _loaded(kept: Iterable[Kept]) -> dict[Place, dict[str, str]]:
    """The rows that were loaded, by place. A condition or claim in a sheet of sizes is kept, and stands elsewhere."""
    rows: dict[Place, dict[str, str]] = {}
    for one in (k for k in kept if k.flags != WAITING):
        row = rows.setdefault(one.place, {})
        if one.column not in BESIDE or not (one.table == "parts" or one.table.startswith("features/")):
            row[one.column] = one.read
    return rows


def records_of(kept: Iterable[Kept]) -> dict[str, list[dict[str, str]]]:
    """The rows of the record tables that were loaded, by table."""
    found: dict[str, list[dict[str, str]]] = {}
    for place, row in _loaded(kept).items():
        found.setdefault(record_table(place[3]), []).append(row)
    return found


def table_changes(
    folder: Path,
    targets: Mapping[str, Target],
    before: Sequence[Kept],
    after: Sequence[Kept],
    claimed: Sequence[Kept] = (),
) -> list[Change]:
    """What record tables become when the rows of ``before`` are replaced by those of ``after``.

    Rows that stood there before any import, and those that another file says too (``claimed``), are left. Raises
    RecordsError.
    """
    others = {(t, _filled(row)) for t, rows in records_of(claimed).items() for row in rows}
    was_there = {k.place for k in before if ALREADY in k.flags}
    old, new = records_of(k for k in before if k.place not in was_there), records_of(after)
    old = {t: [r for r in rows if (t, _filled(r)) not in others] for t, rows in old.items()}
    return [_change(folder, targets, t, old.get(t, []), new.get(t, [])) for t in sorted({*old, *new}) if t in targets]


def _change(
    folder: Path, targets: Mapping[str, Target], table: str, old: list[dict[str, str]], new: list[dict[str, str]]
) -> Change:
    """A table without the old rows that are not among the new, and with the new ones that it lacks, at its end."""
    path = folder / f"{table}.csv"
    head, lines, present = _table_as_it_stands(path)
    width = len(head)
    for row in new:
        head += [c.name for c in targets[table].columns if c.name in row and c.name not in head]
    rows = [tuple(r.get(h, "") for h in head) for r in new]
    fresh = Counter(rows)
    gone = Counter(tuple(r.get(h, "") for h in head) for r in old) - fresh
    stay, removed = [], []
    for cells in lines:
        wide = cells + ("",) * (len(head) - len(cells))
        if gone[wide] > 0:
            gone[wide] -= 1
            removed.append(wide)
        else:
            stay.append(wide)
    there = set(stay)
    added = [r for r in dict.fromkeys(rows) if r not in there]
    if not added and not removed and present is not None:
        return Change(table=table, path=path, content=present, added=(), removed=(), unchanged=len(rows))
    content = _with_rows(present or b"", added) if present and not removed and len(head) == width else b""
    content = content or _written(present or b"", [tuple(head), *stay, *added])
    return Change(
        table=table,
        path=path,
        content=content,
        added=tuple(added),
        removed=tuple(removed),
        unchanged=len(rows) - len(added),
        header=tuple(head),
    )


def _with_rows(present: bytes, rows: Sequence[Row]) -> bytes:
    """A table with rows at its end, not a byte of what stands there changed."""
    end = _line_end(present)
    return present.rstrip(b"\r\n") + end.encode() + _text(rows, end).encode()


def _written(present: bytes, rows: Sequence[Row]) -> bytes:
    """A table written anew, with the mark at its beginning and the line ends that it had."""
    mark = codecs.BOM_UTF8 if present.startswith(codecs.BOM_UTF8) else b""
    return mark + _text(rows, _line_end(present)).encode()


def _line_end(present: bytes) -> str:
    return "\r\n" if present.partition(b"\n")[0].endswith(b"\r") else "\n"


def _text(rows: Sequence[Row], end: str) -> str:
    out = io.StringIO()
    csv.writer(out, lineterminator=end).writerows(rows)
    return out.getvalue()


def told_as_altered(change: Change, targets: Mapping[str, Target]) -> Change:
    """A row that goes and one that comes, if each is the only one about its key, are told as one row altered."""
    shape = targets[change.table].shape
    key = ("part", "feature") if shape.is_kind else tuple(c.name for c in shape.columns if c.key)
    places = [n for n, name in enumerate(change.header) if name in key]
    gone, come = (_alone(rows, places) for rows in (change.removed, change.added))
    pairs = tuple((gone[k], come[k]) for k in come if k in gone)
    before, after = {b for b, _ in pairs}, {a for _, a in pairs}
    return replace(
        change,
        altered=pairs,
        added=tuple(r for r in change.added if r not in after),
        removed=tuple(r for r in change.removed if r not in before),
    )


def _alone(rows: Sequence[Row], places: Sequence[int]) -> dict[Row, Row]:
    by_key: dict[Row, list[Row]] = {}
    for row in rows:
        by_key.setdefault(tuple(row[n] for n in places), []).append(row)
    return {key: found[0] for key, found in by_key.items() if len(found) == 1}


def _table_as_it_stands(path: Path) -> tuple[list[str], list[Row], bytes | None]:
    if not path.exists():
        return [], [], None
    findings: list[Finding] = []
    raw = read_table(path, path.name, findings)
    if raw is None or findings:
        why = findings[0].problem if findings else "it has no header"
        row = f", row {findings[0].row}" if findings and findings[0].row else ""
        raise RecordsError(f"{path}{row}: {why}. Correct it first, so that writing the table loses nothing")
    return list(raw.header), [cells for _, cells in raw.rows], path.read_bytes()


def with_already(kept: Sequence[Kept], tables: Iterable[RawTable], own: Sequence[Kept]) -> list[Kept]:
    """``kept`` with a flag at each row that a table holds, and that no import of the same file (``own``) wrote."""
    mine = {
        (t, _filled(row)) for t, rows in records_of(k for k in own if ALREADY not in k.flags).items() for row in rows
    }
    held = {
        ("features/" * raw.file.startswith("features/") + raw.table, _filled(dict(zip(raw.header, cells, strict=True))))
        for raw in tables
        for _, cells in raw.rows
    }
    rows = {p: (record_table(p[3]), _filled(row)) for p, row in _loaded(kept).items()}
    there = {p for p, row in rows.items() if row in held and row not in mine}
    out, told = [], set()
    for one in kept:
        first = one.place in there and one.flags != WAITING and one.place not in told
        told.add(one.place)
        out.append(replace(one, flags="; ".join(filter(None, (one.flags, ALREADY)))) if first else one)
    return out


def without_rows(tables: Iterable[RawTable], changes: Sequence[Change]) -> list[RawTable]:
    """The tables without the rows that are taken out."""
    removed = {c.path.stem: set(c.removed) for c in changes}
    return [
        replace(raw, rows=tuple(r for r in raw.rows if r[1] not in removed.get(raw.table, set()))) for raw in tables
    ]


Content = tuple[str, str, str, frozenset[tuple[str, str]]]


class Choices:
    """What a person chose for cells in quarantine: by the place of the row, else by what the whole row says."""

    def __init__(self, kept: Iterable[Kept], entries: Iterable[Entry]) -> None:
        self._at: dict[tuple[Place, str, str], str] = {}
        self._of: dict[tuple[Content, str], str] = {}
        rows: dict[Place, dict[str, str]] = {e.place: json.loads(e.cells) for e in entries}
        chosen = []
        for one in kept:
            if READ_BESIDE not in one.flags:
                rows.setdefault(_row(one.place), {}).setdefault(one.column, one.written)
            if one.accepted:
                chosen.append(one)
        for one in chosen:
            place = _row(one.place)
            self._at[place, one.column, one.written] = one.accepted
            self._of[_content(place, rows[place]), one.column] = one.accepted

    def of(self, place: Place, written: Mapping[str, str], column: str) -> str:
        """The reading chosen for a cell, or an empty text."""
        if not self._at:
            return ""
        at = self._at.get((place, column, written[column]))
        return at or self._of.get((_content(place, written), column), "")


def _row(place: Place) -> Place:
    """The place of the sheet's row that a statement comes from."""
    return (*place[:3], kept_table(place[3]))


def _content(place: Place, written: Mapping[str, str]) -> Content:
    return place[0], place[1], place[3], _filled(written)


class Taken:
    """The keys of the plain tables that some row has, with what that row says; ``file``'s own rows do not count."""

    def __init__(self, targets: Mapping[str, Target], tables: Iterable[RawTable], own: Iterable[Kept]) -> None:
        self._targets = targets
        self._said: dict[tuple[str, Row], tuple[dict[str, str], str]] = {}
        self._kinds: dict[tuple[str, str], tuple[str, str]] = {}
        mine = {(t, _filled(row)) for t, rows in records_of(own).items() for row in rows}
        for raw in tables:
            table = "features/" * raw.file.startswith("features/") + raw.table
            for number, cells in raw.rows:
                row = dict(zip(raw.header, cells, strict=True))
                if (table, _filled(row)) not in mine:
                    self.add(table, row, f"row {number} of {raw.file}")

    def _is_kind(self, table: str) -> bool:
        target = self._targets.get(table)
        return target is not None and target.shape.is_kind

    def _key(self, table: str, row: Mapping[str, str]) -> Row:
        target = self._targets.get(table)
        if target is None or target.shape.is_kind:
            return ()
        return tuple(row.get(c.name, "") for c in target.shape.columns if c.key)

    def add(self, table: str, row: Mapping[str, str], where: str) -> None:
        """Remember a row that is loaded."""
        if self._is_kind(table):
            self._kinds.setdefault((row.get("part", ""), row.get("feature", "")), (table, where))
        key = self._key(table, row)
        if any(key):
            self._said.setdefault((table, key), (dict(row), where))

    def contradictions(self, table: str, row: Mapping[str, str], written: Mapping[str, str]) -> tuple[Fault, ...]:
        """Where another row of the same key says something else; nothing decides between the two."""
        if self._is_kind(table):
            recorded, where = self._kinds.get((row.get("part", ""), row.get("feature", "")), (table, ""))
            why = f"{where} records this feature of the part as another kind"
            return () if recorded == table else (Fault("feature", written.get("feature", ""), why),)
        before, where = self._said.get((table, self._key(table, row)), ({}, ""))
        differing = [n for n, cell in row.items() if before.get(n, cell) not in ("", cell) and n != "source" and cell]
        return tuple(
            Fault(n, written.get(n, row[n]), f"{where} has the same key and says {before[n]!r}") for n in differing
        )


def _filled(row: Mapping[str, str]) -> frozenset[tuple[str, str]]:
    return frozenset((k, v) for k, v in row.items() if v)
