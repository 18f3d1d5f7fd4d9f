"""Loading rows of the quarantine as a person says that they are meant: all choices or none."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby
from pathlib import Path

import msgspec

from knockon.graph.mapping import Target
from knockon.graph.mapping.belonging import misplaced
from knockon.graph.mapping.cells_read import Fault, ReadAs
from knockon.graph.mapping.model import BESIDE, LISTED_FOR, SUPERSEDED_BY, ColumnMap
from knockon.graph.mapping.model import Mapping as OfSheet
from knockon.graph.mapping.rows import read_row
from knockon.graph.mapping.statements import kept_table, record_table, statements_of
from knockon.graph.model.nearest import nearest
from knockon.graph.quarantine import Entry, Kept, read_book
from knockon.graph.records import RecordsError
from knockon.queries.intake.quarantine import Accepted, may_be_unknown, row_of
from knockon.queries.intake.sheets.entry_names import names_of
from knockon.queries.intake.sheets.folder import Folder, names_of_row, open_folder
from knockon.queries.intake.sheets.keeping import Place, entries_of, kept_beside, kept_row
from knockon.queries.intake.sheets.order import in_order, refers_to
from knockon.queries.intake.sheets.prices import currencies_in, other_currency
from knockon.queries.intake.sheets.reading import WHOLE_ROW, is_of_cells, read_but, told_apart
from knockon.queries.intake.sheets.seen import Seen
from knockon.queries.intake.sheets.tables import WAITING, Change, Taken, table_changes, with_already
from knockon.queries.intake.sheets.writing import put_in_place, write_import, written_when_settled

NOT_KNOWN = 0
"""The choice that takes a row with the cell as not known."""


class _Choice(msgspec.Struct, frozen=True):
    entry: Entry
    name: str
    taken: str


class _Work(msgspec.Struct):
    """What the choices come to, row by row."""

    seen: Folder
    entries: list[Entry]
    kept: list[Kept]
    loaded: list[Kept] = msgspec.field(default_factory=list)
    left: dict[Place, tuple[str, ...]] = msgspec.field(default_factory=dict)
    before: list[Kept] = msgspec.field(default_factory=list)
    """What is loaded already of rows of which some cell waits."""
    accepted: tuple[Accepted, ...] = ()

    def changes(self, folder: Path) -> list[Change]:
        places = {k.place for k in self.before}
        others = [k for k in self.seen.kept if k.place not in places]
        return table_changes(folder, self.seen.targets, self.before, self.loaded, others)


def accept_all(folder: Path, choices: Sequence[tuple[str, int]]) -> tuple[tuple[Accepted, ...], str]:
    """Apply choices, as (name of an entry, number of its suggestion from 1): all of them or none; a row is loaded once
    nothing is wrong with it.

    The choice 0 takes a size as not known (``?``), so that the rest of its row need not wait and no claim stands in
    for it; what names the row (part, feature, source), and a cell of a plain table, cannot be left so. The choices are
    kept in ``imported.csv``, so that a later import of the same sheet makes them again. A row that still has another
    fault stays in the quarantine with the choices made. With what was taken comes why a table is not in its place
    yet; what was chosen counts all the same. Raises RecordsError; nothing was changed then.
    """
    if not choices:
        return (), ""
    put_in_place(folder)
    work, waiting = written_when_settled(
        folder,
        lambda: _worked_out(folder, choices),
        lambda work: write_import(folder, work.changes(folder), work.entries, work.kept),
    )
    return work.accepted, waiting


def accept(folder: Path, number: int, choice: int) -> Accepted:
    """Apply one choice to the entry that is ``number`` in the list as it stands now, from 1. Raises RecordsError."""
    names = names_of(read_book(folder))
    if not 1 <= number <= len(names):
        raise RecordsError(f"the quarantine of {folder} has {len(names)} entries, and none is number {number}")
    return accept_all(folder, [(names[number - 1], choice)])[0][0]


def _worked_out(folder: Path, choices: Sequence[tuple[str, int]]) -> _Work:
    book = read_book(folder)
    seen = open_folder(folder)
    chosen = _read_choices(folder, book, seen, choices)
    work = _Work(seen, list(book), list(seen.kept))
    stated, reading = Taken(seen.targets, seen.tables, []), Seen(seen.known, seen.targets, seen.targets, ())
    places = _with_rest(book, dict.fromkeys(c.entry.place for c in chosen), seen.targets)
    for _, of_table in groupby(places, key=lambda p: record_table(p[3])):
        alike = tuple(of_table)
        _suppose_each_other(work, alike, chosen, reading)
        for place in alike:
            _take_row(work, place, [c for c in chosen if c.entry.place == place], stated, reading)
    work.accepted = tuple(
        Accepted(c.entry.row, c.entry.column, c.entry.written, c.taken, not left, left)
        for c in chosen
        for left in (work.left[c.entry.place],)
    )
    return work


def _read_choices(
    folder: Path, book: Sequence[Entry], seen: Folder, choices: Sequence[tuple[str, int]]
) -> list[_Choice]:
    named = dict(zip(names_of(book), book, strict=True))
    found: list[_Choice] = []
    for name, choice in choices:
        entry = named.get(name)
        if entry is None:
            near = nearest(name, named)
            hint = f". Nearest: {', '.join(near)}" if near else ". knockon quarantine lists the entries"
            raise RecordsError(f"the quarantine of {folder} has no entry {name!r}{hint}. Nothing was changed")
        if any(c.name == name for c in found):
            raise RecordsError(f"entry {name} has more than one choice. Nothing was changed")
        target = seen.targets.get(record_table(entry.table))
        if target is None:
            raise RecordsError(f"the record table {entry.table!r} no longer exists")
        found.append(_Choice(entry, name, _taken_as(target, entry, name, choice)))
    return found


def _with_rest(book: Sequence[Entry], places: Iterable[Place], targets: Mapping[str, Target]) -> list[Place]:
    """The rows that are chosen for, and those of their files that wait for them to be known, these after them."""
    naming: dict[tuple[str, str, str], list[Place]] = {}
    at: dict[Place, dict[str, str]] = {}
    for entry in book:
        target = targets.get(record_table(entry.table))
        at[entry.place] = json.loads(entry.cells)
        columns = [c for c in target.columns if c.name == entry.column] if target else []
        for table in (t for c in columns for t in refers_to(c)):
            naming.setdefault((entry.file, table, entry.written), []).append(entry.place)
    found = dict.fromkeys(places)
    coming = list(found)
    for place in coming:
        table = record_table(place[3])
        target = targets.get(table)
        if target is None or target.shape.is_kind:
            continue
        for name in names_of_row(target, at.get(place, {})):
            rest = [p for p in naming.get((place[0], table, name), ()) if p not in found] if name else []
            found |= dict.fromkeys(rest)
            coming += rest
    tables = [OfSheet("", record_table(p[3]), tuple(ColumnMap(n, n) for n in at.get(p, ()))) for p in found]
    rank = {m.table: n for n, group in enumerate(in_order(tables, targets)) for m in group}
    return sorted(found, key=lambda p: (rank[record_table(p[3])], record_table(p[3])))


def _suppose_each_other(work: _Work, places: Iterable[Place], choices: Sequence[_Choice], reading: Seen) -> None:
    """Rows of one plain table that name each other count as known where each can be loaded if the others are."""
    coming: dict[Place, tuple[str, ...]] = {}
    for place in places:
        target = work.seen.targets[record_table(place[3])]
        if not target.shape.is_kind and any(target.table in refers_to(c) for c in target.columns):
            coming[place] = names_of_row(target, _of_entries(work, place)[0])
    while coming:
        rows: dict[str, dict[str, dict[str, str]]] = {}
        for place, names in coming.items():
            rows.setdefault(record_table(place[3]), {}).update({n: _of_entries(work, place)[0] for n in names if n})
        reading.suppose(rows)
        stay = {p: names for p, names in coming.items() if not _faults(work, p, choices, reading)}
        if stay == coming:
            return
        coming = stay
    reading.settle()  # what was loaded before counts, and no more


def _of_entries(work: _Work, place: Place) -> tuple[dict[str, str], dict[str, ReadAs]]:
    return row_of(next(e for e in work.entries if e.place == place))


def _faults(work: _Work, place: Place, choices: Sequence[_Choice], reading: Seen) -> tuple[Fault, ...]:
    """What is wrong with a row that is read with its choices."""
    written, how = _of_entries(work, place)
    chosen = {k.column: k.accepted for k in work.kept if k.place == place and k.accepted}
    chosen |= {c.entry.column: c.taken for c in choices if c.entry.place == place}
    return read_row(work.seen.targets[record_table(place[3])], written, how, reading.known, chosen)[1]


def _take_row(work: _Work, place: Place, choices: Sequence[_Choice], stated: Taken, reading: Seen) -> None:
    """One row with its choices: loaded, or waiting with them; of one of a flat sheet the good cells are loaded."""
    seen, before = work.seen, work.kept
    entry = next(e for e in work.entries if e.place == place)
    table = record_table(entry.table)
    target = seen.targets[table]
    written, how = row_of(entry)
    if WHOLE_ROW in {e.column for e in work.entries if e.place == place} and not choices:
        return
    brings = {entry.table, *(["claims"] if {LISTED_FOR, SUPERSEDED_BY} & {*written} else [])}
    of_line = (k for k in before if k.place[:3] == place[:3] and k.flags != WAITING)
    there = [k for k in of_line if kept_table(k.table) in brings]
    chosen = {k.column: k.accepted for k in before if k.place == place and k.accepted}
    chosen |= {c.entry.column: c.taken for c in choices}
    read, faults = read_row(target, written, how, reading.known, chosen)
    bad = faults
    if (there or not choices) and is_of_cells(target, faults):
        read, faults = read_but(target, written, how, reading.known, chosen, bad)
    row = {n: cell.text for n, cell in read.items() if n not in BESIDE}
    faults = faults or other_currency(read, currencies_in(k for k in before if k.place != place))
    faults = faults or (() if chosen.get("feature") else misplaced(target, read, reading.known))
    faults = faults or stated.contradictions(table, row, written)
    work.entries = [e for e in work.entries if e.place != place]
    mine: list[Kept] = []
    waiting = faults or bad
    if waiting:
        work.entries += entries_of(place, waiting, written, entry.context, entry.raw)
    if faults:
        mine = [Kept(*place, c, written.get(c, ""), "", WAITING, a) for c, a in chosen.items()]
    else:
        for statement in statements_of(target, read, reading.known):
            at = (*place[:3], told_apart(statement.table, place[3]))
            mine += kept_row(at, statement.cells, written, chosen)
        mine += kept_beside(place, read, written, chosen)
        mine = with_already(mine, seen.tables, [k for k in before if k.file == entry.file])
        work.loaded += mine
        stated.add(table, row, f"row {entry.row} of {entry.file}")
        reading.add(table, row)
        work.before += there
    gone = {place, *(k.place for k in there)}
    work.kept = [*(k for k in before if k.place not in gone), *mine]
    work.left[place] = tuple(f"{f.column}: {f.why}" for f in waiting)


def _taken_as(target: Target, entry: Entry, name: str, choice: int) -> str:
    """What a choice makes of an entry's cell. Raises RecordsError."""
    offers = dict(enumerate(entry.suggestions, 1))
    if may_be_unknown(target, entry.column):
        offers[NOT_KNOWN] = "?"
    if choice not in offers:
        there = "; ".join(f"{n} = {s}" for n, s in sorted(offers.items())) or "It has none"
        raise RecordsError(f"entry {name} has no suggestion {choice}. {there}")
    return offers[choice]
