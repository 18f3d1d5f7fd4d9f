"""The rows of a sheet, read one by one into what an import will write."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from collections.abc import Mapping as SaidMap

import msgspec
from msgspec.structs import asdict
from msgspec.structs import replace as replaced

from knockon.graph.mapping import Mapping, MappingError, Target
from knockon.graph.mapping.belonging import is_unknown_heading, misplaced
from knockon.graph.mapping.carried import carried_down
from knockon.graph.mapping.cells_read import Fault, Known, Read, ReadAs
from knockon.graph.mapping.flat import SHARED
from knockon.graph.mapping.model import BESIDE, row_table
from knockon.graph.mapping.rows import is_of_worn, read_row
from knockon.graph.mapping.statements import record_table, statements_of
from knockon.graph.quarantine import Entry, Kept
from knockon.graph.sheets import Head, Sheet, StoredNumber, find_head, is_data
from knockon.queries.intake.sheets.folder import Folder, names_of_row
from knockon.queries.intake.sheets.keeping import Place, entries_of, kept_beside, kept_row
from knockon.queries.intake.sheets.order import in_order, within
from knockon.queries.intake.sheets.prices import other_currency
from knockon.queries.intake.sheets.seen import PARTS, Seen, SheetRow
from knockon.queries.intake.sheets.tables import WAITING, Choices, Taken, records_of

WHOLE_ROW = ""
"""The column of a fault that is of no one cell."""
NOW_AND_THEN = 100
"""Rows after which progress is told."""
WAITS = "waits in the quarantine, and counts as not known until then"
"""The flag of a bad cell in a row whose good cells are loaded."""


Line = tuple[str, int]
"""A row of a sheet: the sheet's name, and the row's number there."""


class Batch(msgspec.Struct):
    """What the sheets of one file come to, before anything is written."""

    kept: list[Kept]
    entries: list[Entry]
    passed: Counter[str]
    taken: Taken
    remarks: list[str] = msgspec.field(default_factory=list)
    rows: set[Line] = msgspec.field(default_factory=set)
    waiting: set[Line] = msgspec.field(default_factory=set)
    """The rows of the sheets that are data, and those of them of which a cell waits."""
    idle: set[Line] = msgspec.field(default_factory=set)
    """The rows that are no data: a flat sheet's are gone through once for each of its tables."""
    alone: Counter[tuple[str, str]] = msgspec.field(default_factory=Counter)
    """Rows of a flat sheet that lack what one of its tables needs, by the table and why."""
    currencies: set[str] = msgspec.field(default_factory=set)

    @property
    def partly(self) -> set[Line]:
        """The rows of which a cell waits while others are loaded."""
        return self.waiting & {(k.sheet, k.row) for k in self.kept if k.flags != WAITING}

    def pass_over(self, line: Line, why: str) -> None:
        """Count a row that is no data, once."""
        self.passed[why] += line not in self.idle
        self.idle.add(line)


class Reading(msgspec.Struct, frozen=True):
    """The tables of one file, to be read: by which mappings, after what was imported of it before (``own``)."""

    folder: Folder
    sheets: SaidMap[str, Sheet]
    mappings: Sequence[Mapping]
    own: Sequence[Kept]
    choices: Choices
    seen: Seen

    def read(self, batch: Batch) -> Iterator[int]:
        """Read all into the batch, first what others refer to; gives how many rows have been gone through, now and
        then. Raises MappingError."""
        done = 0
        for group in in_order(self.mappings, self.folder.targets):
            tables = {m.table for m in group}
            if any(within(m, self.folder.targets, tables) for m in group):
                self.seen.suppose(self._coming(group, tables))
            for mapping in group:
                yield from (done + row for row in self._read(mapping, batch))
                done += len(self.sheets[mapping.sheet].rows)
            self.seen.settle()

    def _read(
        self, mapping: Mapping, batch: Batch, seen: Seen | None = None, but: Collection[str] = ()
    ) -> Iterator[int]:
        beside = [m for m in self.mappings if m.sheet == mapping.sheet]
        columns = tuple(c for c in mapping.columns if c.name not in but)
        plain = replaced(mapping, columns=columns) if but else mapping
        target, sheet = self.folder.targets[mapping.table], self.sheets[mapping.sheet]
        return read_sheet(self.folder, seen or self.seen, target, plain, beside, sheet, self.choices, batch)

    def _coming(self, group: Sequence[Mapping], tables: Collection[str]) -> dict[str, dict[str, SheetRow]]:
        """The rows that a group of tables brings which name each other: those that can be loaded if the others are.

        First without the cells by which they name each other; then with these, until no row falls out any more.
        """
        targets = self.folder.targets
        but = {name for m in group for name, _ in within(m, targets, tables) if name not in targets[m.table].required}
        coming = self._tried(group, but, {})
        while True:
            tried = self._tried(group, (), coming)
            left = {t: {n: r for n, r in tried.get(t, {}).items() if n in rows} for t, rows in coming.items()}
            if {t: {*rows} for t, rows in left.items()} == {t: {*rows} for t, rows in coming.items()}:
                return coming
            coming = left

    def _tried(
        self, group: Sequence[Mapping], but: Collection[str], coming: dict[str, dict[str, SheetRow]]
    ) -> dict[str, dict[str, SheetRow]]:
        """The rows of plain tables that are loaded if those that are coming are known, by table and name."""
        folder = self.folder
        batch = Batch(kept=[], entries=[], passed=Counter(), taken=Taken(folder.targets, folder.tables, self.own))
        seen = self.seen.alike()
        seen.suppose(coming)
        for mapping in group:
            for _ in self._read(mapping, batch, seen, but):
                pass
        found: dict[str, dict[str, SheetRow]] = {}
        for table, rows in records_of(batch.kept).items():
            if not folder.targets[table].shape.is_kind:
                named = found.setdefault(table, {})
                named |= {n: row for row in rows for n in names_of_row(folder.targets[table], row) if n}
        return found


