"""What a user types and the program reads as something else: sizes with a minus sign, names that mean something, dates
that no calendar has."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from knockon.queries.intake.check_names import read_as_else, vehicle_read_as_else
from tests.commands.running import run
from tests.sheets.filling import fill
from tests.unit.small import TABLES, folder_of

NEW = ("--layout", "driven front corner", "--choice", "disc", "--choice", "pair with spacer", "--choice", "ball joint")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    return folder_of(tmp_path / "own")


def notes(folder: Path) -> list[str]:
    return [p.name for p in folder.glob("notes/*.nq")]


# ------------------------------------------------------------------------------------------- a minus sign in front


@pytest.mark.parametrize("value", ["-20 mm", "-.5 in", "-½ in", "- 20 mm", "-1 inch"])
def test_a_reading_below_zero_is_a_reading_and_no_option(folder: Path, value: str) -> None:
    ran = run("measured", "--records", str(folder), "my-cart", "left hub, diameter", value, "--by", "m1")
    assert ran.status == 2 and "No such option" not in ran.err and "Usage" not in ran.err, ran.err
    assert "below zero" in ran.err and notes(folder) == []


def test_options_before_between_and_behind_are_options_still(folder: Path) -> None:
    words = ("--by", "m1", "my-cart", "--tool", "caliper", "left hub, diameter", "-20 mm", "--as-read", "--json")
    assert "below zero" in run("measured", "--records", str(folder), *words).err
    ran = run("measured", "--records", str(folder), "--corect", "my-cart", "left hub, diameter", "-20 mm")
    assert ran.status == 2 and "--corect" in ran.err and "--correct" in ran.err
    behind = run("measured", "--records", str(folder), "my-cart", "--", "left hub, diameter", "-20 mm")
    assert "below zero" in behind.err


@pytest.mark.parametrize(
    "words",
    [
        'within "-1 inch" "-30..-20 mm"',
        'decide "-1 mm" "-2 mm" --instrument "0.1 mm"',
        'decide --instrument "0.1 mm" "-1 inch" "-2 mm"',
    ],
)
def test_a_size_below_zero_in_the_workshop_is_a_size_also_in_inches(words: str) -> None:
    import shlex

    ran = run("calculate", *shlex.split(words))
    assert ran.status == 0 and "Usage" not in ran.out, (ran.out, ran.err)


def test_half_the_gap_does_not_decide_whatever_binary_fractions_say() -> None:
    """20.3 less 20 is a little above 0.3 in binary fractions."""
    ran = run("calculate", "decide", "20 mm", "20.3 mm", "--instrument", "0.15 mm")
    assert ran.status == 1 and "does not decide" in ran.out
    assert run("calculate", "decide", "20 mm", "20.3 mm", "--instrument", "0.149 mm").status == 0


# ----------------------------------------------------------------------------------------------- dates that cannot be


@pytest.mark.parametrize("date", ["31.2.2026", "2026-02-30", "31 Apr 2026", "29.2.2025", "2026-13-01"])
def test_a_day_that_there_is_not_is_refused_wherever_a_date_is_given(folder: Path, date: str) -> None:
    measured = run("measured", "--records", str(folder), "my-cart", "left hub, diameter", "20 mm", "--date", date)
    noted = ("note", "add", "--member", "m1", "--text", "seen", "--outcome", "told", "--date", date)
    for ran in (measured, run(noted[0], noted[1], "--records", str(folder), *noted[2:])):
        assert ran.status == 2 and date in ran.err and "no such day" in ran.err, ran.err
    assert notes(folder) == []


@pytest.mark.parametrize("date", ["2026-02-28", "spring 1968", "May 2011", "2014"])
def test_a_vague_date_is_taken(folder: Path, date: str) -> None:
    ran = run("measured", "--records", str(folder), "my-cart", "left hub, diameter", "20 mm", "--date", date)
    assert ran.status == 0, ran.err


def test_check_points_to_a_date_in_a_table(folder: Path) -> None:
    path = folder / "sources.csv"
    lines = path.read_text(encoding="utf-8").splitlines()
    head = lines[0].split(",")
    row = {"source": "odd", "title": "odd", "standing": "seller", "date": "31.6.2026"}
    head += [c for c in row if c not in head]
    wide = [",".join([line, *[""] * (len(head) - len(lines[0].split(",")))]) for line in lines[1:]]
    path.write_text("\n".join([",".join(head), *wide, ",".join(row.get(c, "") for c in head)]) + "\n", encoding="utf-8")
    ran = run("--json", "check", "--records", str(folder))
    found = [f for f in json.loads(ran.out)["result"]["findings"] if f["written"] == "31.6.2026"]
    assert [(f["file"], f["row"], f["column"]) for f in found] == [("sources.csv", len(lines) + 1, "date")]


def test_the_date_of_a_measuring_sheet_waits_and_the_readings_are_loaded(tmp_path: Path) -> None:
    own = tmp_path / "own"
    assert run("new", str(own), *NEW, "--vehicle", "mine").status == 0
    sheet = fill(
        own / "measuring.xlsx",
        {"left": {"outer joint, stub spline: major diameter": {"reading": 20.9}}},
        {"left": {"measured by": "m1", "date": "31.2.2026"}},
    )
    ran = run("--json", "import", "--records", str(own), str(sheet))
    answer = json.loads(ran.out)["result"]
    assert answer["loaded"] == 1
    (entry,) = answer["entries"]
    assert (entry["column"], entry["written"]) == ("date", "31.2.2026") and "no such day" in entry["why"]
    assert "31.2.2026" not in (own / "sources.csv").read_text(encoding="utf-8")


def test_a_time_at_which_nothing_can_be_shared(folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "out.nq"
    ran = run("share", "--records", str(folder), str(out), "--club", "c", "--date", "2026-02-31T10:00:00Z")
    assert ran.status == 2 and not out.exists()


# ------------------------------------------------------------------------------------- names that mean something else

ELSE = ["?", "all", "ALL", "absent", "n/a", "unknown", "tbc", "-x", "=1+1", "@x", "a;b", "not known", "same as yours"]


@pytest.mark.parametrize("name", ELSE)
def test_new_refuses_a_name_that_means_something_else(tmp_path: Path, name: str) -> None:
    ran = run("new", str(tmp_path / "own"), *NEW, f"--vehicle={name}")
    assert ran.status == 2 and "is no name for a vehicle: it " in " ".join(ran.err.split()), ran.err
    assert not (tmp_path / "own").exists()


@pytest.mark.parametrize("name", ["mine", "Aunt All", "red one?", "mini-1", "left behind", "1275", "absentia"])
def test_a_plain_name_is_a_name(name: str) -> None:
    assert vehicle_read_as_else(name) == ""


@pytest.mark.parametrize("name", ["?", "n/a", "-x", "a;b"])
def test_all_is_no_name_of_a_vehicle_only(name: str) -> None:
    assert read_as_else(name) and not read_as_else("all")


def test_check_points_to_such_names_with_their_row(folder: Path) -> None:
    (folder / "vehicles.csv").write_text(
        TABLES["vehicles.csv"] + "all,every one,cart axle,no,cart,cart\n?,who knows,cart axle,no,cart,cart\n",
        encoding="utf-8",
    )
    ran = run("--json", "check", "--records", str(folder))
    rows = len(TABLES["vehicles.csv"].splitlines())
    found = [f for f in json.loads(ran.out)["result"]["findings"] if f["expected"].startswith("another name")]
    assert [(f["file"], f["row"], f["column"], f["written"]) for f in found] == [
        ("vehicles.csv", rows + 1, "vehicle", "all"),
        ("vehicles.csv", rows + 2, "vehicle", "?"),
    ]
    assert ran.status == 1
