"""A reading that came from a measuring sheet is corrected and taken back like any other, and stays so."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from knockon.graph.model.things import Statement
from knockon.graph.records import load
from tests.commands.running import Ran, run
from tests.sheets.filling import Cells, fill

NEW = ("--layout", "driven front corner", "--choice", "disc", "--choice", "pair with spacer", "--choice", "ball joint")
STUB = "outer joint, stub spline: major diameter"
WHAT = f"left {STUB}"


@pytest.fixture(scope="module")
def new_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("new") / "own"
    assert run("new", str(folder), *NEW, "--vehicle", "mine").status == 0
    return folder


@pytest.fixture
def folder(new_folder: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    folder = Path(shutil.copytree(new_folder, tmp_path / "own"))
    assert take(folder, {"left": {STUB: {"reading": 20.9}}}).status == 0
    return folder


def take(folder: Path, cells: Cells) -> Ran:
    return run("import", "--records", str(folder), str(fill(folder / "measuring.xlsx", cells)))


def again(folder: Path) -> None:
    assert run("import", "--records", str(folder), str(folder / "measuring.xlsx")).status == 0


def measured(folder: Path, *words: str) -> Ran:
    return run("measured", "--records", str(folder), "mine", *words)


def told(folder: Path, *words: str) -> dict:  # type: ignore[type-arg]
    ran = run("--json", "measured", "--records", str(folder), "mine", *words)
    answer: dict = json.loads(ran.out)["result"]  # type: ignore[type-arg]
    return answer


def said(folder: Path) -> list[str]:
    feature = load(folder).catalogue.features.get("mine left outer joint", {}).get("stub spline")
    found: tuple[Statement, ...] = feature.dimensions.get("major diameter", ()) if feature else ()
    return sorted(s.written for s in found if not s.unknown)


def test_a_correction_counts_alone_and_the_sheet_imported_again_changes_nothing(folder: Path) -> None:
    assert said(folder) == ["20.9 mm ±0.02 mm"]
    ran = measured(folder, WHAT, "20.97 mm", "--correct", "--by", "m1")
    assert ran.status == 0 and "Corrected in note N01, by m1." in ran.flowing
    assert "measuring.xlsx, sheet 'left', row" in ran.flowing and "says 20.9 mm ±0.02 mm" in ran.flowing
    assert said(folder) == ["20.97 mm ±0.02 mm"]
    again(folder)
    assert said(folder) == ["20.97 mm ±0.02 mm"]


def test_what_it_said_before_is_in_the_note_and_in_the_answer(folder: Path) -> None:
    answer = told(folder, WHAT, "20.97 mm", "--correct", "--by", "m1")
    (cell,) = answer["cells_before"]
    assert (cell["file"], cell["sheet"], cell["column"]) == ("measuring.xlsx", "left", "major diameter")
    assert cell["written"] == "20.9 mm ±0.02 mm"
    assert "instead of 20.9 mm ±0.02 mm (measuring.xlsx" in load(folder).catalogue.notes["N01"].text


def test_taken_back_nothing_is_known_of_it_and_who_did_so_is(folder: Path) -> None:
    ran = measured(folder, WHAT, "--withdraw", "--by", "m2")
    assert ran.status == 0 and "Note N01 says so, by m2." in ran.flowing
    assert said(folder) == []
    again(folder)
    assert said(folder) == []
    note = load(folder).catalogue.notes["N01"]
    assert note.member == "m2" and "20.9 mm ±0.02 mm (measuring.xlsx" in note.text
    ran = measured(folder, WHAT, "--withdraw")
    assert ran.status == 2 and "nobody has recorded a reading" in " ".join(ran.err.split())


def test_a_correction_taken_back_leaves_nothing_and_the_sheet_filled_anew_counts(folder: Path) -> None:
    assert measured(folder, WHAT, "20.97 mm", "--correct", "--by", "m1").status == 0
    assert measured(folder, WHAT, "--withdraw", "--by", "m1").status == 0
    assert said(folder) == []
    assert take(folder, {"left": {STUB: {"reading": 20.8}}}).status == 0
    assert said(folder) == ["20.8 mm ±0.02 mm"]


def test_that_a_feature_is_not_there_is_taken_back_too(folder: Path) -> None:
    assert take(folder, {"left": {"knuckle, caliper lugs: bolt pitch": {"reading": "none there"}}}).status == 0
    assert load(folder).catalogue.features["mine left knuckle"]["caliper lugs"].absent
    assert measured(folder, "left knuckle, caliper lugs: bolt pitch", "--withdraw", "--by", "m1").status == 0
    assert not load(folder).catalogue.features["mine left knuckle"]["caliper lugs"].absent
    again(folder)
    assert not load(folder).catalogue.features["mine left knuckle"]["caliper lugs"].absent


def test_a_note_and_a_sheet_that_both_say_it_go_together(folder: Path) -> None:
    assert measured(folder, WHAT, "20.95 mm", "--by", "m1").status == 0
    assert measured(folder, WHAT, "20.97 mm", "--correct", "--by", "m1").status == 0
    assert said(folder) == ["20.97 mm ±0.02 mm"]


def test_the_same_as_the_sheet_says_writes_nothing(folder: Path) -> None:
    ran = measured(folder, WHAT, "20.9 mm")
    assert ran.status == 0 and "This is recorded already (measuring, mine left)." in ran.flowing
    assert not list(folder.glob("notes/*"))


def test_the_rest_of_the_sheet_and_of_the_tables_stays(folder: Path) -> None:
    assert take(folder, {"left": {"outer joint, stub spline: teeth": {"reading": 25}}}).status == 0
    before = (folder / "features/external_spline.csv").read_text("utf-8").splitlines()
    assert measured(folder, WHAT, "20.97 mm", "--correct", "--by", "m1").status == 0
    after = (folder / "features/external_spline.csv").read_text("utf-8").splitlines()
    assert [line for line in before if "20.9 mm" not in line] == [line for line in after if ",?," not in line]
    assert len(after) == len(before)
