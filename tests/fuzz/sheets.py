"""Sheets, broken: text and workbooks, taken in as ``knockon import`` does. Rows in = rows loaded + rows waiting."""

from __future__ import annotations

import csv
import io
import random
import shutil
import subprocess
import tempfile
from collections.abc import Sequence
from contextlib import redirect_stderr, redirect_stdout
from functools import cache
from pathlib import Path
from types import SimpleNamespace
from typing import Any
from unittest import mock

from knockon.graph.mapping import Mapping, MappingError
from knockon.graph.mapping.apart import tables_apart
from knockon.graph.records.findings import RecordsError
from knockon.graph.sheets import Sheet, SheetError, child, find_head, open_sheets, opened
from knockon.queries import imports
from knockon.queries.import_folder import Folder, open_folder
from knockon.queries.imports import ImportAnswer, import_sheets, propose_mappings
from tests.exchange.world import write_world
from tests.fuzz.kinds import Input, Kind
from tests.fuzz.mutate import broken
from tests.fuzz.tables import Rows, changed, table
from tests.sheets.workbooks import write_xlsx

WORKBOOKS, WRITTEN = 0.15, 0.04
"""Of so many inputs a workbook is made; so many are written, read again and written again."""
SOURCED = ("source", "N1")
A_PART = (("hand", "either"), ("name", "x"), ("one use", "no"), ("part type", "bearing spacer"))
OPTIONS: tuple[tuple[str, tuple[tuple[str, str], ...], str], ...] = (
    ("", (), "Length (mm)"),
    ("", (SOURCED, ("feature", "spacer")), "Length (mm)"),
    ("features/spacer", (SOURCED, ("feature", "spacer")), "Length"),
    ("features/rolling_bearing", (SOURCED, ("feature", "bearing")), "Bore"),
    ("features/nut", (SOURCED, ("feature", "thread")), "Thread"),
    ("features/external_spline", (SOURCED, ("feature", "stub spline")), "Pitch"),
    ("parts", (SOURCED, *A_PART), "Remarks"),
    ("offers", (("supplier", "Mill"),), "Price"),
    ("kit_lines", (("kit", "box"),), "Qty"),
)
"""What the command is told: the table, the same values in every row; and a title that a sheet for it may well have."""


class _World:
    """A small world's folder, and what an import reads of it, once."""

    def __init__(self) -> None:
        self.root = Path(tempfile.mkdtemp(prefix="knockon-fuzz-"))
        self.folder = write_world(self.root / "ours")
        self.opened = open_folder(self.folder)


@cache
def _world() -> _World:
    return _World()


def _as_text(rng: random.Random, rows: Rows) -> bytes:
    out = io.StringIO()
    writer = csv.writer(out, delimiter=rng.choice(",,,;\t|"), lineterminator=rng.choice(("\n", "\n", "\r\n")))
    for row in rows:
        writer.writerow([str(c).replace("\0", " ") for c in row])
    return out.getvalue().encode("utf-8", "replace")


def _stored(cell: object) -> object:
    """A cell as a workbook holds it: a number as a number, and only signs that XML can hold."""
    text = "".join(c for c in str(cell) if c.isprintable())
    is_number = text.isascii() and len(text) < 9 and text.replace(".", "", 1).isdecimal()
    return float(text) if is_number else text


def make(rng: random.Random) -> Input:
    """A table or two, its cells, rows and columns changed, as text or workbook; then perhaps its words and bytes."""
    chosen = 0 if rng.random() < 0.05 else rng.randrange(1, len(OPTIONS))
    rows, changes = table(rng, OPTIONS[chosen][2]), list[str]()
    for _ in range(rng.randint(0, 4)):
        rows, what = changed(rng, rows)
        changes.append(what)
    how = f"{chosen}{'w' if rng.random() < WRITTEN else ''}"
    if rng.random() < WORKBOOKS:
        with tempfile.TemporaryDirectory() as name:
            path = Path(name) / "it.xlsx"
            merged = "A1:B2" if rng.random() < 0.1 else ""
            write_xlsx(path, [[_stored(c) for c in row[:20]] for row in rows], merged=merged)
            content = path.read_bytes()
        name = f"it.{how}.xlsx"
        damage = 0.3
    else:
        content, name, damage = _as_text(rng, rows), f"it.{how}.csv", 0.5
    if rng.random() < damage or not changes:
        content, more = broken(rng, content, most=2 if name.endswith("x") else 4)
        changes += more
    return Input(content, name, tuple(changes))


