"""Taking a member's sheet into the records: rows loaded, rows quarantined, none lost; again and again."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Collection, Sequence
from pathlib import Path

import msgspec
from msgspec.structs import replace as replaced

from knockon.graph.mapping import Mapping, MappingError, Target
from knockon.graph.mapping.flat import propose_flat
from knockon.graph.mapping.propose import Proposal, best_target, propose, said_where_it_can_be, table_meant
from knockon.graph.mapping.several_tables import tables_apart
from knockon.graph.quarantine import Entry, Kept, read_book
from knockon.graph.sheets import Head, Sheet, SheetError, find_head
from knockon.queries.answers import Answer
from knockon.queries.intake.sheets.folder import Folder, open_folder
from knockon.queries.intake.sheets.prices import currencies_in
from knockon.queries.intake.sheets.reading import Batch, Reading
from knockon.queries.intake.sheets.seen import Seen
from knockon.queries.intake.sheets.sizes import Contradicted, contradicted_sizes
from knockon.queries.intake.sheets.tables import (
    WAITING,
    Change,
    Choices,
    Taken,
    table_changes,
    told_as_altered,
    with_already,
    without_rows,
)
from knockon.queries.intake.sheets.writing import put_in_place, write_import, written_when_settled

Progress = Callable[[int, int], None]
"""Is told how many rows have been read, and of how many."""


def unseen(done: int, whole: int) -> None:
    """Progress that nobody looks at."""


class Changed(msgspec.Struct, frozen=True):
    """A row of a record table that an import wrote or took out, as its cells in the table's order."""

    table: str
    cells: tuple[str, ...]


class Altered(msgspec.Struct, frozen=True):
    """A row of a record table that an import wrote otherwise than before: what it is about stays, its cells do not."""

    table: str
    before: tuple[str, ...]
    after: tuple[str, ...]


class ImportAnswer(Answer, frozen=True):
    """What came of an import. ``rows`` = ``loaded`` + ``quarantined``; ``partly``: of these so many are rows of a flat
    sheet whose good cells are loaded while bad ones wait. ``passed_over`` are no data, by why;
    ``contradicted`` are sizes that loaded rows state otherwise than another row: all of them are kept. Rows of the
    tables are ``added``, ``removed`` or ``altered``, each in one of the three, or ``unchanged``."""

    file: str
    rows: int
    loaded: int
    quarantined: int
    passed_over: tuple[tuple[str, int], ...]
    flagged: int
    added: tuple[Changed, ...]
    removed: tuple[Changed, ...]
    unchanged: int
    remarks: tuple[str, ...]
    entries: tuple[Entry, ...]
    contradicted: tuple[Contradicted, ...] = ()
    altered: tuple[Altered, ...] = ()
    partly: int = 0


def propose_mappings(
    folder: Folder, sheets: Sequence[Sheet], table: str, fixed: tuple[tuple[str, str], ...]
) -> tuple[Proposal, ...]:
    """A proposal for each table of the sheets; ``table``, by its name or as the trade calls what it is of; empty: that
    whose columns are most alike.

    Sheets without a row of headers are left out. Raises UnknownNameError, or SheetError where none has one.
    """
    found, without = [], []
    target = folder.targets[table_meant(table, folder.targets)] if table else None
    for sheet in tables_apart(sheets, folder.targets.values()):
        try:
            head = find_head(sheet, folder.whole_titles)
        except SheetError as error:
            without.append(error)
            continue
        if target:
            found.append(propose(sheet.name, head, target, fixed))
            continue
        flat = _flat(folder, sheet, head, fixed)
        found += flat or [best_target(sheet.name, head, folder.targets, fixed)]
    if not found:
        raise without[0]
    return said_where_it_can_be(found, folder.targets)


def _flat(folder: Folder, sheet: Sheet, head: Head, fixed: tuple[tuple[str, str], ...]) -> list[Proposal]:
    """The mappings of a sheet that holds the sizes of several features side by side; none where it does not."""
    if any(name == "feature" for name, _ in fixed):
        return []
    types = {number: row.get("part type", "") for number, row in folder.known.rows.get("parts", {}).items()}
    labels = dict.fromkeys(sorted(folder.known.terms["PartType"]), ()) | dict(folder.known.others["PartType"])
    return list(propose_flat(sheet, head, folder.targets, folder.features(), types, labels, fixed))


def check_mapping(folder: Folder, mapping: Mapping, brought: Collection[str] = ()) -> Target:
    """The table that a mapping leads to. ``brought``: the tables that its file fills. Raises MappingError where it
    cannot be used."""
    target = folder.targets.get(mapping.table)
    if target is None:
        raise MappingError(f"the mapping names the table {mapping.table!r}, which does not exist")
    columns = {c.name for c in target.columns}
    named = [*(n for c in mapping.columns for n in c.names), *(n for n, _ in mapping.fixed)]
    strange = [n for n in named if n not in columns]
    if strange:
        raise MappingError(
            f"{mapping.table} has no column {strange[0]!r}. Its columns are {', '.join(sorted(columns))}"
        )
    twice = [n for n, count in Counter(named).items() if count > 1]
    if twice:
        raise MappingError(f"two columns are mapped to {twice[0]!r}. Keep one of them")
    lacking = [n for n in target.required if n not in named]
    if lacking:
        raise MappingError(f"nothing is mapped to {', '.join(map(repr, lacking))}, which {mapping.table} needs")
    source = dict(mapping.fixed).get("source")
    if source and "sources" not in {mapping.table, *brought} and source not in folder.known.keys.get("sources", ()):
        raise MappingError(f"there is no source {source!r}. Write it into sources.csv first, with its standing")
    return target