def read_sheet(
    folder: Folder,
    seen: Seen,
    target: Target,
    mapping: Mapping,
    beside: Sequence[Mapping],
    sheet: Sheet,
    choices: Choices,
    batch: Batch,
) -> Iterator[int]:
    """Read a sheet into the batch by one of its mappings; gives how many rows have been gone through, now and then.

    ``beside``: all mappings of this sheet. With several it is flat: a row makes a row of each table for which it has a
    cell. Raises MappingError.
    """
    head, flat = find_head(sheet, folder.whole_titles), len(beside) > 1
    where, table = _places(mapping, list(head.titles)), row_table(mapping, beside)
    if mapping == beside[0]:
        read = {place for m in beside for place in _places(m, list(head.titles)).values()}
        batch.remarks += _unread(read, sheet, head)
    how = {
        name: ReadAs(c.unit, c.decimal_comma, mapping.driver, is_of_worn(c.title))
        for c in mapping.columns
        for name in c.names
    }
    heads = tuple(cells for number, cells in sheet.rows if head.first <= number <= head.last)
    heading, above = 0, dict[str, str]()
    for count, (number, cells) in enumerate(sheet.rows):
        if count % NOW_AND_THEN == 0:
            yield count
        if number <= head.last:
            continue
        own, carried = carried_down(target, where, cells, above)
        one = _Row((sheet.file, sheet.name, number, table), cells, dict(mapping.fixed) | own, carried, flat)
        no_data = is_data(head, heads, cells)
        fault = _whole_fault(sheet, heads, number, cells, 0 if no_data else heading)
        if fault:  # which cell belongs to which column is not known
            _wait_whole(one, Fault(WHOLE_ROW, (sheet.delimiter or " | ").join(cells), fault), sheet, how, batch)
        elif no_data:
            batch.pass_over(one.line, no_data)
            above = {}
        else:
            above = own
            batch.rows.add(one.line)
            if flat and not _makes_a_row(target, mapping, own, one.written, batch):
                continue
            if _read_one(seen, target, one, how, choices, batch):
                heading = number


def _whole_fault(
    sheet: Sheet, heads: Sequence[tuple[str, ...]], number: int, cells: tuple[str, ...], heading: int
) -> str:
    """What is wrong with a row as a whole; blank where nothing is."""
    fault = sheet.faulty.get(number, "") or (_too_many_cells(heads, cells) if sheet.delimiter else "")
    below = f"it is below row {heading}, which looks like a heading that was not understood" if heading else ""
    return fault or below


def _wait_whole(one: _Row, fault: Fault, sheet: Sheet, how: dict[str, ReadAs], batch: Batch) -> None:
    """Put a row into the quarantine; a flat sheet's once, not once for each of its tables."""
    if not one.flat or one.line not in batch.waiting:
        cells = {} if one.place[2] in sheet.faulty else one.written
        raw = json.dumps(one.cells, ensure_ascii=False)
        batch.entries += entries_of(one.place, (fault,), cells, _context(how, {}), raw)
    batch.rows.add(one.line)
    batch.waiting.add(one.line)


def _makes_a_row(target: Target, mapping: Mapping, own: dict[str, str], written: dict[str, str], batch: Batch) -> bool:
    """Whether a row of a flat sheet has something for one of its tables: a nut has no journal."""
    lacks = _lacks(target, own, written)
    if lacks:
        batch.alone[mapping.table, lacks] += 1
    return not lacks and bool({*own} - {*SHARED})


def _lacks(target: Target, own: dict[str, str], written: dict[str, str]) -> str:
    """What a row of a flat sheet lacks for one of its plain tables: a price of nobody's, a supplier without a price."""
    if target.shape.is_kind or target.table == PARTS or not {*own} - {*SHARED}:
        return ""
    lacking = [name for name in target.required if not written.get(name)]
    return f"no {' and no '.join(lacking)}" if lacking else ""


