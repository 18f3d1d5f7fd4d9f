"""Small sheets, each ugly in a way of its own, through the command: every row is loaded or waits with its reason."""

from __future__ import annotations

import csv
import datetime
import re
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from knockon.graph.files.delimited import LONGEST_CELL
from knockon.queries.ui.command_line import main
from tests.commands.running import full
from tests.sheets.workbooks import Fault, Merged, Rows, write_ods, write_xlsx, write_xlsx_book

PARTS = "part,name,part type,hand,one use\n" + "".join(
    f"{name}-{number},{kind},{kind},either,no\n"
    for name, kind in (("B", "wheel bearing"), ("J", "outer joint"))
    for number in range(1, 13)
)
TABLES = {
    "parts.csv": PARTS,
    "sources.csv": "source,title,standing\nm1,a friend,seller\n",
    "suppliers.csv": "supplier,title,postage\nDunmallow,Dunmallow,5\n",
    "kits.csv": "kit,title,is,supplier,price\nK,the kit,kit,Dunmallow,10\n",
}
BEARINGS = ("--table", "features/rolling_bearing", "--feature", "bearing", "--source", "m1")
COMMA = (*BEARINGS, "--decimal-comma")
OFFERS = ("--table", "offers", "--set", "supplier=Dunmallow")
DATE = datetime.date(2026, 3, 8)


@dataclass(frozen=True)
class Ugly:
    """A sheet and what must come of it.

    ``loaded``: what ``column`` of the table says then, by part. ``waits``: row and record column of each cell in the
    quarantine. ``passed``: rows that are no data. ``said``: pieces of the remarks.
    """

    name: str
    make: Callable[[Path], Path]
    options: tuple[str, ...]
    column: str
    loaded: dict[str, str]
    waits: tuple[tuple[int, str], ...] = ()
    passed: int = 0
    said: tuple[str, ...] = ()


def text(content: str, encoding: str = "utf-8") -> Callable[[Path], Path]:
    def make(folder: Path) -> Path:
        path = folder / "sheet.csv"
        path.write_bytes(content.encode(encoding))
        return path

    return make


def xlsx(rows: Rows, merged: str = "") -> Callable[[Path], Path]:
    def make(folder: Path) -> Path:
        write_xlsx(folder / "book.xlsx", rows, merged)
        return folder / "book.xlsx"

    return make


def ods(rows: Rows) -> Callable[[Path], Path]:
    def make(folder: Path) -> Path:
        write_ods(folder / "book.ods", rows, hidden_rows=[3])
        return folder / "book.ods"

    return make


def book(folder: Path) -> Path:
    bearings: Rows = [["Part No", "Bore (in)"], ["B-1", 1], ["B-2", "1 1/8"], ["B-3", 1.125]]
    old: Rows = [["Part No", "Bore (in)"], ["B-4", 1]]
    notes: Rows = [["nothing to see"], ["really"]]
    sheets = {"Bearings": bearings, "Old": old, "Notes": notes}
    write_xlsx_book(folder / "book.xlsx", sheets, hidden_sheets=["Old"], hidden_rows=[3])
    return folder / "book.xlsx"


