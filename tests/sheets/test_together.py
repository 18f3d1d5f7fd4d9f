"""One file with several tables: each is read after what its rows name, and what names a row that waits, waits too."""

from __future__ import annotations

import csv
import io
import itertools
from pathlib import Path

import pytest

from knockon.graph.quarantine import read_book
from knockon.graph.sheets import open_sheets
from knockon.queries.intake.accepting import accept_all
from knockon.queries.intake.sheets.entry_names import names_of
from knockon.queries.intake.sheets.folder import open_folder
from knockon.queries.intake.sheets.imports import ImportAnswer, import_sheets, propose_mappings
from tests.commands.running import run
from tests.sheets.small import rows_of, write_tables
from tests.sheets.workbooks import write_xlsx_book

TABLES = {
    "kit_lines": [["kit", "part", "quantity"], ["K", "J-25", "1"]],
    "offers": [["supplier", "part", "price"], ["Shop", "J-25", "100"]],
    "journal": [["part", "feature", "diameter", "source"], ["J-20", "journal", "25 mm", "mill"]],
    "fittings": [["vehicle", "position", "part"], ["van", "outer joint", "J-20"]],
    "vehicles": [["vehicle", "title", "layout", "like"], ["van", "a van", "", "car"], ["car", "a car", "", ""]],
    "parts": [
        ["part", "name", "part type", "hand", "one use", "mirror of", "drawn as", "superseded by", "source"],
        ["J-20", "joint", "outer joint", "left", "no", "J-21", "", "J-25", "mill"],
        ["J-21", "joint", "outer joint", "right", "no", "J-20", "J-25", "", "mill"],
        ["J-25", "joint", "outer joint", "either", "no", "", "", "", "mill"],
    ],
    "kits": [
        ["kit", "title", "is", "supplier", "price", "per", "source"],
        ["K", "a kit", "kit", "Shop", "9", "side", "mill"],
    ],
    "suppliers": [["supplier", "title", "postage"], ["Shop", "a shop", "5"]],
    "sources": [["source", "title", "standing"], ["mill", "The mill", "drawing"]],
}  # fmt: skip


def _records(tmp_path: Path) -> Path:
    return write_tables(tmp_path, {"sources.csv": "source,title,standing\nbook,a book,drawing\n"})


def _take_in(folder: Path, tmp_path: Path, tables: dict[str, list[list[str]]]) -> ImportAnswer:
    path = tmp_path / "book.xlsx"
    write_xlsx_book(path, {name: [list(row) for row in rows] for name, rows in tables.items()})
    sheets = open_sheets(path)
    mappings = [p.mapping for p in propose_mappings(open_folder(folder), sheets, "", ())]
    return import_sheets(folder, path.name, sheets, mappings)


@pytest.mark.parametrize("turned", [False, True], ids=["from the last", "from the first"])
def test_every_row_is_loaded_in_one_go_in_whatever_order_the_tables_stand(tmp_path: Path, turned: bool) -> None:
    folder = _records(tmp_path)
    tables = dict(reversed(TABLES.items())) if turned else TABLES
    tables = {n: rows for n, rows in tables.items() if n not in ("vehicles", "fittings")}
    answer = _take_in(folder, tmp_path, tables)
    assert (answer.rows, answer.loaded, answer.entries) == (9, 9, ())
    again = _take_in(folder, tmp_path, tables)
    assert (again.loaded, again.added, again.removed, again.altered) == (9, (), (), ())
    assert {r["part"]: r["mirror of"] for r in rows_of(folder, "parts")} == {"J-20": "J-21", "J-21": "J-20", "J-25": ""}
    assert [(r["claim"], r["other part"]) for r in rows_of(folder, "claims")] == [("superseded by", "J-25")]


def test_the_order_of_the_rows_of_one_table_does_not_matter(tmp_path: Path) -> None:
    head, *parts = TABLES["parts"]
    for n, order in enumerate(itertools.permutations(parts)):
        place = tmp_path / str(n)
        place.mkdir()
        answer = _take_in(_records(place), place, {"parts": [head, *order], "sources": TABLES["sources"]})
        assert (answer.loaded, answer.quarantined) == (4, 0), order


