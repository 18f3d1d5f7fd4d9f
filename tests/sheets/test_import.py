"""A member's sheets go in: every row accounted for, none read wrongly in silence, again and again."""

import csv
import shutil
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from zipfile import ZIP_DEFLATED, ZipFile

import pytest

from knockon.graph.mapping import ColumnMap, Mapping, MappingError, read_mapping, write_mapping
from knockon.graph.quantity import read_cell
from knockon.graph.quarantine import read_book, read_kept
from knockon.graph.sheets import SheetError, find_head, open_sheets
from knockon.queries.intake.accepting import accept_all
from knockon.queries.intake.sheets.entry_names import names_of
from knockon.queries.intake.sheets.imports import ImportAnswer, import_sheets
from tests.commands.running import full
from tests.commands.running import run as command
from tests.sheets.small import rows_of, write_tables
from tests.sheets.workbooks import Rows, ugly_rows, write_csv, write_ods, write_xlsx, write_xlsx_book

TABLES = {
    "parts.csv": "part,name,part type,hand,one use\n"
    "ALDER-211,bearing,wheel bearing,either,no\nALDER-311,bearing,wheel bearing,either,no\n"
    "ALDER-201L,knuckle,knuckle,left,no\nALDER-201R,knuckle,knuckle,right,no\n",
    "sources.csv": "source,title,standing\nm1,a friend,seller\n",
}
BEARINGS = "features/rolling_bearing"
PART, BORE, COLOUR = ColumnMap("Part No", "part"), ColumnMap("Bore", "bore", "mm"), ColumnMap("colour", "")
MAPPING = Mapping("", BEARINGS, (PART, BORE, COLOUR), (("feature", "bearing"), ("source", "m1")))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write_tables(tmp_path, TABLES)


def take_in(folder: Path, path: Path, mapping: Mapping) -> ImportAnswer:
    return import_sheets(folder, path.name, open_sheets(path), (mapping,))


def sheet_of(tmp_path: Path, text: str, encoding: str = "utf-8") -> Path:
    path = tmp_path / "sheet.csv"
    path.write_bytes(text.encode(encoding))
    return path


def bores(folder: Path) -> list[str]:
    return [row["bore"] for row in rows_of(folder, BEARINGS)]


