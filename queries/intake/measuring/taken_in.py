"""A filled measuring sheet into the records: each reading to the thing in its place, on its vehicle and side.

It goes the way of every import: one row of a table a line of the sheet, kept with where it comes from; a line that
cannot be read waits in the quarantine; importing again writes what has changed and nothing else.
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path

import msgspec
from msgspec.structs import replace

from knockon.graph.judge.sense import UsualSizes
from knockon.graph.mapping.cells_read import Fault, Known, ReadAs
from knockon.graph.mapping.rows import read_row
from knockon.graph.mapping.statements import statements_of
from knockon.graph.model.catalogue import Catalogue, UnknownNameError
from knockon.graph.model.layouts.layout import Place
from knockon.graph.model.schema import Column
from knockon.graph.model.things import Vehicle
from knockon.graph.notes.write import check_member
from knockon.graph.quantity import DATATYPES, CellError, no_such_day, read_cell
from knockon.graph.quarantine import Entry, Kept, read_book
from knockon.graph.records import load
from knockon.graph.sheets import Sheet
from knockon.queries.intake.measuring.binding import Binder, Bound, Cells, NotThere
from knockon.queries.intake.measuring.form import (
    BY,
    DATE,
    DONT_KNOW,
    ERROR,
    FEATURE,
    ITSELF,
    NONE_THERE,
    PLACE,
    READING,
    SIDE,
    SIZE,
    UNIT,
    VEHICLE,
    FilledLine,
    FilledSide,
    filled_sides,
)
from knockon.queries.intake.measuring.lines import unit_of
from knockon.queries.intake.sheets.folder import Folder, open_folder
from knockon.queries.intake.sheets.imports import Altered, Changed, ImportAnswer, with_remark
from knockon.queries.intake.sheets.keeping import entries_of, kept_row
from knockon.queries.intake.sheets.sizes import contradicted_sizes
from knockon.queries.intake.sheets.tables import (
    ALREADY,
    WAITING,
    Change,
    Choices,
    Taken,
    records_of,
    table_changes,
    told_as_altered,
    with_already,
    without_rows,
)
from knockon.queries.intake.sheets.writing import put_in_place, write_import, written_when_settled

ITEMS, SOURCES = "items", "sources"
ABSENT, ASKED = "absent", "?"
LINES_BLANK, NOTHING_READ = "lines not filled in", "lines with a remark and no reading"
PLACE_EMPTY = "lines of places that hold nothing"
RowPlace = tuple[str, str, int, str]


class CannotBind(ValueError):
    """A sheet that is of no vehicle of the records, or not of a known side; nothing was changed."""


class _Work(msgspec.Struct, frozen=True):
    """An import worked out: the answer, and what is to be written."""

    answer: ImportAnswer
    changes: Sequence[Change]
    entries: Sequence[Entry]
    kept: Sequence[Kept]


def import_filled(folder: Path, file: str, sheets: Sequence[Sheet], *, dry_run: bool = False) -> ImportAnswer:
    """Take a filled measuring sheet in. Raises CannotBind or RecordsError, and then nothing was changed."""
    put_in_place(folder)
    work, waiting = written_when_settled(
        folder,
        lambda: _worked_out(folder, file, sheets),
        lambda work: "" if dry_run else write_import(folder, work.changes, work.entries, work.kept),
    )
    return with_remark(work.answer, waiting)


def _worked_out(folder: Path, file: str, sheets: Sequence[Sheet]) -> _Work:
    seen, catalogue = open_folder(folder), load(folder).catalogue
    own = [k for k in seen.kept if k.file == file]
    others = [k for k in seen.kept if k.file != file]
    book = read_book(folder)
    reader = _Reader(
        file=file,
        seen=seen,
        choices=Choices(seen.kept, book),
        usual=_usual(seen, catalogue, own),
        taken=Taken(seen.targets, seen.tables, own),
        before=_named_before(own),
    )
    for side in filled_sides(sheets):
        reader.read(catalogue, side)
    loaded = with_already(reader.kept, seen.tables, own)
    changes = table_changes(folder, seen.targets, own, loaded, others)
    pairs = [told_as_altered(change, seen.targets) for change in changes]
    answer = ImportAnswer(
        file=file,
        rows=reader.rows,
        loaded=reader.loaded,
        quarantined=reader.rows - reader.loaded,
        passed_over=tuple(sorted(reader.passed.items())),
        flagged=len({k.place[:3] for k in reader.kept if k.flags not in ("", WAITING)}),
        added=tuple(Changed(c.table, r) for c in pairs for r in c.added),
        removed=tuple(Changed(c.table, r) for c in pairs for r in c.removed),
        altered=tuple(Altered(c.table, *pair) for c in pairs for pair in c.altered),
        unchanged=sum(c.unchanged for c in changes),
        remarks=tuple(reader.remarks),
        entries=tuple(sorted(reader.entries)),
        contradicted=contradicted_sizes(loaded, without_rows(seen.tables, changes), seen.targets),
    )
    return _Work(answer, changes, [e for e in book if e.file != file] + reader.entries, others + loaded)


def _named_before(own: Sequence[Kept]) -> Sequence[Cells]:
    """The rows of items that an earlier import of the same file wrote."""
    return records_of(k for k in own if ALREADY not in k.flags).get(ITEMS, [])


def _usual(seen: Folder, catalogue: Catalogue, own: Sequence[Kept]) -> UsualSizes:
    """The usual sizes, as a reading typed by itself is held against them, but for what the same file brought earlier: a
    second import reads as the first one did."""
    brought = frozenset(k.read for k in own if k.table == SOURCES and k.column == "source")
    every = (f for features in catalogue.features.values() for f in features.values())
    return UsualSizes.of(every, catalogue.vocabulary, brought, seen.known.sense.stated)


class _Tab(msgspec.Struct, frozen=True):
    """One tab while it is read: what binds its readings, their source, and the features of which it gives a size, or of
    which nobody knows one (``unknown``), by (place, feature), with the row."""

    side: FilledSide
    binder: Binder
    source: str
    there: Mapping[tuple[str, str], int]
    unknown: Mapping[tuple[str, str], int]


class _Reader(msgspec.Struct):
    """Reads the tabs of one file, line by line. ``before``: the rows of items that it brought earlier."""

    file: str
    seen: Folder
    choices: Choices
    usual: UsualSizes
    taken: Taken
    before: Sequence[Cells]
    kept: list[Kept] = msgspec.field(default_factory=list)
    entries: list[Entry] = msgspec.field(default_factory=list)
    passed: Counter[str] = msgspec.field(default_factory=Counter)
    remarks: list[str] = msgspec.field(default_factory=list)
    rows: int = 0
    loaded: int = 0
    _items: set[str] = msgspec.field(default_factory=set)

    def read(self, catalogue: Catalogue, side: FilledSide) -> None:
        """One tab. Raises CannotBind."""
        if side.blank:
            self.passed[LINES_BLANK] += side.blank
        if not side.lines:
            return
        vehicle = _vehicle(catalogue, self.file, side)
        named = {
            Place(r.get("position", ""), r.get("side", "")): r
            for r in self.before
            if r.get("vehicle") == vehicle.vehicle
        }
        tab = _Tab(side, Binder(catalogue, vehicle, named), self._source(vehicle, side), *_said(side))
        for line in side.lines:
            self._line(tab, line)

    def _source(self, vehicle: Vehicle, side: FilledSide) -> str:
        """Note who measured and when, as a source of its own: each tab may be another person's."""
        of = " ".join(filter(None, (vehicle.vehicle, side.side)))
        name = f"{Path(self.file).stem}, {of}"
        row = {"source": name, "title": f"measuring sheet of {of}", "standing": "on the item"}
        row |= {"member": side.head.get(BY, ""), "date": side.head.get(DATE, "")}
        place = (self.file, side.sheet, side.rows.get(BY, side.rows[SIDE]), SOURCES)
        try:
            check_member(row["member"])
        except ValueError as error:
            self._head_waits(side, row, BY, "member", str(error), "the name of who measured")
        why = no_such_day(row["date"])
        if why:
            self._head_waits(side, row, DATE, "date", f"{why}. Enter a day such as 2026-02-28", "their date")
        self._keep(place, row)
        return name

    def _head_waits(self, side: FilledSide, row: dict[str, str], label: str, column: str, why: str, what: str) -> None:
        """What the head of a tab says and cannot be goes to the quarantine; the readings are loaded without it."""
        place = (self.file, side.sheet, side.rows.get(label, side.rows[SIDE]), SOURCES)
        raw = json.dumps([label, row[column]], ensure_ascii=False)
        self.entries += entries_of(place, (Fault(column, row[column], why),), row, "{}", raw)
        self.remarks.append(f"the readings of sheet {side.sheet!r} are loaded without {what}")
        row[column] = ""

    def _keep(self, place: RowPlace, row: Cells) -> None:
        self.kept += [Kept(*place, column, text, text, "") for column, text in row.items() if text]

    def _line(self, tab: _Tab, line: FilledLine) -> None:
        """One line with something in it: loaded, passed over, or to the quarantine."""
        reading = _plain(line.cell(READING))
        if not reading:
            self.passed[NOTHING_READ] += 1
            return
        place, feature = _plain(line.cell(PLACE)), _plain(line.cell(FEATURE))
        try:
            at = tab.binder.at(place, tab.side.side or "")
            is_absent = reading == NONE_THERE
            if is_absent and tab.binder.may_be_empty(at.place) and all(p != place for p, _ in tab.there):
                self.passed[PLACE_EMPTY] += 1
                return
            self.rows += 1
            bound = tab.binder.bind(at, feature, _plain(line.cell(SIZE)))
            other = tab.there.get((place, feature), 0) if is_absent else 0
            if other:
                raise NotThere(READING, f"row {other} gives a size of the same feature. Clear one of the two")
            open_in = tab.unknown.get((place, feature), 0) if is_absent else 0
            if open_in:
                why = f"row {open_in} says {DONT_KNOW} of the same feature. Write {NONE_THERE} in both, or in neither"
                raise NotThere(READING, why)
        except NotThere as error:
            self.rows += error.column == PLACE
            self._wait(tab, line, error)
            return
        self._take(bound, tab, line)

    def _wait(self, tab: _Tab, line: FilledLine, error: NotThere) -> None:
        """A line that names no size of a thing that is there goes to the quarantine."""
        offered = f". Perhaps {' or '.join(error.offered)}" if error.offered else ""
        written = {name: str(line.cell(name)) for name in (PLACE, FEATURE, SIZE, READING)}
        fault = Fault(error.column, written[error.column], f"{error}{offered}")
        self.entries += entries_of((self.file, tab.side.sheet, line.row, ITEMS), (fault,), written, "{}", _raw(line))

    def _take(self, bound: Bound, tab: _Tab, line: FilledLine) -> None:
        """A reading of a thing: its row, and that of the thing where no table names it yet."""
        item, table, column = bound.item["item"], f"features/{bound.kind.table}", bound.column.name
        place = (self.file, tab.side.sheet, line.row, table)
        if item not in self._items:
            self._items.add(item)
            if item not in self.seen.known.keys.get(ITEMS, ()) or bound.item in self.before:
                self._keep((*place[:3], ITEMS), bound.item)
        known = replace(self.seen.known, sense=self.usual, asks_back=True)
        known = _with_keys(known, {ITEMS: item, SOURCES: tab.source})
        how = {column: ReadAs(unit=_plain(line.cell(UNIT)))}
        written = {
            "part": item,
            "feature": bound.feature,
            column: _cell(line, bound.column.datatype),
            "source": tab.source,
        }
        chosen = {n: self.choices.of(place, written, n) for n in written}
        target = self.seen.targets[table]
        beside = _limits_beside(line, bound.column) if not chosen[column] else None
        read, faults = read_row(target, written, how, known, chosen)
        faults = faults if faults or beside is None else (beside,)
        row = {n: cell.text for n, cell in read.items()}
        faults = faults or self.taken.contradictions(table, row, written)
        if faults:
            self.kept += [Kept(*place, n, written[n], "", WAITING, c) for n, c in chosen.items() if c]
            said = tuple(
                replace(f, why=f"{_named(bound)}: {f.why}", suggestions=_with_limits(f.suggestions, line, bound.column))
                for f in faults
            )
            context = json.dumps({column: msgspec.structs.asdict(how[column])}, sort_keys=True)
            self.entries += entries_of(place, said, {n: str(w) for n, w in written.items()}, context, _raw(line))
            return
        self.taken.add(table, row, f"row {line.row} of the sheet")
        self.loaded += 1
        for statement in statements_of(target, read, known):
            self.kept += kept_row((*place[:3], statement.table), statement.cells, written, chosen)


