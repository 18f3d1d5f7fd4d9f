"""Sheets as people lay them out: merged and hidden cells, dates, faults, several tables and sheets."""

import datetime
from collections.abc import Callable
from pathlib import Path

import pytest

from knockon.graph.mapping import ColumnMap, Mapping, MappingError
from knockon.graph.quarantine import read_book, read_kept
from knockon.graph.sheets import Sheet, find_head, open_sheets
from knockon.graph.sheets.heads import title_and_unit
from knockon.queries.intake.accepting import accept
from knockon.queries.intake.sheets.folder import open_folder
from knockon.queries.intake.sheets.imports import ImportAnswer, import_sheets, propose_mappings
from tests.commands.running import Ran, run
from tests.sheets.workbooks import Fault, Merged, Rows, write_csv, write_ods, write_xlsx, write_xlsx_book

BEARINGS, SEALS = "features/rolling_bearing", "features/lip_seal"
COLUMNS = (ColumnMap("Part No", "part"), ColumnMap("Bore", "bore", "mm"))
FIXED = (("feature", "bearing"),)
HEAD: list[object] = ["Part No", "Bore"]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "records"
    made.mkdir()
    lines = "".join(f"ALDER-{n},x,wheel bearing,either,no\n" for n in (211, 311, 221, 921))
    (made / "parts.csv").write_text(f"part,name,part type,hand,one use\n{lines}", encoding="utf-8")
    return made


def take_in(folder: Path, path: Path, *mappings: Mapping) -> ImportAnswer:
    return import_sheets(folder, path.name, open_sheets(path), mappings)


def bores(folder: Path) -> dict[int, str]:
    return {k.row: k.read for k in read_kept(folder) if k.column == "bore"}


