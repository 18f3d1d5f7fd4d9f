"""Rows of a club's sheets as they came in, taken in by the real command: each comes out as it was agreed on."""

from __future__ import annotations

import datetime
import json
import shutil
import subprocess
import sys
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pytest

from knockon.graph.quantity import read_cell
from knockon.graph.quarantine import Entry, Kept, read_book, read_kept
from tests.commands.running import full
from tests.sheets.workbooks import Rows, write_csv, write_xlsx

DEMO = Path(__file__).parents[2] / "data_demo"
BEARING = ("--table", "features/rolling_bearing", "--feature", "bearing", "--source", "N02")
KITS = ("--table", "kit_lines")
PARTS = ("--table", "parts", "--set", "name=x", "--set", "one use=no", "--set", "part type=knuckle")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Records of one's own: a copy of the demo world."""
    made = tmp_path / "records"
    shutil.copytree(DEMO, made, ignore=shutil.ignore_patterns("*.py", "__pycache__", "*.md"))
    return made


@dataclass
class Done:
    """What the command said, and what is kept beside the tables, by row of the sheet."""

    status: int
    said: dict[str, object]
    read: dict[int, Kept]
    refused: dict[int, Entry]


WRITERS: dict[str, Callable[[Path, Rows], None]] = {"csv": write_csv, "xlsx": write_xlsx}


@pytest.fixture(params=WRITERS)
def take_in(request: pytest.FixtureRequest, folder: Path, tmp_path: Path) -> Callable[..., Done]:
    """Import a sheet of two columns, a part's number and ``column``, with one row for each of ``cells``."""

    def run(rows: Rows, column: str, *options: str) -> Done:
        path = tmp_path / f"sheet.{request.param}"
        WRITERS[request.param](path, rows)
        command = [sys.executable, "-m", "knockon", "import", str(path), "--accept-mapping", *options]
        done = subprocess.run(
            [*command, "--json", "--records", str(folder)], capture_output=True, text=True, check=False
        )
        assert done.returncode in (0, 1), done.stderr
        kept = {k.row: k for k in read_kept(folder) if k.column == column}
        said = full(done.stdout)["result"]
        assert said["rows"] == said["loaded"] + said["quarantined"]
        return Done(done.returncode, said, kept, {e.row: e for e in read_book(folder) if e.column == column})

    return run


def sheet(title: str, *cells: object, part: str = "ALDER-211") -> Rows:
    return [["Part No", title], *([part, cell] for cell in cells)]


def span(one: Kept, datatype: str = "length") -> tuple[float, float]:
    reading = read_cell(one.read, datatype)[""]
    assert reading.low is not None and reading.high is not None
    return round(reading.low, 3), round(reading.high, 3)


def test_fractions_and_a_size_whose_unit_is_inferred(take_in: Callable[..., Done]) -> None:
    options = ("--table", "features/spacer", "--feature", "spacer", "--source", "N02")
    cells = ('1 1/16"', "1.1/8", "1.1/8 (old workshop style)", "1½", "1Â½")
    done = take_in(sheet("length", *cells, part="ALDER-212"), "length", *options)
    spans = {2: 26.988, 3: 28.575, 4: 28.575, 5: 38.1, 6: 38.1}
    assert done.status == 0
    assert {row: span(k)[0] for row, k in done.read.items()} == pytest.approx(spans, abs=6e-4)
    assert [k.written for k in done.read.values()] == list(cells)
    flags = {row: k.flags for row, k in done.read.items()}
    assert "inferred" not in flags[2]
    assert "read as 1 1/8" in flags[3] and "read as 1 1/8" in flags[4]
    assert "repaired text" in flags[6]


def test_a_unit_is_inferred_where_no_safety_hangs_on_it(take_in: Callable[..., Done]) -> None:
    options = ("--table", "features/lip_seal", "--feature", "lip", "--source", "N02")
    done = take_in(sheet("width", ".497", part="ALDER-221"), "width", *options)
    assert span(done.read[2])[0] == 12.624 and "unit inferred" in done.read[2].flags