def _vehicle(catalogue: Catalogue, file: str, side: FilledSide) -> Vehicle:
    """The vehicle that a tab is of. Raises CannotBind."""
    where, name = f"{file}, sheet {side.sheet!r}", side.head.get(VEHICLE, "")
    if side.side is None:
        raise CannotBind(
            f"{where}, row {side.rows[SIDE]}: read {side.head.get(SIDE, '')!r}. Enter left, right or {ITSELF}"
        )
    try:
        vehicle: Vehicle = catalogue.find("vehicle", name)
    except UnknownNameError as error:
        near = f". Nearest: {', '.join(error.nearest)}" if error.nearest else ""
        raise CannotBind(f"{where}, row {side.rows[VEHICLE]}: no vehicle {name!r} in these records{near}") from error
    if vehicle.as_made:
        raise CannotBind(f"{where}: {name} is a model as made. Readings are of one particular vehicle")
    return vehicle


def _said(side: FilledSide) -> tuple[dict[tuple[str, str], int], dict[tuple[str, str], int]]:
    """The features of which a tab gives a size, and those of which it says that nobody knows one, with the row."""
    sized: dict[tuple[str, str], int] = {}
    unknown: dict[tuple[str, str], int] = {}
    for line in side.lines:
        reading = _plain(line.cell(READING))
        if reading and reading != NONE_THERE:
            rows = unknown if reading == DONT_KNOW or _is_unknown(reading) else sized
            rows.setdefault((_plain(line.cell(PLACE)), _plain(line.cell(FEATURE))), line.row)
    return sized, unknown