def _places(mapping: Mapping, titles: list[str]) -> dict[str, int]:
    """Where each mapped column stands in a sheet of these titles. Raises MappingError."""
    where: dict[str, int] = {}
    for column in (c for c in mapping.columns if c.name):
        place = column.place(titles)
        if place is None:
            there = ", ".join(t for t in titles if t)
            named = " or ".join(map(repr, (column.title, *column.also)))
            raise MappingError(f"the sheet has no column {named}. Its columns are {there}")
        where |= dict.fromkeys(column.names, place)
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
            its = "1 cell is" if cells == 1 else f"{cells} cells are"
            yield f"{which} is not mapped, so its {its} skipped"


def _context(how: dict[str, ReadAs], written: dict[str, str]) -> str:
    """How the cells of a row are to be read once more, as JSON: a workbook's own number has a decimal point."""
    read_as = {
        n: replaced(h, decimal_comma=False) if isinstance(written.get(n), StoredNumber) else h for n, h in how.items()
    }
    return json.dumps({n: asdict(h) for n, h in read_as.items()}, sort_keys=True)


class _Row(msgspec.Struct, frozen=True):
    """A row of a sheet: where it stands, its cells, those of the mapped columns by name, and flags of cells that are
    carried down from above; ``flat``: it makes rows of several tables."""

    place: Place
    cells: tuple[str, ...]
    written: dict[str, str]
    carried: dict[str, str]
    flat: bool

    @property
    def line(self) -> Line:
        """The row, whatever table it goes to."""
        return self.place[1], self.place[2]


def _read_one(seen: Seen, target: Target, one: _Row, how: dict[str, ReadAs], choices: Choices, batch: Batch) -> bool:
    """Read one row into the batch; gives whether it looks like a heading."""
    place, written, carried = one.place, one.written, one.carried
    known, table = seen.known, record_table(place[3])
    chosen = {n: choices.of(place, written, n) for n in written}
    read, faults = read_row(target, written, how, known, chosen)
    bad = faults
    if one.flat and is_of_cells(target, faults):
        read, faults = read_but(target, written, how, known, chosen, bad)
    read = {n: replaced(cell, flags=(*cell.flags, carried[n])) if n in carried else cell for n, cell in read.items()}
    row = {n: cell.text for n, cell in read.items() if n not in BESIDE}
    pending = seen.waits(target, written)
    if pending:
        faults = bad = (*pending, *(f for f in faults if f.column not in {p.column for p in pending}))
    faults = faults or other_currency(read, batch.currencies)
    faults = faults or (() if chosen.get("feature") else misplaced(target, read, known))
    faults = faults or batch.taken.contradictions(table, row, written)
    if not faults:
        batch.taken.add(table, row, f"row {place[2]} of the sheet")
        for statement in statements_of(target, read, known):
            at = (*place[:3], told_apart(statement.table, place[3]))
            batch.kept += kept_row(at, statement.cells, written, chosen)
        batch.kept += kept_beside(place, read, written, chosen)
        seen.add(table, row)
    else:
        batch.kept += [Kept(*place, n, written[n], "", WAITING, c) for n, c in chosen.items() if c]
        seen.put_off(table, written)
    waiting = faults or bad
    if waiting:
        raw = json.dumps(one.cells, ensure_ascii=False)
        batch.entries += entries_of(place, waiting, written, _context(how, written), raw)
        batch.waiting.add(one.line)
    return not carried and is_unknown_heading(target, written, faults)


def is_of_cells(target: Target, faults: Sequence[Fault]) -> bool:
    """Whether all that is wrong with a row are cells without which the others can be loaded."""
    needed = {*target.required, "source", *(c.name for c in target.shape.columns if c.key)}
    return bool(faults) and not any(f.column in needed for f in faults)


def read_but(
    target: Target,
    written: dict[str, str],
    how: dict[str, ReadAs],
    known: Known,
    chosen: dict[str, str],
    bad: Sequence[Fault],
) -> tuple[dict[str, Read], tuple[Fault, ...]]:
    """The cells of a row without its bad ones; sizes are then not known, so that no claim counts in their place."""
    named = {f.column for f in bad}
    sizes = {c.name for c in target.shape.columns if target.shape.is_kind} & named
    without = {n: cell for n, cell in written.items() if n not in named - sizes}
    read, faults = read_row(target, without, how, known, {**chosen, **dict.fromkeys(sizes, "?")})
    return {n: replaced(c, flags=(*c.flags, WAITS)) if n in named else c for n, c in read.items()}, faults


def told_apart(statement: str, kept: str) -> str:
    """The name under which a statement's row is kept: that of its row, with the number of a further statement."""
    table = record_table(statement)
    return kept + statement.removeprefix(table) if record_table(kept) == table else statement