def test_a_unit_is_not_inferred_where_safety_reads_it(take_in: Callable[..., Done]) -> None:
    done = take_in(sheet("bore", "1.125", "28", "1.1/8"), "bore", *BEARING)
    assert set(done.refused) == {2, 3} and set(done.read) == {4}
    assert done.refused[2].suggestions[0] == "1.125 in"
    assert done.refused[3].suggestions == ("28 ±0.5 mm",)


def test_a_unit_is_not_inferred_where_a_safety_critical_stack_reads_it(take_in: Callable[..., Done]) -> None:
    options = ("--table", "features/spacer", "--feature", "spacer", "--source", "N02")
    spacer = take_in(sheet("length", ".497", part="ALDER-212"), "length", *options)  # no rule reads it: the float does
    assert spacer.refused[2].suggestions == (".497 in",)


def test_sizes_in_a_column_of_mm(take_in: Callable[..., Done]) -> None:
    cells = ("28", "27,52", "~74", "22.2-22.4", datetime.date(2026, 3, 8), "?", "tbc", "", "n/a", "28.575")
    done = take_in(sheet("Bore (mm)", *cells), "bore", *BEARING)
    assert (done.said["rows"], done.said["loaded"], done.status) == (10, 8, 1)
    assert span(done.read[2]) == (27.5, 28.5) and "±0.5 mm" in done.read[2].flags
    assert span(done.read[4]) == (72, 76) and "approximate" in done.read[4].flags
    assert span(done.read[5]) == (22.2, 22.4)
    assert [done.read[n].read for n in (7, 8)] == ["?", "tbc"] or [done.read[n].read for n in (7, 8)] == ["?", "?"]
    assert 9 not in done.read and done.read[10].read == "n/a"
    assert {row: e.suggestions for row, e in done.refused.items()} == {3: ("27.52",), 6: ("3/8 in",)}
    assert span(done.read[11]) == (28.575, 28.575)


def test_a_decimal_comma_where_the_sheet_writes_one(take_in: Callable[..., Done]) -> None:
    done = take_in(sheet("Bore (mm)", "27,52"), "bore", *BEARING, "--decimal-comma")
    assert span(done.read[2]) == (27.52, 27.52)


def test_threads_and_splines(take_in: Callable[..., Done]) -> None:
    options = ("--feature", "thread", "--source", "N02", "--table")
    nut = sheet("thread", "3/4 UNF", "M20 fine", "7/16 AF", "M20", part="ROWAN-252")
    done = take_in(nut, "thread", *options, "features/nut")
    first, second = (read_cell(done.read[n].read, "thread") for n in (2, 3))
    assert (first["major"].low, first["pitch"].low) == (19.05, 25.4 / 16)
    assert (second["major"].low, second["pitch"].unknown, second["hand"].unknown) == (20, True, True)
    assert "pitch unknown: M20 fine may be 1.0, 1.5 or 2.0" in done.read[3].flags
    assert done.refused[4].suggestions == ("1/4-20 UNC", "1/4-28 UNF")
    assert read_cell(done.read[5].read, "thread")["pitch"].unknown


def test_a_tooth_count_does_not_tell_the_pitch(take_in: Callable[..., Done], folder: Path) -> None:
    options = ("--table", "features/external_spline", "--feature", "spline", "--source", "N02")
    done = take_in(sheet("pitch", "25 spl", part="ROWAN-201"), "pitch", *options)
    assert done.read[2].read == "?"
    assert [k.read for k in read_kept(folder) if k.column == "teeth"] == ["25"]