def _is_unknown(reading: str) -> bool:
    """Whether a reading says in some other way that nobody knows: ``?``, ``unknown``, ``not measured``."""
    try:
        return read_cell(reading, "code")[""].unknown
    except CellError:
        return False


def _plain(text: str) -> str:
    """A cell in one form: its letters small, plain blanks and apostrophes."""
    return " ".join(str(text).casefold().replace("\u2019", "'").split())


def _cell(line: FilledLine, datatype: str) -> str:
    """What a line says of its size, as a cell of a record table; a workbook's own number stays one.

    The ± of the line, which is that of the usual tool unless somebody changed it, counts for a reading that states
    none: a bare number then has the line's unit.
    """
    reading, error = line.cell(READING), _error(line)
    fixed = {NONE_THERE: ABSENT, DONT_KNOW: ASKED}.get(_plain(reading), "")
    if fixed or not error:
        return fixed or reading
    unit = line.cell(UNIT)
    whole = _with_unit(str(reading).strip(), unit)
    return f"{whole} ±{_with_unit(error, unit)}" if _is_bare(whole, datatype) else reading


def _limits_beside(line: FilledLine, column: Column) -> Fault | None:
    """That a ± stands beside what has none, a count or a designation: nobody knows what is meant by it."""
    reading, error = str(line.cell(READING)).strip(), _error(line)
    if not error or unit_of(column, "mm") or _plain(reading) in (NONE_THERE, DONT_KNOW):
        return None
    sort = DATATYPES[column.datatype].expected if column.datatype in DATATYPES else column.name
    why = f"±{error} stands beside {reading}, and this has none ({sort}). Clear the ±, or choose ? if you are not sure"
    return Fault(column.name, f"{reading} ±{error}", why, (reading, "?"))


