"""A command that has written says so and reports no failure, whatever goes wrong afterwards."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from knockon.graph.exchange import merging
from knockon.graph.files.atomic import NotWritten, write_whole
from knockon.graph.files.rdf_files import club_files, note_files
from knockon.graph.quarantine import all_or_none as together
from knockon.graph.quarantine import read_book
from knockon.graph.records import RecordsError, load_records
from knockon.graph.records import load as load_folder
from knockon.queries.intake.sheets.entry_names import names_of
from knockon.queries.ui.commands.intake import import_ as command_import
from knockon.queries.ui.commands.intake import quarantine as command_quarantine
from tests.commands.running import Ran, run
from tests.commands.running import full as in_place
from tests.exchange.world import write_world

NOTE = ("note", "add", "--member", "m3", "--text", "did it", "--outcome", "worked", "--part", "S-1")
SHEET = "Part,Length (mm)\nS-1,12.7\nS-2,1x\n"


@pytest.fixture
def ours(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    return write_world(tmp_path / "ours")


def ask_of(folder: Path, *arguments: str) -> Ran:
    return run(*arguments, "--records", str(folder))


def sheet_of(folder: Path) -> tuple[str, ...]:
    path = folder.parent / "mine.csv"
    path.write_text(SHEET, encoding="utf-8")
    options = ("--accept-mapping", "--table", "features/spacer", "--feature", "spacer", "--source", "N1")
    return ("import", str(path), *options)


def club_of(folder: Path, name: str = "north") -> Path:
    other = write_world(folder.parent / f"of-{name}")
    file = folder.parent / f"{name}.nq"
    ran = ask_of(other, "share", str(folder.parent / f"{name}.trig"), "--club", name)
    assert ran.status == 0, ran.err
    return file.with_suffix(".trig")


def fails_the_second_time(real: Callable[..., object], error: BaseException) -> Callable[..., object]:
    """The function, raising the error from its second call on."""
    calls = []

    def once(*arguments: object, **options: object) -> object:
        calls.append(1)
        if len(calls) > 1:
            raise error
        return real(*arguments, **options)

    return once


@pytest.mark.parametrize(
    ("error", "said"),
    [
        (RecordsError("features: cannot be looked into"), "features: cannot be looked into"),
        (OSError(5, "Input/output error"), "Input/output error"),
        (MemoryError(), "MemoryError"),
        (KeyboardInterrupt(), "stopped"),
        (ZeroDivisionError("a slip of ours"), "a fault of knockon itself"),
    ],
)
@pytest.mark.parametrize("as_json", [False, True])
def test_a_note_that_is_written_is_no_failure_where_the_records_cannot_be_read_again(
    ours: Path, monkeypatch: pytest.MonkeyPatch, error: BaseException, said: str, as_json: bool
) -> None:
    where = "knockon.queries.ui.commands.club.note.load_records"
    monkeypatch.setattr(where, fails_the_second_time(load_records, error))
    ran = ask_of(ours, *NOTE, *(["--json"] if as_json else []))
    assert ran.status == 0
    assert [p.name for p in note_files(ours)] == ["N03.nq"]
    assert said in ran.err and "N03 is written. Do not write it again" in " ".join(ran.err.split())
    if as_json:
        document = json.loads(ran.out)
        assert (document["written"], document["notes"], document["status"]) == ("N03", [], 0)
        assert said in document["not_read"]
    else:
        assert ran.out == "Written: N03.\n"


def test_where_all_can_be_read_nothing_is_said_beside_it(ours: Path) -> None:
    ran = ask_of(ours, *NOTE, "--json")
    document = json.loads(ran.out)
    assert (ran.status, ran.err, document["written"], document["not_read"]) == (0, "", "N03", "")


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="a device that is always full")
def test_every_command_that_has_written_says_so_where_its_answer_cannot_be_shown(ours: Path) -> None:
    """The real command, its standard output a full disk; the exit status is what it is with room."""
    club, given = str(club_of(ours)), str(ours.parent / "all.nq")
    commands = {
        NOTE: (0, "Written: N03"),
        ("note", "withdraw", "N2", "--member", "m2"): (0, "Withdrawn: N2"),
        ("merge", club): (0, "north: "),
        ("merge", "--remove", "north"): (0, "Removed: north"),
        sheet_of(ours): (1, "mine.csv: 1 of 2 rows loaded, 1 in quarantine"),
        ("export", given): (0, "Written:"),
        ("share", str(ours.parent / "us.trig"), "--club", "us"): (0, "Written:"),
    }
    for command, (status, said) in commands.items():
        done = into_a_full_disk(ours, command)
        assert done.returncode == status, (command, done.stderr)
        assert said in done.stderr and "could not be shown" in done.stderr
    entry = names_of(read_book(ours))[0]
    done = into_a_full_disk(ours, ("quarantine", "--accept", f"{entry}=0"))
    assert done.returncode == 0 and "read as '?': loaded" in done.stderr
    assert into_a_full_disk(ours, ("note", "list")).returncode == 2  # this one wrote nothing


def into_a_full_disk(folder: Path, command: tuple[str, ...]) -> subprocess.CompletedProcess[str]:
    words = [sys.executable, "-m", "knockon", *command, "--records", str(folder)]
    with open("/dev/full", "wb") as full:
        return subprocess.run(words, stdout=full, stderr=subprocess.PIPE, text=True, check=False)


def test_choices_that_are_written_are_no_failure_where_the_records_cannot_be_read_again(
    ours: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    assert ask_of(ours, *sheet_of(ours)).status == 1
    entry = names_of(read_book(ours))[0]

    def fails(_: object) -> object:
        raise RecordsError("the records: cannot be read")

    monkeypatch.setattr(command_quarantine, "load", fails)
    assert ask_of(ours, "quarantine").status == 2  # nothing was chosen
    ran = ask_of(ours, "quarantine", "--accept", f"{entry}=0", "--json")
    assert ran.status == 0 and "the choices are written" in " ".join(ran.err.split())
    result = in_place(ran.out)["result"]
    assert [a["loaded"] for a in result["accepted"]] == [True] and "cannot be read" in result["not_read"]
    assert "S-2,spacer,?" in (ours / "features" / "spacer.csv").read_text(encoding="utf-8")


def test_an_import_whose_mapping_cannot_be_kept_is_imported(ours: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    command = sheet_of(ours)
    monkeypatch.setattr(command_import, "_keep", lambda path, content: "the mapping could not be kept: no room")
    ran = ask_of(ours, *command, "--json")
    assert ran.status == 1, ran.err
    result = in_place(ran.out)["result"]
    assert result["loaded"] == 1 and "the mapping could not be kept: no room" in result["remarks"]


def test_an_import_that_counts_but_is_not_in_its_place_yet_is_imported(
    ours: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The list that makes it count stands; the disk refuses the renames."""
    command = sheet_of(ours)
    real = together._put_in_place

    def refuse(waiting: object) -> None:
        raise OSError(5, "Input/output error")

    monkeypatch.setattr(together, "_put_in_place", refuse)
    ran = ask_of(ours, *command, "--json")
    assert ran.status == 1, ran.err
    result = in_place(ran.out)["result"]
    assert result["loaded"] == 1 and any("the next import puts it in place" in r for r in result["remarks"])
    assert "12.7 mm" in str(load_folder(ours).catalogue.features_of("S-1")["spacer"].dimensions["length"])
    monkeypatch.setattr(together, "_put_in_place", real)
    assert ask_of(ours, *command).status == 1
    assert "S-1,spacer,12.7 mm" in (ours / "features" / "spacer.csv").read_text(encoding="utf-8")


