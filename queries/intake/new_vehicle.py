"""A vehicle of one's own: the tables that a first question needs, and a measuring sheet, from a few choices.

The layout is put together from ready-made ones; every place of the vehicle stands in its fittings with nothing
recorded. Nothing that stands in a folder is written over: a vehicle is added to the tables that are there.
"""

from __future__ import annotations

import csv
import re
import shutil
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from tempfile import mkdtemp

import msgspec

from knockon.graph.files.atomic import force_folder, not_written, own_umask, sole_writer, write_whole
from knockon.graph.files.plain import content_of
from knockon.graph.files.shipped import shipped
from knockon.graph.mapping import targets
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import stands_in
from knockon.graph.model.layouts.mechanism import LayoutUse
from knockon.graph.model.layouts.ready_made import KEYS
from knockon.graph.model.schema import own_files
from knockon.graph.quarantine import Kept
from knockon.graph.quarantine.all_or_none import finish, write_together
from knockon.graph.records import read_own_vocabulary, records_from_text
from knockon.graph.tables.files import BESIDE
from knockon.queries.answers import Answer
from knockon.queries.intake.measuring.lines import UNITS, MeasuringSheet, measuring_sheet
from knockon.queries.intake.sheets.tables import Change, table_changes
from knockon.queries.intake.vehicle_wanted import (
    CannotAdd,
    checked_name,
    choices_of,
    chosen_of,
    left_out,
    may_change_of,
    uses_of,
)

SHEET = "measuring"
"""What the files of a measuring sheet are called; those of a further vehicle end in its name."""
Prints = Callable[[MeasuringSheet], Mapping[str, bytes]]
"""Makes the files of a measuring sheet, by their ending."""


class Wanted(msgspec.Struct, frozen=True):
    """What a vehicle is to be: ``layouts`` ready-made ones by name, ``choices`` an arrangement for each choice that
    they leave, ``may_change`` the choices in which a plan may change it (none: the first of each axle), ``unit`` that
    of lengths on its measuring sheet."""

    vehicle: str
    layouts: tuple[str, ...]
    choices: tuple[str, ...] = ()
    may_change: tuple[str, ...] = ()
    title: str = ""
    owner: str = ""
    unit: str = UNITS[0]


class Written(msgspec.Struct, frozen=True):
    """A table that rows were added to, and how many."""

    table: str
    rows: int


class NewVehicleAnswer(Answer, frozen=True):
    """What was written for a vehicle: ``tables`` and the files of its measuring sheet, of ``lines`` lines.

    ``left_out``: arrangements that the layout does without, as no plan may change to them.
    """

    records: str
    vehicle: str
    layout: str
    uses: tuple[str, ...]
    arrangements: tuple[str, ...]
    may_change: tuple[str, ...]
    left_out: tuple[str, ...]
    tables: tuple[Written, ...]
    sheets: tuple[str, ...]
    lines: int
    places: int


def add_vehicle(folder: Path, wanted: Wanted, prints: Prints) -> NewVehicleAnswer:
    """Write a vehicle and its measuring sheet into a records folder, which is made if it is not there. All is written
    or nothing. Raises CannotAdd, RecordsError."""
    if folder.exists() and not folder.is_dir():
        raise CannotAdd(f"{folder} is a file. Name a folder")
    if not folder.exists():
        return _in_new_folder(folder, wanted, prints)
    with sole_writer(folder):
        finish(folder)
        work = _worked_out(folder, wanted, prints)
        written: list[Path] = []
        try:
            for path, content in work.sheets.items():
                write_whole(path, content, only_new=True)
                written.append(path)
            write_together(folder, {c.path: c.content for c in work.changes if c.added})
        except BaseException:
            for path in written:
                path.unlink(missing_ok=True)
            raise
    return work.answer


def _in_new_folder(folder: Path, wanted: Wanted, prints: Prints) -> NewVehicleAnswer:
    """Everything beside its place, which it then takes in one step."""
    if not folder.absolute().parent.is_dir():
        raise CannotAdd(f"there is no folder {folder.absolute().parent}. Make it first, or name another")
    try:
        beside = Path(mkdtemp(prefix=f".{folder.name}.", dir=folder.absolute().parent))
    except OSError as error:
        raise not_written(folder, error) from error
    try:
        work = _worked_out(beside, wanted, prints)
        for path, content in [*work.sheets.items(), *((c.path, c.content) for c in work.changes)]:
            write_whole(path, content, only_new=True)
        beside.chmod(0o777 & ~own_umask())
        beside.rename(folder)
        force_folder(folder.absolute().parent)
    except OSError as error:
        raise not_written(folder, error) from error
    finally:
        shutil.rmtree(beside, ignore_errors=True)
    there = tuple(str(folder / Path(name).name) for name in work.answer.sheets)
    return msgspec.structs.replace(work.answer, records=str(folder), sheets=there)


class _Work(msgspec.Struct, frozen=True):
    answer: NewVehicleAnswer
    changes: Sequence[Change]
    sheets: Mapping[Path, bytes]