def _child_in_here(command: Sequence[str], **_: Any) -> Any:
    """The reader of workbooks, which the program starts in a process of its own, in this one: nothing else differs."""
    if list(command[1:3]) != ["-m", "knockon.graph.sheets.child"]:
        raise AssertionError(f"the import starts {command}")
    out, err = io.StringIO(), io.StringIO()
    with mock.patch.object(child, "_limit"), redirect_stdout(out), redirect_stderr(err):
        try:
            status = child.main(command[3])
        except (KeyboardInterrupt, SystemExit):
            raise
        except BaseException as error:
            if type(error).__name__ != "PanicException":  # a panic of the library ends its process, and no other
                raise
            status = 1
    return SimpleNamespace(returncode=status, stdout=out.getvalue().encode(), stderr=err.getvalue().encode())


def take(given: Input) -> str:
    """Take it in as the command does, written or only tried; and count its rows."""
    world = _world()
    how = given.name.split(".")[1]
    table, fixed, _ = OPTIONS[int(how[0])]
    path = world.root / f"it.{given.name.rpartition('.')[2]}"
    path.write_bytes(given.content)
    with mock.patch.object(
        opened, "subprocess", SimpleNamespace(run=_child_in_here, TimeoutExpired=subprocess.TimeoutExpired)
    ):
        try:
            sheets = open_sheets(path)
            proposals = propose_mappings(world.opened, sheets, table, fixed)
            whole = tuple(p.mapping for p in proposals if p.can_be_read)
            mappings = whole or tuple(p.mapping for p in proposals)
            return (
                _written(world, path.name, sheets, mappings)
                if how.endswith("w")
                else _tried(world, path.name, sheets, mappings)
            )
        except (SheetError, MappingError, RecordsError) as error:
            assert str(error)
            return f"refused: {type(error).__name__}"


def _tried(world: _World, file: str, sheets: tuple[Sheet, ...], mappings: tuple[Mapping, ...]) -> str:
    def opened_before(_: Path) -> Folder:
        return world.opened

    with mock.patch.object(imports, "open_folder", opened_before):
        answer = import_sheets(world.folder, file, sheets, mappings, dry_run=True)
    _check_rows(world.opened, sheets, mappings, answer)
    return "waiting" if answer.quarantined else "loaded"


def _written(world: _World, file: str, sheets: tuple[Sheet, ...], mappings: tuple[Mapping, ...]) -> str:
    folder = world.root / "written"
    shutil.rmtree(folder, ignore_errors=True)
    shutil.copytree(world.folder, folder)
    answer = import_sheets(folder, file, sheets, mappings)
    _check_rows(world.opened, sheets, mappings, answer)
    before = {p: p.read_bytes() for p in folder.rglob("*.csv")}
    again = import_sheets(folder, file, sheets, mappings)
    assert (again.rows, again.loaded) == (answer.rows, answer.loaded), "a second import reads otherwise"
    assert {p: p.read_bytes() for p in folder.rglob("*.csv")} == before, "a second import writes otherwise"
    return "written, some waiting" if answer.quarantined else "written"


def _check_rows(folder: Folder, sheets: Sequence[Sheet], mappings: Sequence[Mapping], answer: ImportAnswer) -> None:
    """Every row of the sheets is a heading, loaded, waiting, or passed over with its reason; none is in two."""
    assert answer.rows == answer.loaded + answer.quarantined, "rows in are not rows loaded and waiting"
    waiting = {(e.sheet, e.row, e.table) for e in answer.entries}
    assert len(waiting) == answer.quarantined, f"{len(waiting)} rows wait, {answer.quarantined} are counted"
    pieces = tables_apart(sheets, folder.targets.values())
    for sheet in sheets:
        there = {n for p in pieces if p.name.partition(" #")[0] == sheet.name or not sheet.name for n, _ in p.rows}
        lost = [n for n, cells in sheet.rows if any(cells) and n not in there]
        assert not lost, f"rows {lost} are in no table"
    mapped = {m.sheet for m in mappings}
    below = sum(
        sum(1 for n, _ in p.rows if n > find_head(p, folder.whole_titles).last) for p in pieces if p.name in mapped
    )
    beside = sum(len(p.rows) for p in pieces if p.name not in mapped)
    counted = answer.rows + sum(n for _, n in answer.passed_over)
    assert counted == below + beside, f"{below + beside} rows came in, {counted} are counted"


KIND = Kind("sheets", make, take, _world)