def test_of_two_clubs_in_one_file_one_that_was_written_is_told_and_the_other_too(
    ours: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    both = tmp_path / "both.nq"
    for name in ("north", "south"):
        assert ask_of(write_world(tmp_path / f"w-{name}"), "merge", str(club_of(ours, name))).status in (0, 1)
        both.write_bytes(
            (both.read_bytes() if both.exists() else b"") + (tmp_path / f"w-{name}/clubs/{name}.nq").read_bytes()
        )

    def full(path: Path, content: bytes) -> None:
        if path.stem == "south":
            raise NotWritten(f"{path}: the disk is full; Nothing was changed")
        write_whole(path, content)

    monkeypatch.setattr(merging, "write_whole", full)
    ran = ask_of(ours, "merge", str(both), "--json")
    assert ran.status == 1, ran.err
    taken = {t["club"]: (t["taken"], t["how"]) for t in in_place(ran.out)["result"]["taken"]}
    assert taken == {"north": (True, "first"), "south": (False, "not written")}
    assert [p.stem for p in club_files(ours)] == ["north"]
    again = ask_of(ours, "merge", str(both))  # now it is all that there is to write
    assert again.status == 2 and "disk is full; Nothing was changed" in " ".join(again.err.split())


def test_what_a_killed_import_left_of_its_mapping_is_cleared_by_the_next_one(ours: Path) -> None:
    left = ours.parent / ".mine.csv-metadata.json.0123abcd.part"
    other = ours.parent / ".other.csv-metadata.json.0123abcd.part"
    left.write_text("{", encoding="utf-8")
    other.write_text("{", encoding="utf-8")
    assert ask_of(ours, *sheet_of(ours)).status == 1
    assert not left.exists() and other.exists()
