"""An import that is killed, finds no room, or meets another one: the old records or the new, never a mix."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import time
from functools import partial
from pathlib import Path
from typing import Any

import pytest

from knockon.graph.files import atomic
from knockon.graph.files.atomic import NotWritten
from knockon.graph.mapping import ColumnMap, Mapping
from knockon.graph.quarantine import all_or_none as together
from knockon.graph.quarantine import book_bytes, kept_bytes, read_book, read_kept
from knockon.graph.records import RecordsError
from knockon.graph.sheets import Sheet
from knockon.graph.tables.files import read_folder
from knockon.graph.tables.pending import LIST, pending
from knockon.queries.intake.sheets.imports import import_sheets
from tests.exchange.faults import at_once, dies_at_line

WRITERS = {atomic.__file__, together.__file__}
FIXED = (("feature", "f"),)
MAPPINGS = (
    Mapping("B", "features/rolling_bearing", (ColumnMap("Part", "part"), ColumnMap("Bore", "bore", "mm")), FIXED),
    Mapping("S", "features/lip_seal", (ColumnMap("Part", "part"), ColumnMap("Width", "width", "mm")), FIXED),
)
State = tuple[object, ...]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "records"
    made.mkdir()
    (made / "parts.csv").write_text(
        "part,name,part type,hand,one use\nA-1,b,wheel bearing,either,no\nA-2,s,inner seal,either,no\n",
        encoding="utf-8",
    )
    return made


def sheets(bore: str, width: str, bad: str) -> tuple[Sheet, Sheet]:
    return (
        Sheet("s.xlsx", "B", ((1, ("Part", "Bore")), (2, ("A-1", bore)), (3, ("A-1", bad)))),
        Sheet("s.xlsx", "S", ((1, ("Part", "Width")), (2, ("A-2", width)))),
    )


OLD, NEW = sheets("28.5", "7.5", "08-Mar"), sheets("30.5", "8.5", "twelve")


def take_in(folder: Path, both: tuple[Sheet, Sheet], file: str = "s.xlsx") -> None:
    import_sheets(folder, file, both, MAPPINGS)


def state(folder: Path) -> State:
    """What a reader sees of the records, and of what is kept beside them."""
    findings: list[Any] = []
    tables = tuple((t.file, t.header, t.rows) for t in read_folder(folder, findings))
    assert findings == []
    return tables, kept_bytes(read_kept(folder)), book_bytes(read_book(folder))


def restore(folder: Path, files: dict[Path, bytes]) -> None:
    for path in [p for p in folder.rglob("*") if p.is_file()]:
        path.unlink()
    for path, content in files.items():
        path.write_bytes(content)


def test_a_kill_at_any_point_leaves_the_old_or_the_new_of_all_tables(folder: Path) -> None:
    take_in(folder, OLD)
    old = state(folder)
    files = {p: p.read_bytes() for p in folder.rglob("*.csv")}
    take_in(folder, NEW)
    new = state(folder)
    assert old != new
    seen, number, half_placed = set(), 1, False
    while True:
        restore(folder, files)
        died = dies_at_line(number, partial(take_in, folder, NEW), WRITERS)
        now = state(folder)
        assert now in (old, new)
        seen.add(now == new)
        half_placed = half_placed or bool(pending(folder))
        take_in(folder, NEW)
        assert state(folder) == new
        assert [p.name for p in folder.rglob(".*") if p.name != ".knockon.lock"] == []
        if not died:
            break
        number += 3
    assert number > 100 and seen == {False, True} and half_placed


def test_an_edit_made_by_hand_after_a_cut_short_import_is_kept_beside_it(folder: Path) -> None:
    """At each point between the list and the last rename what the import brought and the hand wrote both stand."""
    take_in(folder, OLD)
    files = {p: p.read_bytes() for p in folder.rglob("*.csv")}
    take_in(folder, NEW)
    new = state(folder)
    table = folder / "features" / "rolling_bearing.csv"
    head = files[table].split(b"\n")[0].decode().split(",")
    assert head[:2] == ["part", "feature"]
    by_hand = ",".join({"part": "A-1", "feature": "other", "bore": "27 mm"}.get(h.strip(), "") for h in head) + "\n"
    waited, number = 0, 1
    while True:
        restore(folder, files)
        died = dies_at_line(number, partial(take_in, folder, NEW), WRITERS)
        if not died:
            break
        number += 7
        if not pending(folder):
            continue
        waited += 1
        table.write_bytes(table.read_bytes() + by_hand.encode())
        seen = state(folder)
        take_in(folder, NEW)
        assert state(folder) == seen
        assert by_hand in table.read_text(encoding="utf-8")
        table.write_text(table.read_text(encoding="utf-8").replace(by_hand, ""), encoding="utf-8")
        assert state(folder) == new
        assert [p.name for p in folder.rglob(".*") if p.name != ".knockon.lock"] == []
    assert waited > 3


def test_where_edit_and_import_cannot_both_stand_it_is_said_and_nothing_lost(folder: Path) -> None:
    take_in(folder, OLD)
    table = folder / "features" / "rolling_bearing.csv"
    files, number = {p: p.read_bytes() for p in folder.rglob("*.csv")}, 1
    while not (pending(folder) and table in pending(folder)):
        restore(folder, files)
        assert dies_at_line(number, partial(take_in, folder, NEW), WRITERS)
        number += 3
    beside = pending(folder)[table].beside
    edited = b"part,feature,colour\nA-1,f,red\n"
    table.write_bytes(edited)
    for _ in range(2):
        with pytest.raises(RecordsError, match="edited after an import into it was cut short"):
            take_in(folder, NEW)
        with pytest.raises(RecordsError, match="its columns were edited"):
            state(folder)
        assert table.read_bytes() == edited and beside.exists()
    beside.unlink()  # as the message says: the table was put right by hand
    table.write_bytes(files[table])
    take_in(folder, NEW)


def test_a_killed_command_leaves_the_old_or_the_new(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "s.csv"
    path.write_text("Part,Width (mm)\nA-2,7.5\n", encoding="utf-8")
    command = [sys.executable, "-m", "knockon", "import", str(path), "--accept-mapping", "--records", str(folder)]
    command += ["--table", "features/lip_seal", "--feature", "f"]
    assert subprocess.run(command, capture_output=True, check=False).returncode == 0
    old = state(folder)
    path.write_text("Part,Width (mm)\nA-2,8.5\nA-2,x\n", encoding="utf-8")
    began = time.monotonic()
    files = {p: p.read_bytes() for p in folder.rglob("*.csv")}
    assert subprocess.run(command, capture_output=True, check=False).returncode == 1
    whole, new = time.monotonic() - began, state(folder)
    for share in (0.3, 0.5, 0.7, 0.8, 0.9, 0.95):
        restore(folder, files)
        process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
        time.sleep(whole * share)
        process.kill()
        process.wait()
        assert state(folder) in (old, new)


@pytest.mark.parametrize("files_written", range(5))
def test_a_full_disk_is_said_and_changes_nothing(
    folder: Path, monkeypatch: pytest.MonkeyPatch, files_written: int
) -> None:
    take_in(folder, OLD)
    old = state(folder)
    left = [files_written]
    real = os.fsync

    def full(descriptor: int) -> None:
        left[0] -= 1
        if left[0] < 0:
            raise OSError(28, os.strerror(28))
        real(descriptor)

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(NotWritten, match=r"the disk is full\. Nothing was changed"):
        take_in(folder, NEW)
    assert state(folder) == old
    assert [p.name for p in folder.rglob(".*") if p.name != ".knockon.lock"] == []


def test_a_process_that_may_write_nothing_says_so(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "s.csv"
    path.write_text("Part,Width (mm)\nA-2,7.5\n", encoding="utf-8")
    before = state(folder)
    command = [sys.executable, "-m", "knockon", "import", str(path), "--accept-mapping", "--records", str(folder)]
    command += ["--table", "features/lip_seal", "--feature", "f"]
    done = subprocess.run(
        command,
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "KNOCKON_CACHE": "off"},
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (0, 0)),
    )
    assert done.returncode == 2 and "Traceback" not in done.stderr
    assert "Nothing was changed" in done.stderr
    assert state(folder) == before


def test_two_imports_at_once_lose_nothing(folder: Path) -> None:
    works = [partial(take_in, folder, sheets(f"{n}.5", f"{n - 20}.5", "?"), f"s{n}.xlsx") for n in range(28, 34)]
    assert at_once(works) == [0] * 6
    kept = {k.read for k in read_kept(folder) if k.column == "bore"}
    assert kept == {"?", *(f"{n}.5 mm" for n in range(28, 34))}
    table = (folder / "features" / "rolling_bearing.csv").read_text(encoding="utf-8")
    assert all(f"A-1,f,{n}.5 mm" in table for n in range(28, 34))


@pytest.mark.parametrize(
    "text", ["{", "[]", '{"../x.csv": ".y.staged"}', '{"parts.csv": "/etc/passwd"}', '{"a.ttl": ".y.staged"}']
)
def test_a_list_that_names_something_else_is_refused(folder: Path, text: str) -> None:
    (folder / LIST).write_text(text, encoding="utf-8")
    with pytest.raises(RecordsError, match=r"knockon\.pending\.json"):
        take_in(folder, OLD)
