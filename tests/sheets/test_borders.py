"""Where one table of a sheet ends and another begins: beside it, below it, wider, under a heading nobody knows."""

from __future__ import annotations

from pathlib import Path

import pytest

from knockon.graph.mapping.model import Mapping
from knockon.graph.mapping.propose import Proposal
from knockon.graph.quarantine import read_book, read_kept
from knockon.graph.sheets import open_sheets
from knockon.queries.intake.accepting import accept
from knockon.queries.intake.sheets.folder import open_folder
from knockon.queries.intake.sheets.imports import ImportAnswer, import_sheets, propose_mappings
from knockon.queries.intake.sheets.reading import _too_many_cells
from tests.sheets.workbooks import Rows, write_xlsx

PARTS = {"B-1": "wheel bearing", "B-2": "wheel bearing", "S-1": "bearing spacer", "S-2": "bearing spacer",
         "J-1": "outer joint"}  # fmt: skip
LAYOUT = {
    "layouts.csv": "layout,title\nfront,a front axle\n",
    "positions.csv": "layout,position,level,part type,quantity,need,group,order\n"
    "front,bearing,corner,wheel bearing,1,needed,a,10\nfront,joint,corner,outer joint,1,needed,a,20\n"
    "front,flange,corner,drive flange,1,needed,a,30\n",
    "joints.csv": "layout,joint,position,feature,other position,other feature,rule\n"
    "front,bearing on joint,bearing,bearing,joint,journal,bearing on journal\n"
    "front,flange on joint,joint,stub spline,flange,spline,spline\n",
}
BEARINGS, SPACERS = "features/rolling_bearing", "features/spacer"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "records"
    made.mkdir()
    rows = "".join(f"{number},x,{part_type},either,no\n" for number, part_type in PARTS.items())
    (made / "parts.csv").write_text(f"part,name,part type,hand,one use\n{rows}", encoding="utf-8")
    return made


def take_in(folder: Path, rows: Rows, table: str = "", suffix: str = "xlsx") -> ImportAnswer:
    path = folder.parent / f"sheet.{suffix}"
    if suffix == "xlsx":
        write_xlsx(path, rows)
    else:
        path.write_text("".join(",".join(map(str, row)) + "\n" for row in rows), encoding="utf-8")
    sheets = open_sheets(path)
    found = propose_mappings(open_folder(folder), sheets, table, (("feature", "f"),))
    return import_sheets(folder, path.name, sheets, [p.mapping for p in found if p.can_be_read])


def sizes(folder: Path) -> dict[tuple[str, str], str]:
    """What was loaded: each size by its part and dimension."""
    rows: dict[tuple[str, int, str], dict[str, str]] = {}
    for one in read_kept(folder):
        rows.setdefault((one.sheet, one.row, one.table), {})[one.column] = one.read
    return {(r["part"], n): cell for r in rows.values() for n, cell in r.items() if n not in ("part", "feature")}


@pytest.mark.parametrize("suffix", ["xlsx", "csv"])
@pytest.mark.parametrize("gap", [[], [""], ["", ""]])
def test_tables_beside_each_other_keep_their_sizes_apart(folder: Path, suffix: str, gap: list[object]) -> None:
    rows: Rows = [
        ["Part", "I.D. (mm)", "O.D. (mm)", *gap, "Part", "Length (mm)"],
        ["B-1", 28.5, 57.5, *gap, "S-1", 12.62],
        ["B-2", 30.5, 62.5, *gap, "S-2", 13.25],
        ["", "", "", *gap, "S-1", 12.63],
    ]
    answer = take_in(folder, rows, suffix=suffix)
    assert (answer.rows, answer.loaded, answer.quarantined) == (5, 5, 0)
    found = sizes(folder)
    assert found["B-1", "outside diameter"] == "57.5 mm" and found["S-2", "length"] == "13.25 mm"
    assert not [k for k in found if k[0].startswith("B") and k[1] == "length"]
    assert not [k for k in found if k[0].startswith("S") and k[1] != "length"]


def test_a_cell_beyond_the_header_keeps_its_row_waiting_unless_it_is_blank(folder: Path) -> None:
    """Else a comma that belongs to a cell would shift the sizes behind it into other columns, unnoticed."""
    rows: Rows = [["Part", "I.D. (mm)", "O.D. (mm)"], ["B-1", 28.5, 57.5, "", ""], ["B-2", 30, 5, 62.5]]
    answer = take_in(folder, rows, BEARINGS, suffix="csv")
    assert (answer.loaded, answer.quarantined) == (1, 1)
    assert {k[0] for k in sizes(folder)} == {"B-1"}
    (entry,) = read_book(folder)
    assert entry.row == 3 and entry.why.startswith("4 cells, and the header has 3.")


@pytest.mark.parametrize(
    ("cells", "many"),
    [
        (("B-1",), 0),
        (("B-1", "28"), 0),
        (("B-1", "28", "", ""), 0),
        (("B-1", "28", "5"), 3),
        (("", "", "", "5", ""), 4),
    ],
)
def test_of_the_cells_beyond_the_longest_header_row_the_last_that_is_not_blank_counts(
    cells: tuple[str, ...], many: int
) -> None:
    why = _too_many_cells([("Part",), ("", "Bore")], cells)
    assert why.startswith(f"{many} cells, and the header has 2.") if many else not why