def test_what_names_a_row_that_waits_waits_too_and_comes_with_it(tmp_path: Path) -> None:
    folder = _records(tmp_path)
    head, row = TABLES["sources"]
    tables = {**TABLES, "sources": [head, [*row[:2], "drawin"]]}
    tables = {n: rows for n, rows in tables.items() if n not in ("vehicles", "fittings")}
    answer = _take_in(folder, tmp_path, tables)
    assert (answer.rows, answer.loaded) == (9, 1)  # the supplier names nothing
    assert rows_of(folder, "suppliers") and not (folder / "parts.csv").exists()
    waiting = {(e.sheet, e.column, e.why) for e in answer.entries}
    assert ("journal", "source", "the row of this source waits. Mend that first") in waiting
    assert ("journal", "part", "the row of this part waits. Mend that first") in waiting
    book = read_book(folder)
    first = next(name for name, e in zip(names_of(book), book, strict=True) if e.column == "standing")
    taken, _ = accept_all(folder, [(first, 1)])
    assert taken[0].loaded
    assert read_book(folder) == ()
    assert len(rows_of(folder, "parts")) == 3 and len(rows_of(folder, "kit_lines")) == 1
    assert len(rows_of(folder, "features/journal")) == 1


def test_a_part_that_falls_out_takes_with_it_only_what_names_it(tmp_path: Path) -> None:
    folder = _records(tmp_path)
    head, left, right, plain = TABLES["parts"]
    bad = [*right[:2], "no such type", *right[3:]]
    answer = _take_in(folder, tmp_path, {"parts": [head, left, bad, plain], "sources": TABLES["sources"]})
    assert {r["part"] for r in rows_of(folder, "parts")} == {"J-25"}
    assert {(e.row, e.column) for e in answer.entries} == {(2, "mirror of"), (3, "part type"), (3, "mirror of")}


FLAT = """part,name,part type,hand,one use,stub spline teeth,journal diameter,source
J-1,joint,outer joint,either,no,20,25 mm,book
J-2,joint,outer joint,either,no,25,28 mm,book
"""


def _new(tmp_path: Path) -> Path:
    ran = run("new", str(tmp_path / "mine"), "--layout", "driven front corner", "--choice", "disc", "--choice",
              "pair with spacer", "--choice", "ball joint", "--vehicle", "mine")  # fmt: skip
    assert ran.status == 0, ran.err
    return tmp_path / "mine"


def _without(*columns: str) -> str:
    rows = list(csv.DictReader(io.StringIO(FLAT)))
    out = io.StringIO()
    writer = csv.DictWriter(out, [n for n in rows[0] if n not in columns], extrasaction="ignore")
    writer.writeheader()
    writer.writerows(rows)
    return out.getvalue()


@pytest.mark.parametrize("lacking", [("hand",), ("one use",), ("hand", "one use"), ("part type",)])
def test_a_flat_sheet_of_new_parts_says_which_columns_it_lacks_and_for_which_rows(
    tmp_path: Path, lacking: tuple[str, ...]
) -> None:
    folder, path = _new(tmp_path), tmp_path / "flat.csv"
    path.write_text(_without(*lacking), encoding="utf-8")
    before = sorted(p.name for p in tmp_path.rglob("*"))
    ran = run("--records", str(folder), "import", str(path), "--accept-mapping")
    assert (ran.status, ran.out) == (2, "")
    assert all(f"no column '{name}'" in " ".join(ran.err.split()) for name in lacking)
    assert "row 2: J-1, row 3: J-2" in " ".join(ran.err.split())
    assert sorted(p.name for p in tmp_path.rglob("*")) == before
    values = {"hand": "either", "one use": "no", "part type": "outer joint"}
    options = [o for name in lacking for o in ("--set", f"{name}={values[name]}")]
    ran = run("--records", str(folder), "import", str(path), "--accept-mapping", *options)
    assert (ran.status, "2 rows, all loaded" in ran.flowing) == (0, True), ran.out


def test_rows_of_new_parts_wait_where_others_are_loaded_and_it_is_said_why(tmp_path: Path) -> None:
    folder, path = _new(tmp_path), tmp_path / "flat.csv"
    path.write_text(FLAT, encoding="utf-8")
    assert run("--records", str(folder), "import", str(path), "--accept-mapping").status == 0
    more = tmp_path / "more.csv"
    more.write_text(_without("hand", "one use").replace("J-2", "J-3"), encoding="utf-8")
    ran = run("--records", str(folder), "import", str(more), "--accept-mapping")
    assert ran.status == 1
    assert (
        "1 part is not recorded yet (row 3: J-3), and there is no column 'hand' and no column 'one use'" in ran.flowing
    )
    assert "remove more.csv-metadata.json" in ran.flowing