def import_sheets(
    folder: Path,
    file: str,
    sheets: Sequence[Sheet],
    mappings: Sequence[Mapping],
    *,
    dry_run: bool = False,
    replace: bool = False,
    progress: Progress = unseen,
    told: Collection[str] = (),
) -> ImportAnswer:
    """Take the mapped sheets in. Raises MappingError or RecordsError, and then nothing was changed.

    What an earlier import of a file of this name wrote and this one does not is taken out of the tables again; it is
    the same sheet if some row is from the same source, or if the caller says so by ``replace``. Of sheets that are
    ``told`` the caller says why they are not mapped.
    """
    put_in_place(folder)
    work, waiting = written_when_settled(
        folder,
        lambda: _worked_out(folder, file, sheets, mappings, replace, progress, told),
        lambda work: "" if dry_run else write_import(folder, work.changes, work.entries, work.kept),
    )
    return with_remark(work.answer, waiting)


def with_remark(answer: ImportAnswer, remark: str) -> ImportAnswer:
    """The answer with something more to say of what was imported; blank: nothing."""
    return replaced(answer, remarks=(*answer.remarks, remark)) if remark else answer


class _Import(msgspec.Struct, frozen=True):
    """An import worked out: the answer, and what is to be written."""

    answer: ImportAnswer
    changes: Sequence[Change]
    entries: Sequence[Entry]
    kept: Sequence[Kept]


def _worked_out(
    folder: Path,
    file: str,
    sheets: Sequence[Sheet],
    mappings: Sequence[Mapping],
    replace: bool,
    progress: Progress,
    told: Collection[str],
) -> _Import:
    seen = open_folder(folder)
    sheets = tables_apart(sheets, seen.targets.values())
    by_name = {s.name: s for s in sheets}
    missing = [m.sheet for m in mappings if m.sheet not in by_name]
    if missing:
        there = ", ".join(map(repr, by_name))
        raise MappingError(
            f"{file} has no sheet {missing[0]!r}, which its mapping names. Its sheets are {there}. Write the new name"
            " into the mapping, or remove the mapping and have one proposed"
        )
    before = seen.kept
    book = read_book(folder)
    choices = Choices(before, book)
    own = [k for k in before if k.file == file]
    batch = Batch(kept=[], entries=[], passed=Counter(), taken=Taken(seen.targets, seen.tables, own))
    batch.currencies |= currencies_in(k for k in before if k.file != file)
    whole = sum(len(by_name[m.sheet].rows) for m in mappings)
    for mapping in mappings:
        check_mapping(seen, mapping, {m.table for m in mappings})
    known = Seen(seen.known, {m.table for m in mappings}, seen.targets, own)
    for done in Reading(seen, by_name, mappings, own, choices, known).read(batch):
        progress(done, whole)
    if not replace:
        _check_same_sheet(file, own, batch.kept)
    others = [k for k in before if k.file != file]
    loaded = with_already(batch.kept, seen.tables, own)
    changes = table_changes(folder, seen.targets, own, loaded, others)
    entries = [e for e in book if e.file != file] + batch.entries
    pairs = [told_as_altered(c, seen.targets) for c in changes]
    mapped = {m.sheet for m in mappings}
    remarks = [r for s in sheets if s.name in mapped for r in s.remarks]
    remarks += batch.remarks
    for (table, why), number in sorted(batch.alone.items()):
        remarks.append(f"{number} row{'s' * (number > 1)} with {why}: nothing of it goes to {table}")
    for sheet in (s for s in sheets if s.name not in mapped):
        filled = sum(1 for _, cells in sheet.rows if any(cells))
        batch.passed["in a sheet or table that is not mapped"] += len(sheet.rows)
        rows = "1 row is" if filled == 1 else f"{filled} rows are"
        if sheet.name not in told:
            remarks.append(f"sheet {sheet.name!r} is not mapped, so its {rows} skipped")
    answer = ImportAnswer(
        file=file,
        rows=len(batch.rows),
        loaded=len(batch.rows - batch.waiting),
        quarantined=len(batch.waiting),
        partly=len(batch.partly),
        passed_over=tuple(sorted(batch.passed.items())),
        flagged=len({k.place[:3] for k in batch.kept if k.flags and k.flags != WAITING}),
        added=tuple(Changed(c.table, r) for c in pairs for r in c.added),
        removed=tuple(Changed(c.table, r) for c in pairs for r in c.removed),
        altered=tuple(Altered(c.table, *pair) for c in pairs for pair in c.altered),
        unchanged=sum(c.unchanged for c in changes),
        remarks=tuple(remarks),
        entries=tuple(sorted(batch.entries)),
        contradicted=contradicted_sizes(loaded, without_rows(seen.tables, changes), seen.targets),
    )
    return _Import(answer, changes, entries, others + loaded)


def _check_same_sheet(file: str, before: Sequence[Kept], now: Sequence[Kept]) -> None:
    """Refuse a sheet that has the name of another member's: it would put that one's rows out."""
    old, new = (
        {k.written for k in kept if k.column == "source" and k.read and k.table != "sources"} for kept in (before, now)
    )  # as the sheet says: what stands as worn has a source of its own
    if old and new and not old & new:
        raise MappingError(
            f"a sheet {file!r} from {', '.join(sorted(old))} was imported before, and this one is from"
            f" {', '.join(sorted(new))}. Give it another name, or use --replace if it is the same sheet"
        )
