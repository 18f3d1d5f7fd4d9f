"""The quarantine: what was not loaded, what hangs on it, and loading a row as a person says that it is meant."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from knockon.graph.catalogue import Catalogue
from knockon.graph.exchange.atomic import sole_writer
from knockon.graph.mapping import Target, targets
from knockon.graph.mapping.belonging import misplaced
from knockon.graph.mapping.rows import ReadAs, read_row
from knockon.graph.mapping.statements import statements_of
from knockon.graph.quarantine import Entry, Kept, read_book
from knockon.graph.quarantine.together import finish
from knockon.graph.records import RecordsError
from knockon.queries import imports
from knockon.queries.answers import SHORT_CAUTIONS
from knockon.queries.asked_swaps import asked_swaps
from knockon.queries.import_folder import open_folder
from knockon.queries.import_prices import currencies_in, other_currency
from knockon.queries.import_tables import WAITING, Taken, table_changes, with_already
from knockon.queries.waiting import Hangs, Waiting

NOT_KNOWN = 0
"""The choice that takes a row with the cell as not known."""


@dataclass(frozen=True, slots=True)
class RestOfRow:
    """A cell of a row in quarantine with which nothing is wrong; it waits all the same."""

    column: str
    written: str


@dataclass(frozen=True, slots=True)
class Listed:
    """One entry of the quarantine by its number, from 1, and the answers that hang on it.

    ``rest``: the cells of its row that were read, and that wait with it. ``may_be_unknown``: the row can be taken
    with this cell as not known, by the choice 0.
    """

    number: int
    entry: Entry
    hangs: tuple[Waiting, ...]
    rest: tuple[RestOfRow, ...] = ()
    may_be_unknown: bool = False


@dataclass(frozen=True, slots=True)
class Accepted:
    """What came of a choice: whether the row is loaded now, and what is still wrong with it."""

    row: int
    column: str
    written: str
    chosen: str
    loaded: bool
    left: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class QuarantineAnswer:
    """All entries of a records folder's quarantine, how many rows they belong to, and the choices just made."""

    rows: int
    entries: tuple[Listed, ...]
    accepted: tuple[Accepted, ...] = ()
    cautions: tuple[str, ...] = SHORT_CAUTIONS


def list_quarantine(
    folder: Path, catalogue: Catalogue, accepted: Sequence[Accepted] = (), progress: imports.Progress = imports.unseen
) -> QuarantineAnswer:
    """The quarantine of a records folder. Raises RecordsError.

    Cost: the checks that would read each size in it, and a plan for each of the first few swaps that the records
    suggest.
    """
    entries = read_book(folder)
    hangs = Hangs(catalogue, asked_swaps(catalogue).planned if entries else ())
    known, found = targets(catalogue.vocabulary), []
    bad: dict[imports.Place, set[str]] = defaultdict(set)
    for entry in entries:
        bad[entry.place].add(entry.column)
    for number, entry in enumerate(entries, 1):
        target = known.get(entry.table)
        written = _row_of(entry)[0]
        columns = [c.name for c in target.columns] if target else list(written)
        own = bad[entry.place]
        if imports.WHOLE_ROW in own:  # which cell is which is not known
            columns = []
        rest = tuple(RestOfRow(c, written[c]) for c in columns if written.get(c) and c not in own)
        found.append(Listed(number, entry, hangs.on(entry), rest, _may_be_unknown(target, entry.column)))
        if number % imports.NOW_AND_THEN == 0:
            progress(number, len(entries))
    return QuarantineAnswer(len({e.place for e in entries}), tuple(found), tuple(accepted))


def accept_all(folder: Path, choices: Sequence[tuple[int, int]]) -> tuple[Accepted, ...]:
    """Apply several choices, as (entry, suggestion); numbers are those of the list before the first.

    Raises RecordsError before any is applied where one is no choice of its entry, or an entry has two; else at the
    first that another program made impossible meanwhile, and those before it stand.
    """
    entries = read_book(folder)
    wanted = [(_chosen(folder, entries, n), choice) for n, choice in choices]
    if len(choices) > 1:
        known = open_folder(folder).targets
        for number, choice in choices:
            if sum(1 for n, _ in choices if n == number) > 1:
                raise RecordsError(f"entry {number} is given more than one choice; nothing was changed")
            entry = entries[number - 1]
            if entry.table in known:
                _taken_as(known[entry.table], entry, number, choice)
    done = []
    for entry, choice in wanted:
        now = read_book(folder)
        same = [n for n, e in enumerate(now, 1) if (e.place, e.column) == (entry.place, entry.column)]
        if not same:
            raise RecordsError(f"row {entry.row}, {entry.column}: it is no longer in the quarantine")
        done.append(accept(folder, same[0], choice))
    return tuple(done)


