"""Taking a member's sheet into the records: rows loaded, rows quarantined, none lost; again and again."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from pathlib import Path

import msgspec
from msgspec.structs import asdict
from msgspec.structs import replace as replaced

from knockon.graph.mapping import Mapping, MappingError, Target
from knockon.graph.mapping.belonging import is_unknown_heading, misplaced
from knockon.graph.mapping.carried import carried_down
from knockon.graph.mapping.cells_read import Fault, Known, ReadAs
from knockon.graph.mapping.model import BESIDE
from knockon.graph.mapping.propose import Proposal, best_target, propose, said_where_it_can_be
from knockon.graph.mapping.rows import is_of_worn, read_row
from knockon.graph.mapping.several_tables import tables_apart
from knockon.graph.mapping.statements import statements_of
from knockon.graph.quarantine import Entry, Kept, read_book
from knockon.graph.sheets import Head, Sheet, SheetError, StoredNumber, find_head, is_data
from knockon.queries.answers import Answer
from knockon.queries.intake.sheets.folder import Folder, open_folder
from knockon.queries.intake.sheets.keeping import Place, entries_of, kept_beside, kept_row
from knockon.queries.intake.sheets.prices import currencies_in, other_currency
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
WHOLE_ROW = ""
"""The column of a fault that is of no one cell."""
NOW_AND_THEN = 100
"""Rows after which progress is told."""


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
    """What came of an import. ``rows`` = ``loaded`` + ``quarantined``; ``passed_over`` are no data, by why;
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


def propose_mappings(
    folder: Folder, sheets: Sequence[Sheet], table: str, fixed: tuple[tuple[str, str], ...]
) -> tuple[Proposal, ...]:
    """A proposal for each table of the sheets; ``table`` empty: that whose columns are most alike.

    Sheets without a row of headers are left out. Raises MappingError, or SheetError where none has one.
    """
    if table and table not in folder.targets:
        raise MappingError(f"there is no record table {table!r}. The tables are {', '.join(folder.targets)}")
    found, without = [], []
    target = folder.targets.get(table)
    for sheet in tables_apart(sheets, folder.targets.values()):
        try:
            head = find_head(sheet, folder.whole_titles)
        except SheetError as error:
            without.append(error)
            continue
        found.append(
            propose(sheet.name, head, target, fixed) if target else best_target(sheet.name, head, folder.targets, fixed)
        )
    if not found:
        raise without[0]
    return said_where_it_can_be(found, folder.targets)


def check_mapping(folder: Folder, mapping: Mapping) -> Target:
    """The table that a mapping leads to. Raises MappingError where it cannot be used."""
    target = folder.targets.get(mapping.table)
    if target is None:
        raise MappingError(f"the mapping names the table {mapping.table!r}, which does not exist")
    columns = {c.name for c in target.columns}
    named = [*(c.name for c in mapping.columns if c.name), *(n for n, _ in mapping.fixed)]
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
    if source and mapping.table != "sources" and source not in folder.known.keys.get("sources", ()):
        raise MappingError(f"there is no source {source!r}. Write it into sources.csv first, with its standing")
    return target


class _Batch(msgspec.Struct):
    """What the sheets of one file come to, before anything is written."""

    kept: list[Kept]
    entries: list[Entry]
    passed: Counter[str]
    taken: Taken
    remarks: list[str] = msgspec.field(default_factory=list)
    rows: int = 0
    loaded: int = 0
    currencies: set[str] = msgspec.field(default_factory=set)