SHEETS = [
    Ugly(
        "German, semicolons, Windows-1252, CRLF",
        text(
            "Teilenummer;Bohrung (mm);Außendurchmesser (mm);Breite (mm)\r\n"
            "B-1;25,4;52,0;15,0\r\nB-2;28;58;17,25\r\nB-3;1.125;58,5;16\r\n",
            "cp1252",
        ),
        COMMA, "bore", {"B-1": "25.4 mm", "B-2": "27.5..28.5 mm"}, ((4, "bore"),), said=("Windows-1252",),
    ),
    Ugly(
        "French, from one to another",
        text("Numéro;Alésage (mm);Largeur (mm)\nB-1;25,4;15,0\nB-2;de 25,2 à 25,4;15,0\n"),
        COMMA, "bore", {"B-1": "25.4 mm", "B-2": "25.2..25.4 mm"},
    ),
    Ugly(
        "tabs, UTF-16 with its mark, a row of units, a total",
        text("Part No\tBore\tWidth\n\tin\tin\nB-1\t1.000\t.625\nB-2\t1 1/8\t11/16\nTotal\t\t3\n", "utf-16"),
        BEARINGS, "bore", {"B-1": "1.000 in", "B-2": "1 1/8 in"}, passed=1,
    ),
    Ugly(
        "UTF-16 without a mark, hard blanks",
        text("Part No;Bore;OD\nB-1;25 mm;52 mm\nB-2;25\u00a0mm;52 mm\n", "utf-16-le"),
        BEARINGS, "bore", {"B-1": "25 mm", "B-2": "25 mm"}, said=("read as utf-16-le",),
    ),
    Ugly(
        "bars, and blanks of every sort",
        text("Part No|Bore|OD|Width\nB-1|1.000 in|?|\nB-2|1 1/8\"|n/a|tbc\nB-3|-|58 mm|17.25 mm\n"),
        BEARINGS, "bore", {"B-1": "1.000 in", "B-2": '1 1/8"'}, ((4, "bore"),),
    ),
    Ugly(
        "quotation marks, doubled, and cells of two lines",
        text(
            'Part No,"Bore\n(any)",Remark\nB-1,25.4 mm,"two\nlines"\n"B-2","1 1/8""",ok\nB-3,"25.4 mm\n(measured)",x\n'
        ),
        BEARINGS, "bore", {"B-1": "25.4 mm", "B-2": '1 1/8"'}, ((4, "bore"),), said=("'Remark' is not mapped",),
    ),
    Ugly(
        "title above, headers repeated, total, notes below",
        text(
            "Stock list of the club,,\n,,\nPart No,Bore mm,OD mm\nB-1,28.0,58.0\nPart No,Bore mm,OD mm\n"
            "B-2,28.575,57.15\nTotal,2,\n,,\nNotes: measured with calipers,,\n* = doubtful,,\n"
        ),
        BEARINGS, "bore", {"B-1": "28.0 mm", "B-2": "28.575 mm"}, ((9, "part"), (10, "part")), 3,
    ),
    Ugly(
        "columns in another order, a part that is not known, none at all",
        text("Width,OD,Bore,Part No\n15 mm,52 mm,25 mm,B-1\n15 mm,52 mm,25 mm,\n15 mm,,25 mm,B-99\n15 mm,,25 mm,b 3\n"),
        BEARINGS, "bore", {"B-1": "25 mm", "B-3": "25 mm"}, ((3, "part"), (4, "part")),
    ),
    Ugly(
        "a workbook with a date, a fault, a serial number and an apostrophe",
        xlsx([
            ["Part No", "Bore", "OD"], ["", "mm", "mm"], ["B-1", 25.4, DATE], ["B-2", 28.575, 57.15],
            ["B-3", Fault("#DIV/0!"), 52], ["B-4", 0.1 + 0.2 + 27.7, 52.5], ["B-5", 45300, 52], ["B-6", "'25.0", 52],
        ]),
        BEARINGS, "bore", {"B-2": "28.575 mm", "B-4": "27.5..28.5 mm", "B-6": "'25.0 mm"},
        ((3, "outside diameter"), (5, "bore"), (7, "bore")),
    ),
    Ugly(
        "hidden rows, a hidden sheet, one of notes", book, BEARINGS, "bore",
        {"B-1": "1 in", "B-2": "1 1/8 in", "B-3": "1.125 in", "B-4": "1 in"}, passed=2,
        said=("sheet 'Bearings' has hidden rows", "sheet 'Old' is hidden", "'Notes' is not mapped"),
    ),
    Ugly(
        "a merged group above its columns",
        xlsx([["Part No", "Size", "", ""], ["", "Bore", "OD", "Width"], ["B-1", "25.4 mm", "52 mm", "15 mm"]], "B1:D1"),
        BEARINGS, "bore", {"B-1": "25.4 mm"}, said=("merged cells: 1",),
    ),
    Ugly(
        "mm and inch side by side",
        xlsx([["Measured 2021"], ["Part No", "Bore", "", "OD"], ["", "mm", "in", "mm"], ["B-1", 25.4, 1, 52.5]]),
        BEARINGS, "bore", {"B-1": "25.4 mm"}, said=("'(in)' is not mapped",),
    ),
    Ugly(
        "ods: a date, a fault, a hidden row, a part of two rows",
        ods([
            ["Part No", "Bore mm", "OD mm"], ["B-1", 25.4, 52.5], ["B-2", DATE, 52.5], ["B-3", Fault("#REF!"), 52.5],
            [Merged("B-5", down=2), "25.0", "52.0"], ["", "26.0", "52.0"],
        ]),
        BEARINGS, "bore", {"B-1": "25.4 mm", "B-5": "26.0 mm"}, ((3, "bore"), (4, "bore")),
        said=("merged cells: 1", "hidden rows"),
    ),
    Ugly(
        "a delimiter that the file states",
        text("sep=;\nPart No;Bore\nB-1;25.4 mm\nB-2;1 1/8\"\n"),
        BEARINGS, "bore", {"B-1": "25.4 mm", "B-2": '1 1/8"'},
    ),
    Ugly(
        "two columns of one name",
        text("Part No,Bore,Bore,OD\nB-1,25.4 mm,26 mm,52 mm\n"),
        BEARINGS, "bore", {"B-1": "25.4 mm"}, said=("second column 'Bore'",),
    ),
    Ugly(
        "unquoted decimal commas",
        text("Part No,Bore,OD\nB-1,25,4 mm,52 mm\nB-2,25 mm,52 mm\nB-3,25 mm,52 mm,nice one\nB-4,25,4,52,15 mm\n"),
        BEARINGS, "bore", {"B-2": "25 mm"}, ((2, ""), (4, ""), (5, "")),
    ),
    Ugly(
        "unquoted decimal commas where the sheet writes them",
        text("Part No,Bore (mm),OD (mm)\nB-1,25,4,52,0\nB-2,25,4,52\nB-3,\"25,4\",52\n"),
        COMMA, "bore", {"B-3": "25.4 mm"}, ((2, ""), (3, "")),
    ),
    Ugly(
        "a comma in a text beside two whole numbers",
        text("Part No,Bore (mm),Width (mm),Remark\nB-1,26,15,spare, used\nB-2,26,15,spare\n"),
        COMMA, "bore", {"B-2": "25.5..26.5 mm"}, ((2, ""),),
    ),
    Ugly(
        "a column without a title beside two whole numbers",
        text("Part No,Bore (mm),Width (mm),\nB-1,26,15,spare\n"),
        BEARINGS, "bore", {"B-1": "25.5..26.5 mm"}, said=("a column without title",),
    ),
    Ugly(
        "signs that end a line elsewhere",
        text("Part No,Bore,Remark\nB-1,25 mm,first\u2028second\nB-2,25 mm,a\x0bb\nB-3,25 mm,a\x85b\n"),
        BEARINGS, "bore", {"B-1": "25 mm", "B-2": "25 mm", "B-3": "25 mm"},
    ),
    Ugly(
        "rows too short, too long, empty",
        text("Part No,Bore\nB-1,25.4 mm,extra,cells\nB-2\nB-3,25.4 mm\n\n\n"),
        BEARINGS, "bore", {"B-2": "", "B-3": "25.4 mm"}, ((2, ""),), passed=2,
    ),
    Ugly(
        "units in headers that say nothing plain",
        text("Part No,Bore (mm or in),Width (1/16 in)\nB-1,25.4,10\nB-2,1 in,5/8 in\nB-3,1 in,10\n"),
        BEARINGS, "bore", {"B-2": "1 in"}, ((2, "bore"), (2, "assembled width"), (4, "assembled width")),
    ),
    Ugly(
        "headers in thou, cm and Zoll",
        text("Part No,Bore (thou),OD (cm),Width (Zoll)\nB-1,1000,5.2,0.625\nB-2,1000 thou,52 mm,5/8\n"),
        BEARINGS, "bore", {"B-1": "25.4 mm", "B-2": "1000 thou"},
    ),
    Ugly(
        "letters for figures, marks of notes, lost letters, ditto marks",
        text(
            "\ufeffPart No,Bore\nB-1,2O.5 mm\nB-2,l8 mm\nB-3,25¹ mm\nB-4,25*\nB-5,\uff12\uff15 mm\nB-6,1\ufffd in\n"
            'B-7,1Â½ in\nB-8,do.\nB-9,""""\nB-10,11/8 in\n'
        ),
        BEARINGS, "bore", {"B-5": "\uff12\uff15 mm", **dict.fromkeys(("B-7", "B-8", "B-9"), "1Â½ in")},
        tuple((row, "bore") for row in (2, 3, 4, 5, 7, 11)),
    ),
    Ugly(
        "two sizes, none, and those that cannot be",
        text(
            "Part No,Bore\nB-1,8.9/7.2?\nB-2,25 or 26\nB-3,-28 mm\nB-4,0 mm\nB-5,1000 mm\nB-6,25 k6\nB-7,35H7/k6\n"
            "B-8,> 25 mm\nB-9,25 mm / 1 in\n"
        ),
        BEARINGS, "bore", {"B-6": "25 k6", "B-9": "25 mm / 1 in"},
        tuple((row, "bore") for row in (2, 3, 4, 5, 6, 8, 9)),
    ),
    Ugly(
        "formulas and huge cells",
        text(f"Part No,Bore\nB-1,=25.4\nB-2,+25.4 mm\nB-3,@SUM(A1)\nB-4,{'9' * 400}\nB-5,25.4 mm {'x' * 2000}\n"),
        BEARINGS, "bore", {"B-2": "+25.4 mm"}, tuple((row, "bore") for row in (2, 4, 5, 6)),
    ),
    Ugly(
        "points for thousands in a comma sheet",
        text("Part No;Bore\nB-1;25,4 mm\nB-2;1.500 mm\nB-3;25.4 mm\n"),
        COMMA, "bore", {"B-1": "25.4 mm", "B-3": "25.4 mm"}, ((3, "bore"),),
    ),
    Ugly(
        "numbers that a workbook stores, in a comma sheet",
        xlsx([["Teil", "Bohrung mm"], ["B-1", 25.001], ["B-2", "25,4"], ["B-3", "25.001"]]),
        COMMA, "bore", {"B-1": "25.001 mm", "B-2": "25.4 mm"}, ((4, "bore"),),
    ),
    Ugly(
        "commas in cells without quotation marks, and commas behind the last cell",
        text("Part No,Bore,OD\nB-1,25,4 mm,52 mm\nB-2,1 in,52 mm,,\nB-3,25 mm\nB-4,1 in,2 in,,3 in\n"),
        BEARINGS, "bore", {"B-2": "1 in", "B-3": "25 mm"}, ((2, ""), (5, "")),
    ),
    Ugly(
        "quotation marks that are not closed",
        text('Part No,Bore,OD\nB-1,",52 mm\nB-2,",52 mm\nB-3,25 mm,52 mm\nB-4,"25 mm,52 mm\nB-5,25 mm,52 mm\n'),
        BEARINGS, "bore", {"B-3": "25 mm", "B-5": "25 mm"}, ((2, "bore"), (4, "")), said=("row 2: a quotation mark",),
    ),
    Ugly(
        "splines: a count in the column of pitches",
        text("Part,Teeth,Pitch\nJ-1,25,24/48\nJ-2,25 spl,\nJ-3,,25 spl\nJ-4,21,25T 24/48\nJ-5,,25 x mod 1\nJ-6,,1.0\n"),
        ("--table", "features/external_spline", "--feature", "stub spline", "--source", "m1"), "pitch",
        {"J-1": "24/48", "J-2": "", "J-3": "?", "J-5": "module 1.0"}, ((5, "pitch"), (7, "pitch")),
    ),
    Ugly(
        "threads: hands, spanners, dates",
        text(
            "Part,Thread\nJ-1,3/4-16 UNF LH\nJ-2,M20 fine\nJ-3,7/16 AF\nJ-4,M10x1 LHT\nJ-5,08-Mar\nJ-6,M10x30\n"
            "J-7,3/8 UNF n/s\nJ-8,11/2-16\n"
        ),
        ("--table", "features/external_thread", "--feature", "thread", "--source", "m1"), "thread",
        {"J-1": "3/4-16 UNF LH", "J-2": "M20 fine", "J-4": "M10x1 LHT"},
        tuple((row, "thread") for row in (4, 6, 7, 8, 9)),
    ),
    Ugly(
        "tapers, of which a spreadsheet makes times and dates",
        text('Part,Taper,Gauge dia\nJ-1,1:8,.625 in\nJ-2,01:08,5/8"\nJ-3,08-Jan,15.9 mm\nJ-4,8:1,15.9 mm\n'),
        ("--table", "features/taper_pin", "--feature", "taper", "--source", "m1"), "ratio",
        {"J-1": "1:8", "J-2": "01:08"}, ((4, "ratio"), (5, "ratio")),
    ),
    Ugly(
        "prices of two currencies",
        text("Part,Price,Supplier\nB-1,£12.50,Dunmallow\nB-2,12.50 €,Dunmallow\nB-3,12.50,Dunmallow\n"),
        ("--table", "offers"), "price", {"B-1": "12.50", "B-3": "12.50"}, ((3, "price"),),
    ),
    Ugly(
        "prices, and what is none",
        text(
            'Part,Price\nB-1,£12.50+VAT ea\nB-2,POA\nB-3,12.50 pair\nB-4,"1,250"\nB-5,12/6\nB-6,0\nB-7,-5\nTotal,99\n'
        ),
        OFFERS, "price", {"B-1": "12.50", "B-4": "1250"}, tuple((row, "price") for row in (3, 4, 6, 7, 8)), 1,
    ),
    Ugly(
        "German prices",
        text("Artikel;Preis\nB-1;12,50 €\nB-2;1.234,00 EUR\nB-3;auf Anfrage\nB-4;12,50 € zzgl. MwSt.\nB-5;1.250\n"),
        (*OFFERS, "--decimal-comma"), "price", {"B-1": "12.50", "B-2": "1234", "B-4": "12.50"},
        ((4, "price"), (6, "price")),
    ),
    Ugly(
        "hands, and what is none",
        text(
            "part,name,part type,side,one use\nX-1,a,knuckle,N/S,no\nX-2,a,knuckle,L+R,no\nX-3,a,knuckle,L/R,no\n"
            "X-4,a,knuckle,-,no\nX-5,a,knucle,L,no\nX-6,a,knuckle,gauche,no\n"
        ),
        ("--table", "parts"), "hand", {"X-6": "left"},
        ((2, "hand"), (3, "hand"), (4, "hand"), (5, "hand"), (6, "part type")),
    ),
    Ugly(
        "numbers of pieces",
        text("kit,part,quantity\nK,B-1,pair\nK,B-2,2 off\nK,B-3,2 (pair)\nK,B-4,qty 2pr\nK,B-5,1/2\nK,B-6,A/R\n"),
        ("--table", "kit_lines"), "quantity", {"B-1": "2", "B-2": "2", "B-4": "4"},
        ((4, "quantity"), (6, "quantity"), (7, "quantity")),
    ),
]  # fmt: skip


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "records"
    made.mkdir()
    for name, content in TABLES.items():
        (made / name).write_text(content, encoding="utf-8")
    return made