def accept(folder: Path, number: int, choice: int) -> Accepted:
    """Apply suggestion ``choice`` (from 1) of entry ``number``; the row is loaded once nothing is wrong with it.

    The choice 0 takes a size as not known (``?``), so that the rest of its row need not wait and no claim stands in
    for it; what names the row (part, feature, source), and a cell of a plain table, cannot be left so.

    The choice is kept in ``imported.csv``, so that a later import of the same sheet makes it again. A row that still
    has another fault stays in the quarantine with the choice made. Raises RecordsError; nothing was changed then.
    """
    with sole_writer(folder):
        finish(folder)
        entries = read_book(folder)
        entry = _chosen(folder, entries, number)
        seen = open_folder(folder)
        target = seen.targets.get(entry.table)
        if target is None:
            raise RecordsError(f"there is no record table {entry.table!r} any more")
        taken = _taken_as(target, entry, number, choice)
        written, how = _row_of(entry)
        before = seen.kept
        chosen = {k.column: k.accepted for k in before if k.place == entry.place and k.accepted}
        chosen[entry.column] = taken
        read, faults = read_row(target, written | chosen, how, seen.known)
        own = [k for k in before if k.file == entry.file]
        row = {n: cell.text for n, cell in read.items()}
        faults = faults or other_currency(read, currencies_in(k for k in before if k.place != entry.place))
        faults = faults or (() if chosen.get("feature") else misplaced(target, read, seen.known))
        faults = faults or Taken(seen.targets, seen.tables, []).contradictions(entry.table, row, written)
        others = [e for e in entries if e.place != entry.place]
        if faults:
            mine = [Kept(*entry.place, c, written.get(c, ""), "", WAITING, a) for c, a in chosen.items()]
            others += imports.entries_of(entry.place, faults, written, entry.context, entry.raw)
        else:
            mine = []
            for statement in statements_of(target, read, seen.known):
                place = (*entry.place[:3], statement.table)
                mine += imports.kept_row(place, statement.cells, written, chosen)
            mine += imports.kept_beside(entry.place, read, written, chosen)
            mine = with_already(mine, seen.tables, own)
        kept = [*(k for k in before if k.place != entry.place), *mine]
        changes = table_changes(folder, seen.targets, [], [] if faults else mine)
        imports.write_import(folder, changes, others, kept)
    left = tuple(f"{f.column}: {f.why}" for f in faults)
    return Accepted(entry.row, entry.column, entry.written, chosen[entry.column], not faults, left)


def _chosen(folder: Path, entries: tuple[Entry, ...], number: int) -> Entry:
    if not 1 <= number <= len(entries):
        raise RecordsError(f"{folder}: the quarantine has {len(entries)} entries, none of number {number}")
    return entries[number - 1]


def _may_be_unknown(target: Target | None, column: str) -> bool:
    """Whether a cell may be taken as not known: the sizes of a feature, not what says whose it is."""
    return target is not None and target.shape.is_kind and any(c.name == column for c in target.shape.columns)


def _taken_as(target: Target, entry: Entry, number: int, choice: int) -> str:
    """What a choice makes of an entry's cell. Raises RecordsError."""
    offers = dict(enumerate(entry.suggestions, 1))
    if _may_be_unknown(target, entry.column):
        offers[NOT_KNOWN] = "?"
    if choice not in offers:
        there = "; ".join(f"{n} = {s}" for n, s in sorted(offers.items())) or "it has none"
        raise RecordsError(f"entry {number} has no suggestion {choice}: {there}")
    return offers[choice]


def _row_of(entry: Entry) -> tuple[dict[str, str], dict[str, ReadAs]]:
    """The raw cells of an entry's row and how they are read. Raises RecordsError where they were tampered with."""
    try:
        cells, context = json.loads(entry.cells), json.loads(entry.context)
        return {str(k): str(v) for k, v in cells.items()}, {str(k): ReadAs(**v) for k, v in context.items()}
    except (ValueError, TypeError, AttributeError) as error:
        raise RecordsError(f"the quarantine's entry of row {entry.row} cannot be read: {error}") from error
