"""Loading rows of the quarantine as a person says that they are meant: all choices or none."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import msgspec

from knockon.graph.mapping import Target
from knockon.graph.mapping.belonging import misplaced
from knockon.graph.mapping.rows import read_row
from knockon.graph.mapping.statements import statements_of
from knockon.graph.model.nearest import nearest
from knockon.graph.quarantine import Entry, Kept, read_book
from knockon.graph.records import RecordsError
from knockon.queries.intake.quarantine import Accepted, may_be_unknown, row_of
from knockon.queries.intake.sheets.entry_names import names_of
from knockon.queries.intake.sheets.folder import Folder, open_folder
from knockon.queries.intake.sheets.keeping import Place, entries_of, kept_beside, kept_row
from knockon.queries.intake.sheets.prices import currencies_in, other_currency
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
    accepted: tuple[Accepted, ...] = ()

    def changes(self, folder: Path) -> list[Change]:
        return table_changes(folder, self.seen.targets, [], self.loaded)


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
    stated = Taken(seen.targets, seen.tables, [])
    for place in dict.fromkeys(c.entry.place for c in chosen):
        _take_row(work, place, [c for c in chosen if c.entry.place == place], stated)
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
        target = seen.targets.get(entry.table)
        if target is None:
            raise RecordsError(f"the record table {entry.table!r} no longer exists")
        found.append(_Choice(entry, name, _taken_as(target, entry, name, choice)))
    return found


def _take_row(work: _Work, place: Place, choices: Sequence[_Choice], stated: Taken) -> None:
    """One row with its choices: loaded, or waiting with them."""
    seen, entry, before = work.seen, choices[0].entry, work.kept
    target = seen.targets[entry.table]
    written, how = row_of(entry)
    chosen = {k.column: k.accepted for k in before if k.place == place and k.accepted}
    chosen |= {c.entry.column: c.taken for c in choices}
    read, faults = read_row(target, written, how, seen.known, chosen)
    row = {n: cell.text for n, cell in read.items()}
    faults = faults or other_currency(read, currencies_in(k for k in before if k.place != place))
    faults = faults or (() if chosen.get("feature") else misplaced(target, read, seen.known))
    faults = faults or stated.contradictions(entry.table, row, written)
    work.entries = [e for e in work.entries if e.place != place]
    mine: list[Kept] = []
    if faults:
        mine = [Kept(*place, c, written.get(c, ""), "", WAITING, a) for c, a in chosen.items()]
        work.entries += entries_of(place, faults, written, entry.context, entry.raw)
    else:
        for statement in statements_of(target, read, seen.known):
            at = (*place[:3], statement.table)
            mine += kept_row(at, statement.cells, written, chosen)
        mine += kept_beside(place, read, written, chosen)
        mine = with_already(mine, seen.tables, [k for k in before if k.file == entry.file])
        work.loaded += mine
        stated.add(entry.table, row, f"row {entry.row} of {entry.file}")
    work.kept = [*(k for k in before if k.place != place), *mine]
    work.left[place] = tuple(f"{f.column}: {f.why}" for f in faults)


def _taken_as(target: Target, entry: Entry, name: str, choice: int) -> str:
    """What a choice makes of an entry's cell. Raises RecordsError."""
    offers = dict(enumerate(entry.suggestions, 1))
    if may_be_unknown(target, entry.column):
        offers[NOT_KNOWN] = "?"
    if choice not in offers:
        there = "; ".join(f"{n} = {s}" for n, s in sorted(offers.items())) or "It has none"
        raise RecordsError(f"entry {name} has no suggestion {choice}. {there}")
    return offers[choice]