def import_sheets(
    folder: Path,
    file: str,
    sheets: Sequence[Sheet],
    mappings: Sequence[Mapping],
    *,
    dry_run: bool = False,
    replace: bool = False,
    progress: Progress = unseen,
) -> ImportAnswer:
    """Take the mapped sheets in. Raises MappingError or RecordsError, and then nothing was changed.

    What an earlier import of a file of this name wrote and this one does not is taken out of the tables again; it is
    the same sheet if some row is from the same source, or if the caller says so by ``replace``.
    """
    put_in_place(folder)
    work, waiting = written_when_settled(
        folder,
        lambda: _worked_out(folder, file, sheets, mappings, replace, progress),
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
    folder: Path, file: str, sheets: Sequence[Sheet], mappings: Sequence[Mapping], replace: bool, progress: Progress
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
    batch = _Batch(kept=[], entries=[], passed=Counter(), taken=Taken(seen.targets, seen.tables, own))
    batch.currencies |= currencies_in(k for k in before if k.file != file)
    whole, done = sum(len(by_name[m.sheet].rows) for m in mappings), 0
    for mapping in mappings:
        for row in _read_sheet(seen, mapping, by_name[mapping.sheet], choices, batch):
            progress(done + row, whole)
        done += len(by_name[mapping.sheet].rows)
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
    for sheet in (s for s in sheets if s.name not in mapped):
        filled = sum(1 for _, cells in sheet.rows if any(cells))
        batch.passed["in a sheet or table that is not mapped"] += len(sheet.rows)
        remarks.append(f"sheet {sheet.name!r} is not mapped, so its {filled} rows are skipped")
    answer = ImportAnswer(
        file=file,
        rows=batch.rows,
        loaded=batch.loaded,
        quarantined=batch.rows - batch.loaded,
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


def _read_sheet(
    seen: Folder,
    mapping: Mapping,
    sheet: Sheet,
    choices: Choices,
    batch: _Batch,
) -> Iterator[int]:
    """Read a sheet into the batch; gives how many of its rows have been gone through, now and then."""
    target, head = check_mapping(seen, mapping), find_head(sheet, seen.whole_titles)
    where = _places(mapping, list(head.titles))
    batch.remarks += _unread(set(where.values()), sheet, head)
    how = {
        c.name: ReadAs(c.unit, c.decimal_comma, mapping.driver, is_of_worn(c.title)) for c in mapping.columns if c.name
    }
    heads = tuple(cells for number, cells in sheet.rows if head.first <= number <= head.last)
    heading, above = 0, dict[str, str]()
    for count, (number, cells) in enumerate(sheet.rows):
        if count % NOW_AND_THEN == 0:
            yield count
        if number <= head.last:
            continue
        own, carried = carried_down(target, where, cells, above)
        written = dict(mapping.fixed) | own
        row = (sheet.file, sheet.name, number, mapping.table)
        fault = sheet.faulty.get(number, "") or (_too_many_cells(heads, cells) if sheet.delimiter else "")
        if heading and not is_data(head, heads, cells):
            fault = fault or f"it is below row {heading}, which looks like a heading that was not understood"
        if fault:  # which cell belongs to which column is not known
            batch.rows += 1
            whole = (Fault(WHOLE_ROW, (sheet.delimiter or " | ").join(cells), fault),)
            cells_by_column = {} if number in sheet.faulty else written
            batch.entries += entries_of(
                row, whole, cells_by_column, _context(how, {}), json.dumps(cells, ensure_ascii=False)
            )
            continue
        why = is_data(head, heads, cells)
        if why:
            batch.passed[why] += 1
            above = {}
            continue
        above = own
        if _read_one(seen.known, target, _Row(row, cells, written, carried), how, choices, batch):
            heading = number


def _places(mapping: Mapping, titles: list[str]) -> dict[str, int]:
    """Where each mapped column stands in a sheet of these titles. Raises MappingError."""
    where: dict[str, int] = {}
    for column in (c for c in mapping.columns if c.name):
        place = column.place(titles)
        if place is None:
            there = ", ".join(t for t in titles if t)
            named = " or ".join(map(repr, (column.title, *column.also)))
            raise MappingError(f"the sheet has no column {named}. Its columns are {there}")
        where[column.name] = place
    return where


def _too_many_cells(heads: Sequence[tuple[str, ...]], cells: tuple[str, ...]) -> str:
    """Why a row of a text file may have its cells in the wrong columns: it has more than the head, or nothing."""
    most, here = max(map(len, heads), default=0), len(cells)
    while here > most and not cells[here - 1]:
        here -= 1
    if here <= most:
        return ""
    return f"{here} cells, and the header has {most}. Put a cell that holds a comma in quotation marks"


def _unread(read: set[int], sheet: Sheet, head: Head) -> Iterable[str]:
    """Columns of the sheet that stand elsewhere than at ``read``, and how many cells they hold."""
    for place, title in enumerate(head.titles):
        cells = sum(1 for n, row in sheet.rows if n > head.last and place < len(row) and row[place])
        twin = title in head.titles[:place]
        if cells and place not in read:
            which = (
                f"the second column {title!r}" if twin else f"column {title!r}" if title else "a column without title"
            )
            yield f"{which} is not mapped, so its {cells} cells are skipped"


def _context(how: dict[str, ReadAs], written: dict[str, str]) -> str:
    """How the cells of a row are to be read once more, as JSON: a workbook's own number has a decimal point."""
    read_as = {
        n: replaced(h, decimal_comma=False) if isinstance(written.get(n), StoredNumber) else h for n, h in how.items()
    }
    return json.dumps({n: asdict(h) for n, h in read_as.items()}, sort_keys=True)


class _Row(msgspec.Struct, frozen=True):
    """A row of a sheet: where it stands, its cells, those of the mapped columns by name, and flags of cells that are
    carried down from above."""

    place: Place
    cells: tuple[str, ...]
    written: dict[str, str]
    carried: dict[str, str]


def _read_one(known: Known, target: Target, one: _Row, how: dict[str, ReadAs], choices: Choices, batch: _Batch) -> bool:
    """Read one row into the batch; gives whether it looks like a heading."""
    place, written, carried = one.place, one.written, one.carried
    batch.rows += 1
    chosen = {n: choices.of(place, written, n) for n in written}
    read, faults = read_row(target, written, how, known, chosen)
    read = {n: replaced(cell, flags=(*cell.flags, carried[n])) if n in carried else cell for n, cell in read.items()}
    row = {n: cell.text for n, cell in read.items() if n not in BESIDE}
    faults = faults or other_currency(read, batch.currencies)
    faults = faults or (() if chosen.get("feature") else misplaced(target, read, known))
    faults = faults or batch.taken.contradictions(place[3], row, written)
    if not faults:
        batch.taken.add(place[3], row, f"row {place[2]} of the sheet")
        batch.loaded += 1
        for statement in statements_of(target, read, known):
            at = (*place[:3], statement.table)
            batch.kept += kept_row(at, statement.cells, written, chosen)
        batch.kept += kept_beside(place, read, written, chosen)
    else:
        batch.kept += [Kept(*place, n, written[n], "", WAITING, c) for n, c in chosen.items() if c]
    if faults:
        raw = json.dumps(one.cells, ensure_ascii=False)
        batch.entries += entries_of(place, faults, written, _context(how, written), raw)
    return not carried and is_unknown_heading(target, written, faults)
