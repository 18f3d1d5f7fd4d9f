"""What a sheet carries down, and the claims in it: ditto marks, a name for several rows, listed for, superseded by."""

from __future__ import annotations

from pathlib import Path

import pytest

from knockon.graph.quarantine import read_book, read_kept
from knockon.graph.records import load
from knockon.queries.accepting import accept
from knockon.queries.chains import chain_of
from knockon.queries.imports import ImportAnswer
from tests.sheets.small import rows_of, take_in_as_proposed, write_tables
from tests.sheets.workbooks import Rows, write_xlsx

BEARINGS = "features/rolling_bearing"
TABLES = {
    "parts.csv": "part,name,part type,hand,one use\nB-1,bearing,wheel bearing,either,no\n"
    "B-2,bearing,wheel bearing,either,no\nB-3,bearing,wheel bearing,either,no\n",
    "sources.csv": "source,title,standing\nlist,a seller's list,seller\n",
    "layouts.csv": "layout,title\nfront,a front axle\n",
    "vehicles.csv": "vehicle,title,layout,as made\nmk-a,Mk A,front,yes\nmk-b,Mk B,front,yes\n",
    "kits.csv": "kit,title,is,per\nBOX,a box,kit,axle\n",
}
HEAD: list[object] = ["Part No", "Bore (mm)"]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write_tables(tmp_path, TABLES)


def take_in(folder: Path, rows: Rows, table: str = BEARINGS) -> ImportAnswer:
    path = folder.parent / "sheet.xlsx"
    write_xlsx(path, rows)
    return take_in_as_proposed(folder, path, table, (("feature", "bearing"), ("source", "list")))


def table(folder: Path, name: str) -> list[dict[str, str]]:
    return [{k: v for k, v in row.items() if v} for row in rows_of(folder, name)]


def bores(folder: Path) -> list[tuple[str, str]]:
    return [(r["part"], r.get("bore", "")) for r in table(folder, BEARINGS)]


@pytest.mark.parametrize("mark", ['"', "''", "do", "do.", "ditto", "as above", "〃"])
def test_a_ditto_mark_says_what_stands_above_it(folder: Path, mark: str) -> None:
    answer = take_in(folder, [HEAD, ["B-1", 28.5], ["B-2", mark], [mark, 30.5]])
    assert answer.quarantined == 0
    assert bores(folder) == [("B-1", "28.5 mm"), ("B-2", "28.5 mm"), ("B-2", "30.5 mm")]
    flags = {(k.row, k.column): k.flags for k in read_kept(folder) if k.flags}
    assert flags == {(3, "bore"): f"{mark}: as in the row above", (4, "part"): f"{mark}: as in the row above"}


def test_a_blank_name_is_that_of_the_row_above_and_a_blank_size_is_not(folder: Path) -> None:
    rows: Rows = [[*HEAD, "O.D. (mm)"], ["B-1", 28.5, 57.5], ["", 28.6, ""], ["B-2", "", 62.5]]
    assert take_in(folder, rows).quarantined == 0
    assert bores(folder) == [("B-1", "28.5 mm"), ("B-1", "28.6 mm"), ("B-2", "")]
    assert "outside diameter" not in table(folder, BEARINGS)[1]


def test_nothing_is_carried_over_an_empty_row_a_heading_or_the_first_row(folder: Path) -> None:
    rows: Rows = [HEAD, ["", 27.5], ["B-1", 28.5], ["", ""], ["", 28.6], HEAD, ['"', 28.7]]
    assert take_in(folder, rows).quarantined == 3
    assert bores(folder) == [("B-1", "28.5 mm")]


def test_what_is_carried_down_from_a_row_in_quarantine_waits_as_well(folder: Path) -> None:
    answer = take_in(folder, [HEAD, ["B-9", 28.5], ["", 28.6], ["B-1", "abc"], ["B-2", "do"]])
    assert (answer.loaded, answer.quarantined) == (0, 4)


def test_a_kit_named_once_is_the_kit_of_the_lines_below_it(folder: Path) -> None:
    assert take_in(folder, [["kit", "part", "qty"], ["BOX", "B-1", 2], ["", "B-2", 1]], "kit_lines").loaded == 2
    assert [r["kit"] for r in table(folder, "kit_lines")] == ["BOX", "BOX"]


def test_a_part_without_a_number_is_not_the_part_above_it(folder: Path) -> None:
    head: list[object] = ["part", "name", "part type", "hand", "one use"]
    rows: Rows = [head, ["N-1", "x", "wheel bearing", "either", "no"], ["", "y", "wheel bearing", "either", "no"]]
    assert take_in(folder, rows, "parts").quarantined == 1


def test_listed_for_becomes_a_claim_of_the_sheets_source(folder: Path) -> None:
    rows: Rows = [[*HEAD, "Listed for"], ["B-1", 28.5, "Mk A / mk-b"], ["B-2", 30.5, ""]]
    assert take_in(folder, rows).quarantined == 0
    said = {"part": "B-1", "claim": "listed for", "text": "Mk A / mk-b", "source": "list"}
    assert table(folder, "claims") == [said | {"vehicle": v} for v in ("mk-a", "mk-b")]
    assert "listed for" not in table(folder, BEARINGS)[0]
    assert not [f for f in load(folder).findings if f.set_aside]
    again = take_in(folder, rows)
    assert (again.added, again.removed) == ((), ())
    take_in(folder, [[*HEAD, "Listed for"], ["B-1", 28.5, "Mk A"], ["B-2", 30.5, ""]])
    assert [c["vehicle"] for c in table(folder, "claims")] == ["mk-a"]


@pytest.mark.parametrize(
    ("cell", "by"),
    [("B-2", ["B-2"]), ("use B-2, then also change the spacer", ["B-2"]), ("B-2 + B-3", ["B-2", "B-3"]),
     ("B-2 if early", ["B-2"]), ("b 2 (from 1972)", ["B-2"])],
)  # fmt: skip
def test_superseded_by_becomes_a_claim_with_its_condition(folder: Path, cell: str, by: list[str]) -> None:
    assert take_in(folder, [[*HEAD, "Superseded by"], ["B-1", 28.5, cell]]).loaded == 1
    catalogue = load(folder).catalogue
    steps = chain_of(catalogue, "B-1").newer
    assert [s.by for s in steps] == by
    assert {s.condition for s in steps} == ({cell} if cell != "B-2" else {""})
    (kept,) = (k for k in read_kept(folder) if k.column == "superseded by")
    assert ("condition is kept" in kept.flags) == (cell not in ("B-2", "B-2 + B-3"))
    assert not catalogue.features_of("B-2")


def test_a_claim_about_something_unknown_waits_and_its_choice_stands(folder: Path) -> None:
    rows: Rows = [
        [*HEAD, "Listed for", "Superseded by"],
        ["B-1", 28.5, "mk-c", ""],
        ["B-2", 30.5, "", "no longer made"],
    ]
    assert take_in(folder, rows).quarantined == 2
    assert [(e.column, bool(e.suggestions)) for e in read_book(folder)] == [
        ("listed for", True),
        ("superseded by", False),
    ]
    assert accept(folder, 1, 1).loaded
    assert take_in(folder, rows).quarantined == 1
    assert [c["vehicle"] for c in table(folder, "claims")] in (["mk-a"], ["mk-b"])