def test_part_numbers_and_kits(take_in: Callable[..., Done], folder: Path) -> None:
    rows: Rows = [["kit", "part", "quantity"]]
    numbers = (" alder 201 l ", "ALDER-201", "ALDER-2O1L", "same as drum one", "HAZEL-141")
    rows += [["K4", number, "1" if n < 4 else "1 kit"] for n, number in enumerate(numbers)]
    done = take_in(rows, "part", *KITS)
    assert done.read[2].read == "ALDER-201L" and "read as ALDER-201L" in done.read[2].flags
    assert done.refused[3].suggestions == ("ALDER-201L", "ALDER-201R")
    assert done.refused[4].suggestions == ("ALDER-201L",)
    assert len(done.refused[5].suggestions) > 1
    (quantity,) = (k for k in read_kept(folder) if k.column == "quantity" and k.row == 6)
    assert (quantity.written, quantity.read) == ("1 kit", "1")
    assert "contents of the kit unknown until it is itemised" in quantity.flags


def test_nearside_depends_on_where_the_driver_sits(take_in: Callable[..., Done]) -> None:
    rows: Rows = [["Part No", "hand"], ["ALDER-991", "N/S"], ["ALDER-992", "O/S"]]
    done = take_in(rows, "hand", *PARTS)
    assert {row: e.suggestions for row, e in done.refused.items()} == {2: ("left", "right"), 3: ("left", "right")}


def test_nearside_is_read_where_the_driver_sits_on_the_right(take_in: Callable[..., Done]) -> None:
    rows: Rows = [["Part No", "hand"], ["ALDER-991", "N/S"], ["ALDER-992", "O/S"]]
    done = take_in(rows, "hand", *PARTS, "--driver", "right")
    assert {row: k.read for row, k in done.read.items()} == {2: "left", 3: "right"}
    assert all("the driver sits on the right" in k.flags for k in done.read.values())


def test_a_pressure(take_in: Callable[..., Done]) -> None:
    options = ("--table", "features/pressure_limiter", "--feature", "limiter", "--source", "N02")
    done = take_in(sheet("cut in", "350psi", part="HAZEL-243"), "cut in", *options)
    assert span(done.read[2], "pressure")[0] == pytest.approx(2413, abs=1)  # kPa: 24.1 bar


def test_a_price(take_in: Callable[..., Done], folder: Path) -> None:
    options = ("--table", "offers", "--set", "supplier=Dunmallow Spares")
    done = take_in(sheet("price", "12.50+VAT ea", "12.50 pair", part="HAZEL-141"), "price", *options)
    assert read_cell(done.read[2].read, "money")[""].low == 12.5
    assert "tax: excluded" in done.read[2].flags and "per: each" in done.read[2].flags
    assert done.refused[3].suggestions == ("12.50 each",)


def test_what_is_no_data_is_passed_over_and_counted(take_in: Callable[..., Done]) -> None:
    rows = sheet("Bore (mm)", "28.5")
    rows += [["Part No", "Bore (mm)"], ["", ""], ["Total", "28.5"], ["ALDER-311", "28.6"]]
    done = take_in(rows, "bore", *BEARING)
    assert (done.said["rows"], done.said["loaded"]) == (2, 2)
    assert done.said["passed_over"] == [["empty", 1], ["headers repeated", 1], ["total", 1]]


def test_two_rows_of_one_part_that_disagree_are_both_kept_and_told(take_in: Callable[..., Done], folder: Path) -> None:
    done = take_in(sheet("bore", "2.250 in", "2.205 in", part="ALDER-905"), "bore", *BEARING)
    assert [k.read for k in done.read.values()] == ["2.250 in", "2.205 in"]
    assert done.said["contradicted"] == [
        {
            "table": "features/rolling_bearing",
            "part": "ALDER-905",
            "feature": "bearing",
            "dimension": "bore",
            "written": ["2.250 in", "2.205 in"],
        }
    ]
    command = [sys.executable, "-m", "knockon", "disputes", "--json", "--records", str(folder)]
    disputes = json.loads(subprocess.run(command, capture_output=True, text=True, check=False).stdout)["result"]
    (one,) = (d for d in disputes["size_disputes"] if "ALDER-905" in d["things"] and d["dimension"] == "bore")
    assert not one["decided"]
    assert {s["written"] for s in one["sides"]} >= {"2.250 in", "2.205 in"}