def test_merged_cells_of_ods_stand_for_each_cell_that_they_cover(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "m.ods"
    rows: Rows = [HEAD, [Merged("ALDER-211", down=2), "28 mm"], ["", "28.1 mm"], ["ALDER-311", "30 mm"]]
    write_ods(path, rows)
    answer = take_in(folder, path, Mapping("One", BEARINGS, COLUMNS, FIXED))
    assert (answer.loaded, answer.quarantined) == (3, 0)
    assert bores(folder) == {2: "28 mm", 3: "28.1 mm", 4: "30 mm"}
    assert any("merged" in r for r in answer.remarks)


def test_a_merged_cell_of_ods_covers_its_own_columns_and_rows_and_no_others(tmp_path: Path) -> None:
    path = tmp_path / "m.ods"
    write_ods(path, [
        ["", Merged("b", down=2, across=2), "", ""],
        ["", "", "", "x"],
        ["", "", "", Merged("d", across=2), ""],
        [Merged("a", across=2), "", "", "", ""],
        ["", "", "", "", "y"],
    ])  # fmt: skip
    sheet = open_sheets(path)[0]
    rows = {number: [*cells, *[""] * (5 - len(cells))] for number, cells in sheet.rows}
    assert rows == {
        1: ["", "b", "b", "", ""],
        2: ["", "b", "b", "x", ""],
        3: ["", "", "", "d", "d"],
        4: ["a", "a", "", "", ""],
        5: ["", "", "", "", "y"],
    }


@pytest.mark.parametrize("suffix", ["xlsx", "ods", "csv"])
def test_a_fraction_made_a_date_and_a_failed_formula_go_to_the_quarantine(
    folder: Path, tmp_path: Path, suffix: str
) -> None:
    path = tmp_path / f"d.{suffix}"
    rows: Rows = [HEAD, ["ALDER-211", datetime.date(2026, 3, 8)], ["ALDER-311", Fault("#REF!")], ["ALDER-211", 44993]]
    writers: dict[str, Callable[[Path, Rows], None]] = {"xlsx": write_xlsx, "ods": write_ods, "csv": write_csv}
    writers[suffix](path, rows)
    name = {"xlsx": "Sheet1", "ods": "One", "csv": ""}[suffix]
    answer = take_in(folder, path, Mapping(name, BEARINGS, COLUMNS, FIXED))
    assert (answer.loaded, answer.quarantined) == (0, 3)
    found = {e.row: (e.written, e.suggestions) for e in read_book(folder)}
    assert found[2][1] == found[4][1] == ("3/8 in",)
    assert found[3] == ("#REF!", ())


@pytest.mark.parametrize("gap", [0, 1, 3])
def test_an_error_beyond_the_last_cell_that_says_something_is_read_in_its_own_cell(tmp_path: Path, gap: int) -> None:
    path = tmp_path / "e.ods"
    write_ods(path, [HEAD, ["ALDER-211", "28 mm", *[""] * gap, Fault("#REF!")]])
    (sheet,) = open_sheets(path)
    assert dict(sheet.rows)[2] == ("ALDER-211", "28 mm", *[""] * gap, "#REF!")


def test_an_error_in_a_column_of_words_is_no_word(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "w.xlsx"
    write_xlsx(path, [["Part No", "Name"], ["ALDER-999", Fault("#NAME?")]])
    fixed = (("hand", "either"), ("one use", "no"), ("part type", "wheel bearing"))
    mapping = Mapping("Sheet1", "parts", (ColumnMap("Part No", "part"), ColumnMap("Name", "name")), fixed)
    assert take_in(folder, path, mapping).quarantined == 1


def test_hidden_rows_and_sheets_are_read_and_said(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "h.xlsx"
    sheets: dict[str, Rows] = {"A": [HEAD, ["ALDER-211", 28.5]], "B": [HEAD, ["ALDER-311", 30.5]]}
    write_xlsx_book(path, sheets, hidden_sheets={"B"}, hidden_rows={2})
    answer = take_in(folder, path, *(Mapping(n, BEARINGS, COLUMNS, FIXED) for n in sheets))
    assert answer.loaded == 2
    assert "sheet 'B' is hidden in the spreadsheet. It was read too" in answer.remarks
    assert "sheet 'A' has hidden rows (1). They were read too" in answer.remarks
    ods = tmp_path / "h.ods"
    write_ods(ods, [HEAD, ["ALDER-211", "28 mm"]], hidden_rows={2})
    assert open_sheets(ods)[0].remarks == ("sheet 'One' has hidden rows (1). They were read too",)


def test_a_second_table_in_a_sheet_is_a_table_of_its_own(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "two.xlsx"
    rows: Rows = [
        ["Part No", "Bore (mm)", "Outside diameter (mm)"], ["ALDER-211", 28.5, 57.5], ["", "", ""],
        ["Part No", "Bore (mm)", "Outside diameter (mm)"], ["ALDER-311", 30.5, 62.5], ["Seals", "", ""],
        ["Part No", "Outside diameter (in)", "Inside diameter (in)"], ["ALDER-221", 2.25, 1.25],
    ]  # fmt: skip
    write_xlsx(path, rows)
    first, second = propose_mappings(open_folder(folder), open_sheets(path), "", ())
    assert (first.mapping.sheet, second.mapping.sheet) == ("Sheet1", "Sheet1 #2")
    assert [c.unit for c in second.mapping.columns] == ["", "in", "in"]
    of_seals = Mapping("Sheet1 #2", SEALS, second.mapping.columns, (("feature", "lip"),))
    of_bearings = Mapping(
        "Sheet1", BEARINGS, (*COLUMNS, ColumnMap("Outside diameter", "outside diameter", "mm")), FIXED
    )
    answer = take_in(folder, path, of_bearings, of_seals)
    assert (answer.rows, answer.loaded, answer.passed_over) == (3, 3, (("empty", 1), ("headers repeated", 1)))
    read = {(k.row, k.column): k.read for k in read_kept(folder)}
    assert read[2, "outside diameter"] == "57.5 mm" and read[8, "outside diameter"] == "2.25 in"
    left = take_in(folder, path, of_bearings)
    assert left.remarks[0] == "2 tables were found in sheet 'Sheet1'"
    assert "sheet 'Sheet1 #2' is not mapped, so its 3 rows are skipped" in left.remarks
    assert ("in a sheet or table that is not mapped", 3) in left.passed_over
    assert len(left.removed) == 1


def test_a_column_without_a_title_left_of_the_part_numbers_parts_no_table(folder: Path, tmp_path: Path) -> None:
    """It counts the rows; the table has a second column of part numbers, of what each of its parts goes with."""
    path = tmp_path / "one.csv"
    write_csv(path, [["", "Part No", "Bore (mm)", "Other part"], ["1", "ALDER-211", 28.5, "ROWAN-101"]])
    (whole,) = propose_mappings(open_folder(folder), open_sheets(path), BEARINGS, FIXED)
    assert [c.title for c in whole.mapping.columns] == ["", "Part No", "Bore", "Other part"]


def test_a_sheet_without_headers_does_not_stop_the_others(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "notes.xlsx"
    write_xlsx_book(path, {"Read me": [["mine"], ["2024"]], "Bearings": [HEAD, ["ALDER-211", 28.5]]})
    (proposal,) = propose_mappings(open_folder(folder), open_sheets(path), BEARINGS, FIXED)
    assert proposal.mapping.sheet == "Bearings"
    answer = take_in(folder, path, Mapping("Bearings", BEARINGS, COLUMNS, FIXED))
    assert answer.loaded == 1 and "sheet 'Read me' is not mapped, so its 2 rows are skipped" in answer.remarks


def test_two_header_rows_with_groups_and_units(tmp_path: Path) -> None:
    path = tmp_path / "g.xlsx"
    rows: Rows = [["Part No", "Bearing", "", "Seal"], ["", "Bore (mm)", "OD", "ID (in)"], ["ALDER-211", 28, 57, 1]]
    write_xlsx(path, rows)
    head = find_head(open_sheets(path)[0])
    assert head.titles == ("Part No", "Bearing Bore", "Bearing OD", "Seal ID")
    assert head.units == ("", "mm", "", "in")


def test_totals_are_passed_over_and_a_part_whose_name_begins_so_is_not(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "t.csv"
    rows: Rows = [HEAD, ["ALDER-211", 28.5], ["Total", "57.0 mm"], ["Total seal", "see drawing"], ["Sum:", ""]]
    write_csv(path, rows)
    answer = take_in(folder, path, Mapping("", BEARINGS, COLUMNS, FIXED))
    assert (answer.loaded, answer.quarantined, answer.passed_over) == (1, 1, (("total", 2),))


def test_what_no_column_takes_is_said(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "c.csv"
    write_csv(path, [["Part No", "Bore", "colour", "Bore"], ["ALDER-211", 28.5, "red", 29.5]])
    answer = take_in(folder, path, Mapping("", BEARINGS, COLUMNS, FIXED))
    assert answer.remarks == (
        "column 'colour' is not mapped, so its 1 cell is skipped",
        "the second column 'Bore' is not mapped, so its 1 cell is skipped",
    )


def test_a_row_that_the_table_held_before_is_not_taken_out(folder: Path, tmp_path: Path) -> None:
    table = folder / f"{BEARINGS}.csv"
    table.parent.mkdir()
    table.write_text("part,feature,bore\nALDER-211,bearing,28 mm\n", encoding="utf-8")
    path, mapping = tmp_path / "a.csv", Mapping("", BEARINGS, COLUMNS, FIXED)
    write_csv(path, [HEAD, ["ALDER-211", "28 mm"], ["ALDER-311", "30 mm"]])
    assert [c.cells[2] for c in take_in(folder, path, mapping).added] == ["30 mm"]
    assert take_in(folder, path, mapping).added == ()
    write_csv(path, [HEAD])
    assert [c.cells[2] for c in take_in(folder, path, mapping).removed] == ["30 mm"]
    assert table.read_text(encoding="utf-8") == "part,feature,bore\nALDER-211,bearing,28 mm\n"


def test_a_row_that_two_files_say_stays_while_one_of_them_says_it(folder: Path, tmp_path: Path) -> None:
    mapping = Mapping("", BEARINGS, COLUMNS, FIXED)
    for name in ("a.csv", "b.csv"):
        write_csv(tmp_path / name, [HEAD, ["ALDER-211", "28 mm"]])
        take_in(folder, tmp_path / name, mapping)
    write_csv(tmp_path / "a.csv", [HEAD])
    take_in(folder, tmp_path / "a.csv", mapping)
    assert "ALDER-211,bearing,28 mm" in (folder / f"{BEARINGS}.csv").read_text(encoding="utf-8")


def test_the_same_key_with_another_value_is_not_the_last_to_win(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "p.csv"
    rows: Rows = [["Part No", "Name"], ["ALDER-211", "seal"], ["ALDER-999", "one"], ["ALDER-999", "another"]]
    write_csv(path, rows)
    fixed = (("hand", "either"), ("one use", "no"), ("part type", "wheel bearing"))
    mapping = Mapping("", "parts", (ColumnMap("Part No", "part"), ColumnMap("Name", "name")), fixed)
    answer = take_in(folder, path, mapping)
    assert (answer.loaded, answer.quarantined) == (1, 2)
    assert {e.row: e.why for e in answer.entries} == {
        2: "row 2 of parts.csv has the same key and says 'x'",
        4: "row 3 of the sheet has the same key and says 'one'",
    }
    write_csv(path, [*rows[:2], ["ALDER-999", "other"]])
    again = take_in(folder, path, mapping)
    assert [(a.before[1], a.after[1]) for a in again.altered] == [("one", "other")]


def test_a_feature_is_of_one_kind(folder: Path, tmp_path: Path) -> None:
    table = folder / f"{SEALS}.csv"
    table.parent.mkdir()
    table.write_text("part,feature,width\nALDER-211,bearing,7 mm\n", encoding="utf-8")
    path = tmp_path / "k.csv"
    write_csv(path, [HEAD, ["ALDER-211", "28 mm"], ["ALDER-311", "30 mm"]])
    answer = take_in(folder, path, Mapping("", BEARINGS, COLUMNS, FIXED))
    assert (answer.loaded, [e.why for e in answer.entries]) == (
        1,
        ["row 2 of features/lip_seal.csv records this feature of the part as another kind"],
    )


def test_a_choice_goes_with_its_row_when_rows_are_added_above(folder: Path, tmp_path: Path) -> None:
    path, mapping = tmp_path / "c.csv", Mapping("", BEARINGS, COLUMNS, FIXED)
    write_csv(path, [HEAD, ["ALDER-211", "08-Mar"]])
    take_in(folder, path, mapping)
    assert accept(folder, 1, 1).loaded
    write_csv(path, [HEAD, ["ALDER-311", "30 mm"], ["", ""], ["ALDER-211", "08-Mar"], ["ALDER-311", "08-Mar"]])
    answer = take_in(folder, path, mapping)
    assert (answer.loaded, answer.quarantined, answer.unchanged) == (2, 1, 1)
    assert [e.row for e in answer.entries] == [5]


def test_a_choice_for_one_row_is_none_for_another(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "c.csv"
    columns = (*COLUMNS, ColumnMap("Width", "assembled width", "mm"))
    write_csv(path, [[*HEAD, "Width"], ["ALDER-211", "08-Mar", "17 mm"], ["ALDER-311", "30 mm", "08-May"]])
    take_in(folder, path, Mapping("", BEARINGS, columns, FIXED))
    assert accept(folder, 1, 1).loaded
    assert accept(folder, 1, 1).loaded
    read = {(k.row, k.column): k.read for k in read_kept(folder)}
    assert (read[2, "bore"], read[2, "assembled width"]) == ("3/8 in", "17 mm")
    assert (read[3, "bore"], read[3, "assembled width"]) == ("30 mm", "5/8 in")


@pytest.mark.parametrize(("row", "tables"), [(["see", "width", "box"], 1), (["thickness", "width", "box"], 2)])
def test_a_row_of_words_begins_a_table_only_where_most_of_them_are_titles(
    folder: Path, tmp_path: Path, row: list[object], tables: int
) -> None:
    path = tmp_path / "w.csv"
    write_csv(path, [[*HEAD, "Remark"], ["ALDER-211", "28 mm", "ok"], row, ["ALDER-311", "30 mm", "ok"]])
    assert len(propose_mappings(open_folder(folder), open_sheets(path), "", ())) == tables


def test_a_sheet_of_the_same_name_from_another_member_puts_nothing_out(folder: Path, tmp_path: Path) -> None:
    (folder / "sources.csv").write_text("source,title,standing\nm1,a,worn\nm2,b,worn\n", encoding="utf-8")
    path = tmp_path / "sheet.csv"
    write_csv(path, [HEAD, ["ALDER-211", "28 mm"]])
    first, second = (Mapping("", BEARINGS, COLUMNS, (*FIXED, ("source", m))) for m in ("m1", "m2"))
    take_in(folder, path, first)
    before = (folder / f"{BEARINGS}.csv").read_bytes()
    with pytest.raises(MappingError, match="from m1 was imported before, and this one is from m2"):
        take_in(folder, path, second)
    assert (folder / f"{BEARINGS}.csv").read_bytes() == before
    answer = import_sheets(folder, path.name, open_sheets(path), (second,), replace=True)
    assert [(a.before[-1], a.after[-1]) for a in answer.altered] == [("m1", "m2")]


def test_the_command_replaces_a_sheet_from_another_member_only_where_it_is_told_to(
    folder: Path, tmp_path: Path
) -> None:
    (folder / "sources.csv").write_text("source,title,standing\nm1,a,worn\nm2,b,worn\n", encoding="utf-8")

    def take(member: str, *options: str) -> Ran:
        path = tmp_path / member / "sheet.csv"
        path.parent.mkdir(exist_ok=True)
        write_csv(path, [HEAD, ["ALDER-211", "28 mm"]])
        chosen = ("--accept-mapping", "--feature", "bearing", "--source", member)
        return run("--records", str(folder), "import", str(path), *chosen, *options)

    assert take("m1").status == 0
    refused = take("m2")
    assert refused.status == 2 and "from m1 was imported before, and this one is from m2" in " ".join(
        refused.err.split()
    )
    assert take("m2", "--replace").status == 0
    (written,) = (folder / "features").glob("*.csv")
    assert written.read_text(encoding="utf-8").splitlines()[-1].endswith("m2")


@pytest.mark.parametrize(
    ("titles", "table", "columns"),
    [
        ("P/N,ID (mm),O.D.,ring width", BEARINGS, ("part", "bore", "outside diameter", "ring width")),
        ("PART NUMBER,Seal ID,Seal OD", SEALS, ("part", "inside diameter", "outside diameter")),
        ("Part,No. of teeth,Spline pitch", "features/external_spline", ("part", "teeth", "pitch")),
        ("Supplier,Part number,Price each,colour", "offers", ("supplier", "part", "price", "")),
        ("Pt No,Qty,Kit", "kit_lines", ("part", "quantity", "kit")),
    ],
)
def test_a_mapping_is_proposed_by_likeness(folder: Path, titles: str, table: str, columns: tuple[str, ...]) -> None:
    sheet = Sheet("x.csv", "", ((1, tuple(titles.split(","))), (2, ("1.5",) * len(columns))))
    (proposal,) = propose_mappings(open_folder(folder), [sheet], "", ())
    assert (proposal.mapping.table, tuple(c.name for c in proposal.mapping.columns)) == (table, columns)


@pytest.mark.parametrize(
    ("title", "plain", "unit"),
    [
        ("Bore (mm)", "Bore", "mm"),
        ("Bore, in mm", "Bore", "mm"),
        ("Length in inches", "Length", "in"),
        ("O/D in", "O/D", "in"),
        ("No. 2 bore (mm)", "No. 2 bore", "mm"),
        ("Bore (inch) new", "Bore new", "in"),
        ("Bore (mm/in)", "Bore", ""),
        ("Bore mm or in", "Bore", ""),
        ("Bore (mm) / OD (in)", "Bore / OD", ""),
        ('Bore (0.001")', 'Bore (0.001")', ""),
        ("Bore (1/1000 in)", "Bore (1/1000 in)", ""),
        ("Bore x 10 mm", "Bore x 10 mm", ""),
        ("Fit in", "Fit in", ""),
        ("Bore (max) in hub", "Bore (max) in hub", ""),
    ],
)
def test_a_title_states_a_unit_only_where_it_states_one(title: str, plain: str, unit: str) -> None:
    assert title_and_unit(title) == (plain, unit)