def _with_limits(offers: Sequence[str], line: FilledLine, column: Column) -> tuple[str, ...]:
    """What may be meant, each with the ± of the line: whatever slipped, it was read with that tool."""
    error = _error(line)
    if not error or not unit_of(column, "mm"):
        return tuple(offers)
    return tuple(f"{o} ±{_with_unit(error, line.cell(UNIT))}" if _is_bare(o, column.datatype) else o for o in offers)


def _is_bare(text: str, datatype: str) -> bool:
    """Whether a cell states one value and no limits."""
    try:
        return DATATYPES[datatype].without_limits(read_cell(text, datatype))
    except CellError:
        return False


def _error(line: FilledLine) -> str:
    """The ± of a line, without its sign."""
    return str(line.cell(ERROR)).strip().lstrip("±").strip()


def _with_unit(number: str, unit: str) -> str:
    """A number with the unit of its line; what states its own stays."""
    return f"{number} {unit}".strip() if re.fullmatch(r"[-+]?\d*\.?\d+", number) else number


def _named(bound: Bound) -> str:
    """Which size a line is about, for whoever reads the quarantine."""
    return f"{bound.at.place}, {bound.feature}, {bound.column.name}"


def _raw(line: FilledLine) -> str:
    return json.dumps(line.raw, ensure_ascii=False)


def _with_keys(known: Known, more: Mapping[str, str]) -> Known:
    keys = {table: frozenset({*known.keys.get(table, ()), key}) for table, key in more.items()}
    return replace(known, keys={**known.keys, **keys})