def take_in(folder: Path, path: Path, options: tuple[str, ...], capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    status = main(["import", str(path), "--records", str(folder), "--accept-mapping", "--json", *options])
    printed = capsys.readouterr()
    assert status in (0, 1), printed.err
    result: dict[str, Any] = full(printed.out)["result"]
    assert status == (1 if result["quarantined"] else 0)
    return result


def table_of(folder: Path, options: tuple[str, ...], column: str) -> dict[str, str]:
    """What the table says in a column, by part; parts that were there before the import are left out."""
    path = folder / f"{options[options.index('--table') + 1]}.csv"
    with path.open(encoding="utf-8", newline="") as stream:
        rows = [row for row in csv.DictReader(stream) if path.name != "parts.csv" or row["part"][0] == "X"]
    return {row["part"]: row.get(column, "") for row in rows}


def test_there_are_enough_sheets() -> None:
    assert len(SHEETS) > 30


@pytest.mark.parametrize("ugly", SHEETS, ids=lambda ugly: ugly.name)
def test_every_row_is_loaded_rightly_or_waits(
    ugly: Ugly, folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = ugly.make(tmp_path)
    result = take_in(folder, path, ugly.options, capsys)
    assert table_of(folder, ugly.options, ugly.column) == ugly.loaded
    entries = result["entries"]
    assert {(entry["row"], entry["column"]) for entry in entries} == set(ugly.waits)
    assert result["rows"] == result["loaded"] + result["quarantined"]
    assert result["quarantined"] == len({row for row, _ in ugly.waits})
    assert sum(count for _, count in result["passed_over"]) == ugly.passed
    for said in ugly.said:
        assert any(said in remark for remark in result["remarks"]), said
    for entry in entries:
        assert entry["file"] == path.name and re.search(r"expected|\. (Enter|Use|Put) ", entry["why"])
        assert entry["cells"] or entry["written"]


@pytest.mark.parametrize("ugly", SHEETS[::4], ids=lambda ugly: ugly.name)
def test_a_second_import_changes_nothing(
    ugly: Ugly, folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = ugly.make(tmp_path)
    take_in(folder, path, ugly.options, capsys)
    before = {p: p.read_bytes() for p in folder.rglob("*.csv")}
    again = take_in(folder, path, (), capsys)
    assert not again["added"] and not again["removed"] and not again["altered"]
    assert {p: p.read_bytes() for p in folder.rglob("*.csv")} == before


@pytest.mark.parametrize(
    "row",
    [
        'B-2,"' + "x" * (LONGEST_CELL - 5),  # a line of which the end of its quotation was forgotten
        "B-2,no size" + f",{'x' * LONGEST_CELL}" * 101,
    ],
    ids=["one long line", "many long cells"],
)
def test_a_row_waits_however_long_it_is_and_can_be_corrected(
    row: str, folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The quarantine can be read again by the next import, which takes the corrected row."""
    remarks = "".join(f",remark {n}" for n in range(row.count(",") - 1))
    whole = f"Part No,Bore{remarks}\nB-1,25 mm{',' * remarks.count(',')}\n"
    result = take_in(folder, text(f"{whole}{row}\n")(tmp_path), BEARINGS, capsys)
    assert (result["loaded"], result["quarantined"]) == (1, 1)
    assert row.startswith(result["entries"][0]["written"]) or result["entries"][0]["written"] == "no size"
    again = take_in(folder, text(f"{whole}B-2,25 mm{',' * remarks.count(',')}\n")(tmp_path), (), capsys)
    assert (again["loaded"], again["quarantined"]) == (2, 0)


def test_a_line_longer_than_any_row_is_no_table(
    folder: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = text('Part No,Bore\nB-1,25 mm\nB-2,"' + "x" * (LONGEST_CELL - 4) + "\n")(tmp_path)
    assert main(["import", str(path), "--records", str(folder), "--accept-mapping", *BEARINGS]) == 2
    assert "row 3 cannot be split" in " ".join(capsys.readouterr().err.split())