def _worked_out(folder: Path, wanted: Wanted, prints: Prints) -> _Work:
    """The tables as they will be, and the measuring sheet of the vehicle as they then have it."""
    name = checked_name(wanted.vehicle)
    texts = _tables_there(folder)
    vehicles = _rows(texts.get("vehicles.csv", ""))
    if any(row.get("vehicle", "").casefold() == name.casefold() for row in vehicles):
        raise CannotAdd(
            f"{folder} has a vehicle {name!r} already, and nothing is written over. Add another with --vehicle"
        )
    uses = uses_of(wanted.layouts)
    choices = choices_of(uses)
    arrangements = chosen_of(choices, wanted.choices)
    may_change = may_change_of(choices, wanted.may_change)
    uses = left_out(uses, choices, arrangements, may_change)
    layout, is_new = _layout_for(texts, uses, name)
    rows: dict[str, list[dict[str, str]]] = {}
    if "sources.csv" not in texts:
        rows["sources"] = _rows(shipped("graph", "vocabulary", "starting_sources.csv").read_text(encoding="utf-8"))
    if is_new:
        rows["layout_uses"] = [{"layout": layout, "uses": u.uses, "as": u.as_, "without": _without(u)} for u in uses]
    row = {"vehicle": name, "title": wanted.title, "layout": layout, "arrangement": ";".join(arrangements)}
    rows["vehicles"] = [{**row, "as made": "no", "owner": wanted.owner}]
    first = _catalogue(folder, texts, _changes(folder, rows))
    positions = [p for p in first.layouts[layout].positions if stands_in(p, arrangements)]
    empty = {"side": "", "part": "", "item": "", "condition": ""}
    rows["fittings"] = [{"vehicle": name, "position": p.position, **empty} for p in positions]
    changes = _changes(folder, rows)
    catalogue = _catalogue(folder, texts, changes)
    sheet = measuring_sheet(catalogue, catalogue.vehicles[name], wanted.unit)
    files = _sheet_files(folder, name, prints(sheet))
    answer = NewVehicleAnswer(
        records=str(folder),
        vehicle=name,
        layout=layout,
        uses=tuple(u.uses for u in uses),
        arrangements=arrangements,
        may_change=may_change,
        left_out=tuple(name for use in uses for name in use.without),
        tables=tuple(Written(c.table, len(c.added)) for c in changes if c.added),
        sheets=tuple(map(str, files)),
        lines=sheet.count,
        places=len(positions),
    )
    return _Work(answer, changes, files)


def _sheet_files(folder: Path, vehicle: str, prints: Mapping[str, bytes]) -> dict[Path, bytes]:
    """The files of a measuring sheet by path: ``measuring.xlsx``, or with the vehicle's name where that is taken."""
    for stem in (SHEET, f"{SHEET}-{_file_name(vehicle)}"):
        files = {folder / f"{stem}{ending}": content for ending, content in prints.items()}
        there = [path for path in files if path.exists()]
        if not there:
            return files
    raise CannotAdd(f"{there[0]} is there already, and nothing is written over. Move it away, then type this again")


def _tables_there(folder: Path) -> dict[str, str]:
    """The tables of a folder as texts, by file; none of a folder that has none. Raises CannotAdd."""
    found = {}
    for path in sorted([*folder.glob("*.csv"), *folder.glob("features/*.csv")]):
        if path.name not in BESIDE:
            try:
                found[path.relative_to(folder).as_posix()] = content_of(path).decode("utf-8-sig")
            except (OSError, UnicodeDecodeError) as error:
                raise CannotAdd(f"{path} cannot be read: {error}. Nothing was changed") from error
    return found


def _rows(text: str) -> list[dict[str, str]]:
    """The rows of a table, its headings in small letters."""
    rows = [[cell.strip() for cell in row] for row in csv.reader(text.splitlines())]
    return [dict(zip(map(str.lower, rows[0]), row, strict=False)) for row in rows[1:]] if rows else []


def _layout_for(texts: Mapping[str, str], uses: Sequence[LayoutUse], vehicle: str) -> tuple[str, bool]:
    """The layout of a vehicle: one that is put together alike, else a new one called after the vehicle."""
    there: dict[str, set[tuple[str, ...]]] = {}
    for row in _rows(texts.get("layout_uses.csv", "")):
        use = tuple(row.get(c, "") for c in ("uses", "as", "without"))
        there.setdefault(row.get("layout", ""), set()).add(use)
    wanted = {(u.uses, u.as_, _without(u)) for u in uses}
    alike = [name for name, found in there.items() if found == wanted and not _has_own_rows(texts, name)]
    taken = {row.get("layout", "") for name in KEYS for row in _rows(texts.get(f"{name}.csv", ""))} | {*there}
    if alike:
        return alike[0], False
    name, count = vehicle, 1
    while name in taken:
        count += 1
        name = f"{vehicle} {count}"
    return name, True


def _without(use: LayoutUse) -> str:
    return ";".join(use.without)


def _has_own_rows(texts: Mapping[str, str], layout: str) -> bool:
    """Whether a layout has positions of its own, which a vehicle that asks for ready-made ones alone need not have."""
    return any(row.get("layout") == layout for row in _rows(texts.get("positions.csv", "")))


def _changes(folder: Path, rows: Mapping[str, Sequence[Mapping[str, str]]]) -> list[Change]:
    """The tables with rows at their ends, not a byte of what stands there changed. Raises RecordsError."""
    vocabulary, _ = read_own_vocabulary(tuple(own_files(folder)))
    found = targets(vocabulary)
    kept = [
        Kept("", "", number, table, column, text, text, "")
        for table, of_it in rows.items()
        for number, row in enumerate(of_it)
        for column, text in row.items()
    ]
    return table_changes(folder, found, [], kept)


def _catalogue(folder: Path, texts: Mapping[str, str], changes: Sequence[Change]) -> Catalogue:
    """The records as they will be."""
    own = {name: text.decode("utf-8", "replace") for name, text in own_files(folder)}
    new = {c.path.name: c.content.decode("utf-8-sig") for c in changes}
    return records_from_text({**texts, **new}, own).catalogue


def _file_name(vehicle: str) -> str:
    """The name of a vehicle as a part of a file's."""
    return re.sub(r"[^\w.-]+", "-", vehicle).strip("-.") or "vehicle"