def state(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*.csv")}


@pytest.mark.parametrize(
    ("suffix", "sheet", "write"), [("xlsx", "Sheet1", write_xlsx), ("ods", "One", write_ods), ("csv", "", write_csv)]
)
@pytest.mark.parametrize("seed", range(2))
def test_ugly_workbook_of_500_rows(
    folder: Path, tmp_path: Path, seed: int, suffix: str, sheet: str, write: Callable[[Path, Rows], None]
) -> None:
    """Every row is accounted for, each that should be refused is, and each that is loaded says what it should."""
    rows, truth = ugly_rows(seed)
    path = tmp_path / f"friend.{suffix}"
    write(path, rows)
    mapping = Mapping(sheet, BEARINGS, MAPPING.columns, MAPPING.fixed)
    answer = take_in(folder, path, mapping)
    assert (answer.rows, answer.loaded, answer.quarantined) == (500, len(truth.good), len(truth.bad))
    assert answer.rows + sum(n for _, n in answer.passed_over) == len(rows) - 3
    assert {e.row for e in read_book(folder)} == truth.bad
    read = {k.row: k.read for k in read_kept(folder) if k.column == "bore"}
    for row, bore in truth.good.items():
        reading = read_cell(read[row], "length")[""] if row in read else None
        span = (reading.low, reading.high) if reading is not None and reading.low is not None else None
        assert span == (pytest.approx(bore) if bore is not None else None), (row, rows[row - 1])
    raw = {e.row: e.written for e in read_book(folder) if e.column == "bore"}
    assert all(raw[row] for row in raw)
    before = state(folder)
    again = take_in(folder, path, mapping)
    assert state(folder) == before
    assert (again.added, again.removed) == ((), ())


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("delimiter", [",", ";", "\t", "|"])
def test_any_delimiter_and_encoding(folder: Path, tmp_path: Path, delimiter: str, encoding: str) -> None:
    text = "Part No,Bore,colour\r\nALDER-211,28.575,grün\r\nALDER-311,30,½\r\n".replace(",", delimiter)
    answer = take_in(folder, sheet_of(tmp_path, text, encoding), MAPPING)
    assert (answer.rows, answer.loaded) == (2, 2)
    assert bores(folder) == ["28.575 mm", "29.5..30.5 mm"]  # a whole number without decimals is coarse


@pytest.mark.parametrize(
    ("one", "other", "contradict"),
    [
        ("2.250 in", "2.205 in", True),
        ("25.4 mm", "1 in", False),
        ("25..26 mm", "25.5 mm", False),
        ("25..26 mm", "26..27 mm", False),
        ("25..26 mm", "26.01..27 mm", True),
    ],
)
def test_sizes_of_one_part_contradict_where_they_share_no_value(
    folder: Path, tmp_path: Path, one: str, other: str, contradict: bool
) -> None:
    rows = f"Part No,Bore,colour\nALDER-211,{one},\nALDER-211,{other},\nALDER-311,28 mm,\n"
    told = take_in(folder, sheet_of(tmp_path, rows), MAPPING).contradicted
    assert [(c.part, c.dimension, c.written) for c in told] == [("ALDER-211", "bore", (one, other))] * contradict


def test_two_rows_of_one_part_with_different_bores_are_both_kept(folder: Path, tmp_path: Path) -> None:
    text = "Part No,Bore,colour\nALDER-211,2.250 in,\nALDER-211,2.205 in,\n"
    assert take_in(folder, sheet_of(tmp_path, text), MAPPING).loaded == 2
    assert bores(folder) == ["2.250 in", "2.205 in"]


def test_a_changed_sheet_changes_its_rows_and_no_others(folder: Path, tmp_path: Path) -> None:
    take_in(folder, sheet_of(tmp_path, "Part No,Bore,colour\nALDER-211,28 mm,\nALDER-311,30 mm,\n"), MAPPING)
    path = folder / f"{BEARINGS}.csv"
    path.write_text(path.read_text(encoding="utf-8") + "ALDER-311,bearing,31 mm,m1\n", encoding="utf-8")
    answer = take_in(folder, sheet_of(tmp_path, "Part No,Bore,colour\nALDER-211,28 mm,\nALDER-311,32 mm,\n"), MAPPING)
    assert (answer.added, answer.removed, answer.unchanged) == ((), (), 1)
    assert [(a.before[2], a.after[2]) for a in answer.altered] == [("30 mm", "32 mm")]
    assert bores(folder) == ["28 mm", "31 mm", "32 mm"]


def test_a_table_keeps_its_mark_its_line_ends_and_what_stands_in_it(folder: Path, tmp_path: Path) -> None:
    path = folder / f"{BEARINGS}.csv"
    path.parent.mkdir(exist_ok=True)
    own = b'\xef\xbb\xbfPart,Feature,Bore,Source\r\n\r\nALDER-311,bearing,"31 mm",m1\r\n'
    path.write_bytes(own)
    take_in(folder, sheet_of(tmp_path, "Part No,Bore,colour\nALDER-211,28 mm \u00b10.01,\n"), MAPPING)
    assert path.read_bytes() == own + "ALDER-211,bearing,28 mm \u00b10.01,m1\r\n".encode()
    take_in(folder, sheet_of(tmp_path, "Part No,Bore,colour\nALDER-211,29 mm,\n"), MAPPING)
    assert path.read_bytes().startswith(b"\xef\xbb\xbf")
    assert path.read_bytes().endswith(b"\r\nALDER-311,bearing,31 mm,m1\r\nALDER-211,bearing,29 mm,m1\r\n")


def test_an_accepted_suggestion_loads_the_row_and_stands_in_later_imports(folder: Path, tmp_path: Path) -> None:
    path = sheet_of(tmp_path, "Part No,Bore,colour\nALDER-2l1,08-Mar,\n")
    take_in(folder, path, MAPPING)
    entries = read_book(folder)
    assert [(e.column, e.written, e.suggestions) for e in entries] == [
        ("bore", "08-Mar", ("3/8 in",)),
        ("part", "ALDER-2l1", ("ALDER-211",)),
    ]
    bore, part = names_of(entries)
    assert not accept_all(folder, [(bore, 1)])[0][0].loaded
    assert [n for n, e in zip(names_of(read_book(folder)), read_book(folder), strict=True)] == [part]
    assert accept_all(folder, [(part, 1)])[0][0].loaded
    assert read_book(folder) == () and bores(folder) == ["3/8 in"]
    before = state(folder)
    assert take_in(folder, path, MAPPING).quarantined == 0
    assert state(folder) == before


@pytest.mark.parametrize(
    ("table", "column", "written", "read"),
    [
        (BEARINGS, "bore", '1 1/16"', 26.9875),
        (BEARINGS, "bore", "1.1/8 (old workshop style)", 28.575),
        (BEARINGS, "bore", "1Â½ in", 38.1),
        (BEARINGS, "bore", "27,52", None),
        (BEARINGS, "bore", "08-Mar", None),
        (BEARINGS, "part", "ALDER-201", None),
        (BEARINGS, "part", "ALDER-2O1L", None),
        (BEARINGS, "part", "same as drum one", None),
        ("parts", "hand", "N/S", None),
    ],
)
def test_cells_that_are_read_or_refused(
    folder: Path, tmp_path: Path, table: str, column: str, written: str, read: float | None
) -> None:
    cells = {"part": "ALDER-211", "bore": "28 mm", "hand": "left"} | {column: written}
    names = ["part", "bore"] if table == BEARINGS else ["part", "hand"]
    fixed = (
        (("feature", "bearing"),) if table == BEARINGS else (("name", "x"), ("one use", "no"), ("part type", "knuckle"))
    )
    mapping = Mapping("", table, tuple(ColumnMap(n, n) for n in names), fixed)
    path = tmp_path / "sheet.csv"
    with path.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows([names, [cells[n] for n in names]])
    answer = take_in(folder, path, mapping)
    assert answer.loaded == (read is not None)
    if read is None:
        assert [(e.column, e.written) for e in answer.entries] == [(column, written)]
    else:
        assert read_cell(bores(folder)[0], "length")[""].low == pytest.approx(read)


def test_a_spline_count_leaves_the_pitch_unknown(folder: Path, tmp_path: Path) -> None:
    mapping = Mapping(
        "", "features/external_spline", (ColumnMap("no", "part"), ColumnMap("spline", "pitch")), (("feature", "s"),)
    )
    assert take_in(folder, sheet_of(tmp_path, "no,spline\nALDER-211,25 spl\n"), mapping).loaded == 1
    read = {k.column: k.read for k in read_kept(folder)}
    assert (read["teeth"], read["pitch"]) == ("25", "?")


def test_ods_is_read(tmp_path: Path) -> None:
    path = tmp_path / "sheet.ods"
    write_ods(path, [["Part No", "Bore (mm)"], ["ALDER-211", "28"]])
    (sheet,) = open_sheets(path)
    assert sheet.rows == ((1, ("Part No", "Bore (mm)")), (2, ("ALDER-211", "28")))
    assert find_head(sheet).units == ("", "mm")


def test_a_sheet_of_headers_alone_has_a_head_and_no_rows(tmp_path: Path) -> None:
    (sheet,) = open_sheets(sheet_of(tmp_path, "Part No,Bore (mm)\n"))
    head = find_head(sheet)
    assert (head.first, head.last, head.titles, head.units) == (1, 1, ("Part No", "Bore"), ("", "mm"))


def test_merged_cells_stand_for_each_cell_that_they_cover(tmp_path: Path) -> None:
    path = tmp_path / "sheet.xlsx"
    write_xlsx(path, [["Part No", "Bore"], ["ALDER-211", 28], ["", 29]], merged="A2:A3")
    (sheet,) = open_sheets(path)
    assert [cells for _, cells in sheet.rows][1:] == [("ALDER-211", "28"), ("ALDER-211", "29")]


def test_mapping_survives_being_written(tmp_path: Path) -> None:
    mapping = Mapping(
        "One", BEARINGS, (PART, ColumnMap("OD", "outside diameter", "in", True), COLOUR), MAPPING.fixed, "left"
    )
    path = tmp_path / "m.json"
    path.write_bytes(write_mapping((mapping,), "x.csv"))
    assert read_mapping(path) == (mapping,)


def test_a_column_is_found_by_any_of_its_titles(folder: Path, tmp_path: Path) -> None:
    """CSVW compares all titles; where a sheet has two of them, the one that is named first is read, the other told."""
    mapping = Mapping("", BEARINGS, (ColumnMap("Number", "part", also=("Part No",)), BORE), MAPPING.fixed)
    answer = take_in(folder, sheet_of(tmp_path, "Part No,Bore\nALDER-211,28 mm\n"), mapping)
    assert (answer.loaded, answer.remarks) == (1, ())
    both = take_in(folder, sheet_of(tmp_path, "Part No,Bore,Number\nALDER-211,29 mm,ALDER-311\n"), mapping)
    assert both.remarks == ("column 'Part No' is not mapped, so its 1 cell is skipped",)
    with pytest.raises(MappingError, match=r"the sheet has no column 'Number' or 'Part No'\. Its columns are No, Bore"):
        take_in(folder, sheet_of(tmp_path, "No,Bore\nALDER-211,28 mm\n"), mapping)


def _hostile(path: Path, sort: str) -> None:
    if sort == "bomb":
        with ZipFile(path, "w", ZIP_DEFLATED) as archive:
            for n in range(4):
                archive.writestr(f"xl/worksheets/sheet{n}.xml", b"\0" * (80 * 2**20))
    elif sort == "doctype":
        write_ods(path, [["a", "b"], ["1", "2"]])
        with ZipFile(path) as archive:
            parts = {name: archive.read(name) for name in archive.namelist()}
        parts["content.xml"] = b'<!DOCTYPE x [<!ENTITY y "' + b"z" * 1000 + b'">]>' + parts["content.xml"]
        with ZipFile(path, "w", ZIP_DEFLATED) as archive:
            for name, content in parts.items():
                archive.writestr(name, content)
    elif sort == "vast":
        write_ods(path, [["a", "b"]])
        with ZipFile(path) as archive:
            text = archive.read("content.xml").decode()
            manifest = archive.read("META-INF/manifest.xml")
        wide = text.replace("<table:table-row>", '<table:table-row table:number-rows-repeated="1000000">').replace(
            "<table:table-cell ", '<table:table-cell table:number-columns-repeated="16000" '
        )
        with ZipFile(path, "w", ZIP_DEFLATED) as archive:
            archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
            archive.writestr("META-INF/manifest.xml", manifest)
            archive.writestr("content.xml", wide)
    else:
        contents = {
            "zip": b"PK\x03\x04nonsense",
            "nul": b"a,b\n\0\0\n",
            "empty": b"",
            "huge cell": b"a,b\n" + b"x" * 200_000,
        }
        path.write_bytes(contents[sort])


@pytest.mark.parametrize("sort", ["bomb", "doctype", "vast", "zip", "nul", "empty", "huge cell"])
def test_hostile_files_give_a_clear_error(tmp_path: Path, sort: str) -> None:
    path = tmp_path / "sheet.xlsx"
    _hostile(path, sort)
    with pytest.raises(SheetError, match=r"sheet\.xlsx"):
        open_sheets(path)


def test_a_workbook_that_is_locked_is_said_to_be(tmp_path: Path) -> None:
    """Bit 0 of an entry's flags, in its own header and in the directory: encrypted (PKWARE APPNOTE 4.4.4)."""
    path = tmp_path / "sheet.ods"
    write_ods(path, [["a", "b"], ["1", "2"]])
    with ZipFile(path) as archive:
        headers = [entry.header_offset + 6 for entry in archive.infolist()]
        start = archive.start_dir
    content = bytearray(path.read_bytes())
    for at in headers:
        content[at] |= 1
    content[content.index(b"PK\x01\x02", start) + 8] |= 1
    path.write_bytes(content)
    with pytest.raises(SheetError, match="is locked by a password"):
        open_sheets(path)


def test_commands_propose_import_and_list(folder: Path, tmp_path: Path) -> None:
    path = sheet_of(tmp_path, "Part No,Bore (mm),colour\nALDER-211,28.5,red\nALDER-311,twelve,\n")

    def run(*arguments: str) -> tuple[int, str]:
        command = [sys.executable, "-m", "knockon", *arguments, "--records", str(folder)]
        done = subprocess.run(command, capture_output=True, text=True, check=False)
        assert "Traceback" not in done.stderr
        return done.returncode, done.stdout

    before = state(folder)
    ask = ("import", str(path), "--table", BEARINGS, "--feature", "bearing", "--source", "m1")
    status, said = run(*ask)
    assert status == 1 and "Bore -> bore" in said and state(folder) == before
    status, said = run(*ask, "--json")
    (proposal,) = full(said)["result"]["proposals"]
    assert status == 1 and [c["name"] for c in proposal["mapping"]["columns"]] == ["part", "bore", ""]
    assert run(*ask, "--accept-mapping")[0] == 1
    status, said = run("quarantine", "--json")
    (listed,) = full(said)["result"]["entries"]
    assert status == 1 and (listed["entry"]["row"], listed["entry"]["written"]) == (3, "twelve")
    assert run("import", str(tmp_path / "none.csv"))[0] == 2
    assert run("check")[0] == 0
    shutil.rmtree(folder)


def test_a_table_beside_a_whole_one_that_lacks_its_part_is_left_and_said(folder: Path, tmp_path: Path) -> None:
    """Of two tables in one file only the one without a part cannot be taken in; the other is not held up by it."""
    sizes = "Part No,Bore (mm),Outside diameter (mm)\nALDER-211,28.5,57.5\nALDER-311,30.5,62.5\n"
    path = sheet_of(tmp_path, sizes + "\nBore (mm),Outside diameter (mm)\n31,63\n")
    ran = command("import", str(path), "--feature", "bearing", "--accept-mapping", "--records", str(folder))
    assert ran.status == 0 and "2 rows, all loaded." in ran.flowing
    assert ran.flowing.count("sheet #2") == 1 and "no column 'part', so nothing of it goes to" in ran.flowing
    assert "'#2' is not mapped" not in ran.flowing  # it is named with what it lacks: once is enough
    assert bores(folder) == ["28.5 mm", "30.5 mm"]


def test_what_is_said_of_every_row_goes_to_the_tables_of_a_file_that_have_such_a_column(
    folder: Path, tmp_path: Path
) -> None:
    (folder / "kits.csv").write_text("kit,title,is\nK1,a box,shelf\n", encoding="utf-8")
    sizes, lines = (
        "Part No,Bore (mm),Outside diameter (mm)\nALDER-211,28.5,57.5\n",
        "Kit,Part,Quantity\nK1,ALDER-211,3\n",
    )
    said = ("--feature", "bearing", "--source", "m1", "--accept-mapping", "--records", str(folder))
    ran = command("import", str(sheet_of(tmp_path, f"{sizes}\n{lines}")), *said)
    assert ran.status == 0 and "2 rows, all loaded." in ran.flowing
    assert bores(folder) == ["28.5 mm"]
    assert [(r["kit"], r["part"], r["quantity"]) for r in rows_of(folder, "kit_lines")] == [("K1", "ALDER-211", "3")]
    (tmp_path / "lines.csv").write_text(lines, encoding="utf-8")
    alone = command("import", str(tmp_path / "lines.csv"), *said)
    assert alone.status == 2 and "kit_lines has no column 'feature'" in alone.err


def test_a_renamed_sheet_is_said_with_what_can_be_done(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "book.xlsx"
    for name, status in (("One", 0), ("Two", 2)):
        write_xlsx_book(path, {name: [["Part No", "Bore"], ["ALDER-211", "28 mm"]]})
        command = [sys.executable, "-m", "knockon", "--records", str(folder), "import", str(path), "--table", BEARINGS]
        options = ["--feature", "bearing", "--source", "m1", "--accept-mapping"]
        done = subprocess.run([*command, *options], capture_output=True, text=True, check=False)
        assert done.returncode == status, done.stderr
    assert "has no sheet 'One', which its mapping names. Its sheets are 'Two'" in " ".join(done.stderr.split())
    assert bores(folder) == ["28 mm"]


def test_folder_and_sheet_may_be_named_from_where_one_stands(folder: Path, tmp_path: Path) -> None:
    sheet_of(tmp_path, "Part No,Bore (mm)\nALDER-211,28.5\nALDER-311,twelve\n").rename(tmp_path / "mine.csv")

    def run(*arguments: str) -> tuple[int, str]:
        command = [sys.executable, "-m", "knockon", *arguments, "--records", folder.name]
        done = subprocess.run(command, capture_output=True, text=True, check=False, cwd=tmp_path)
        return done.returncode, done.stderr

    ask = ("import", "mine.csv", "--table", BEARINGS, "--feature", "bearing", "--source", "m1", "--accept-mapping")
    assert run(*ask) == (1, "")
    kept = state(folder)
    assert (folder / f"{BEARINGS}.csv").exists()
    assert run(*ask)[0] == 1 and state(folder) == kept
    assert run("note", "add", "--member", "m1", "--text", "seen", "--outcome", "worked")[0] == 0
    assert run("share", "shared.trig", "--club", "west", "--licence", "CC0")[0] == 0
    assert run("check")[0] == 0