@pytest.mark.parametrize(("likeness", "lacking"), [((90.0, 0.0), ()), ((0.0, 0.0), ()), ((90.0, 0.0), ("feature",))])
def test_rows_are_read_where_some_column_is_alike_and_no_required_one_is_lacking(
    likeness: tuple[float, ...], lacking: tuple[str, ...]
) -> None:
    proposal = Proposal(Mapping("", BEARINGS, ()), likeness, lacking)
    assert proposal.can_be_read == (max(likeness) > 0 and len(lacking) == 0)


def test_groups_of_one_part_are_no_tables_beside_each_other(folder: Path) -> None:
    rows: Rows = [["Part", "Bore (mm)", "", "Assembled width (mm)"], ["B-1", 28.5, "", 17.5]]
    answer = take_in(folder, rows, BEARINGS)
    assert (answer.rows, answer.loaded) == (1, 1)
    assert sizes(folder)["B-1", "assembled width"] == "17.5 mm"


@pytest.mark.parametrize("blank", [[], [[""]]])
@pytest.mark.parametrize("more", [["Pitch"], ["Pitch", "Major diameter (mm)"], ["Pitch", "Zorg", "Flum"]])
def test_a_wider_table_below_is_a_table_of_its_own(folder: Path, blank: Rows, more: list[object]) -> None:
    rows: Rows = [["Part", "Bore (mm)"], ["B-1", 28.5], *blank, ["Part", "Teeth", *more], ["J-1", 21, "24/48"]]
    take_in(folder, rows, BEARINGS)
    assert ("J-1", "bore") not in sizes(folder)
    assert sizes(folder)["B-1", "bore"] == "28.5 mm"


@pytest.mark.parametrize("heading", [["What", "Zähne", "Flanken"], ["Thing", "Teeth", "Snorf"], ["Welle", "Zahnzahl"]])
def test_rows_below_a_heading_that_was_not_understood_do_not_load(folder: Path, heading: list[object]) -> None:
    rows: Rows = [["Part", "Bore (mm)", "O.D. (mm)"], ["B-1", 28.5, 57.5], heading, ["B-2", 21, 24], ["J-1", 25, 1]]
    answer = take_in(folder, rows, BEARINGS)
    assert answer.rows == answer.loaded + answer.quarantined and answer.loaded == 1
    assert {k[0] for k in sizes(folder)} == {"B-1"}
    if answer.quarantined:
        assert any("looks like a heading" in e.why for e in read_book(folder))


def test_a_bad_row_is_no_heading(folder: Path) -> None:
    rows: Rows = [["Part", "Bore (mm)"], ["B-1", "see drawing"], ["hub bearing", "same as above"], ["B-2", 30.5]]
    answer = take_in(folder, rows, BEARINGS)
    assert (answer.loaded, answer.quarantined) == (1, 2)


def test_a_feature_that_does_not_go_with_the_part_waits_until_a_person_says_so(folder: Path) -> None:
    rows: Rows = [["Part", "Bore (mm)"], ["B-1", 28.5], ["J-1", 21.5], ["S-1", 29.5]]
    for name, text in LAYOUT.items():
        (folder / name).write_text(text, encoding="utf-8")
    answer = take_in(folder, rows, BEARINGS)
    assert (answer.loaded, answer.quarantined) == (2, 1)  # of spacers these records know nothing
    (entry,) = read_book(folder)
    assert (entry.row, entry.column, entry.suggestions) == (3, "feature", ("f",))
    assert "no outer joint of these records has one" in entry.why
    assert accept(folder, 1, 1).loaded
    assert sizes(folder)["J-1", "bore"] == "21.5 mm"
    assert take_in(folder, rows, BEARINGS).quarantined == 0


LEFT: Rows = [["Part", "I.D. (mm)", "O.D. (mm)"], ["B-1", "28", "57"], ["B-2", "25", "52"], ["B-1", "28", "57"]]
RIGHT: Rows = [["Part", "Length (mm)"], ["S-1", "12.6"], ["S-2", "twelve"]]
SPREAD = {("B-1", "inside diameter"): "27.5..28.5 mm", ("B-2", "inside diameter"): "24.5..25.5 mm"}


@pytest.mark.parametrize("suffix", ["xlsx", "csv"])
@pytest.mark.parametrize("gap", [0, 1, 2])
@pytest.mark.parametrize("down", [0, 1, 2, 3, 4, 5])
@pytest.mark.parametrize("swapped", [False, True])
def test_a_table_beside_another_may_begin_lower(folder: Path, suffix: str, gap: int, down: int, swapped: bool) -> None:
    """Its rows load or wait: none is passed over as a column without a title."""
    upper, lower = (RIGHT, LEFT) if swapped else (LEFT, RIGHT)
    high: Rows = [*upper, *([] for _ in range(down + len(lower) - len(upper)))]
    low: Rows = [*([] for _ in range(down)), *lower, *([] for _ in range(len(high) - down - len(lower)))]
    left, right = (low, high) if swapped else (high, low)
    wide = max(map(len, left))
    rows: Rows = [[*a, *[""] * (wide - len(a) + gap), *b] for a, b in zip(left, right, strict=True)]
    answer = take_in(folder, rows, suffix=suffix)
    assert (answer.rows, answer.loaded, answer.quarantined) == (5, 4, 1)
    assert not any("not mapped" in r for r in answer.remarks)
    found = sizes(folder)
    assert {k: v for k, v in found.items() if k in SPREAD} == SPREAD and found["S-1", "length"].startswith("12.")
    assert [e.written for e in read_book(folder)] == ["twelve"]
