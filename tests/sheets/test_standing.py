"""What a sheet says of worn parts stands as worn, whatever its source: in a cell, a column of conditions, a title."""

from __future__ import annotations

from pathlib import Path

import pytest

from knockon.graph.mapping.rows import is_of_worn
from knockon.graph.quarantine import read_book
from knockon.graph.records import load
from knockon.queries.intake.accepting import accept
from knockon.queries.intake.sheets.imports import ImportAnswer
from tests.sheets.small import rows_of, take_in_as_proposed, write_tables

TABLES = {
    "parts.csv": "part,name,part type,hand,one use\nALDER-1,bearing,wheel bearing,either,no\n"
    "ALDER-2L,knuckle,knuckle,left,no\nALDER-2R,knuckle,knuckle,right,no\n",
    "sources.csv": "source,title,standing,member,date\nbook,the maker's book,drawing,,1970\n"
    "m1,what m1 measured,worn,m1,2020\nnobody,found in a drawer,worn,,\nstall,a stall,seller,,\n",
    "kits.csv": "kit,title,is,per\nBOX,a box,kit,axle\nHALF,one side,kit,side\n",
}
BEARINGS = "features/rolling_bearing"


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return write_tables(tmp_path, TABLES)


def take_in(folder: Path, text: str, source: str = "book", table: str = BEARINGS) -> ImportAnswer:
    path = folder.parent / "sheet.csv"
    path.write_text(text, encoding="utf-8")
    return take_in_as_proposed(folder, path, table, (("feature", "bearing"), ("source", source)))


def known(folder: Path) -> dict[float, tuple[str, str]]:
    """Each bore in mm with its source and the standing on which the catalogue has it."""
    read = load(folder)
    assert not [f for f in read.findings if f.set_aside], read.findings
    catalogue = read.catalogue
    said = catalogue.features_of("ALDER-1")["bearing"].dimensions["bore"]
    return {round(s.low or 0, 3): (s.source, catalogue.sources[s.source].standing) for s in said}


@pytest.mark.parametrize("cell", ["1.118 (worn)", "worn 1.118", "1.118 used"])
def test_a_cell_marked_worn_in_a_sheet_of_drawings_stands_as_worn(folder: Path, cell: str) -> None:
    assert take_in(folder, f"Part No,Bore (in)\nALDER-1,{cell}\n").loaded == 1
    assert known(folder) == {28.397: ("book-worn", "worn")}


def test_only_the_cell_that_is_marked_loses_its_standing(folder: Path) -> None:
    answer = take_in(folder, "Part No,Bore (in),Outside diameter (in)\nALDER-1,1.118 (worn),2.250\n")
    assert (answer.rows, answer.loaded, answer.flagged) == (1, 1, 1)
    found = load(folder).catalogue.features_of("ALDER-1")["bearing"].dimensions
    assert {d: s.source for d, (s,) in found.items()} == {"bore": "book-worn", "outside diameter": "book"}


@pytest.mark.parametrize(
    "cell", ["1.125 (new) / 1.118 (worn)", "1.125 new, 1.118 worn", "1.125 (1.118 worn)", "worn 1.118 / new 1.125"]
)
def test_merged_readings_are_two_statements_each_on_its_own_standing(folder: Path, cell: str) -> None:
    assert take_in(folder, f'Part No,Bore (in)\nALDER-1,"{cell}"\n').loaded == 1
    assert known(folder) == {28.575: ("book", "drawing"), 28.397: ("book-worn", "worn")}


def test_a_members_own_new_and_worn_readings_do_not_dispute_each_other(folder: Path) -> None:
    take_in(folder, "Part No,Bore (in)\nALDER-1,1.125 (new) / 1.118 (worn)\n", "m1")
    assert known(folder) == {28.575: ("m1-new", "same number, new"), 28.397: ("m1", "worn")}


@pytest.mark.parametrize("source", ["nobody", "stall"])
def test_no_word_in_a_sheet_lifts_a_source_above_what_it_is(folder: Path, source: str) -> None:
    take_in(folder, "Part No,Bore (in)\nALDER-1,1.125 (new) / 1.118 (worn)\n", source)
    assert {s for s, _ in known(folder).values()} == {source}


@pytest.mark.parametrize(
    ("condition", "source"),
    [("worn", "book-worn"), ("Used", "book-worn"), ("slightly worn", "book-worn"), ("?", "book-worn"),
     ("new", "book"), ("NOS", "book"), ("", "book")],
)  # fmt: skip
def test_a_column_of_conditions_decides_the_standing(folder: Path, condition: str, source: str) -> None:
    assert take_in(folder, f"Part No,Bore (in),Condition\nALDER-1,1.118,{condition}\n").loaded == 1
    assert [s for s, _ in known(folder).values()] == [source]
    assert "condition" not in rows_of(folder, BEARINGS)[0]


@pytest.mark.parametrize("condition", ["good", "not worn", "as new", "worn?", "new or worn"])
def test_a_condition_that_says_neither_waits_and_its_choice_stands(folder: Path, condition: str) -> None:
    text = f"Part No,Bore (in),Condition\nALDER-1,1.118,{condition}\n"
    assert take_in(folder, text).quarantined == 1
    (entry,) = read_book(folder)
    assert (entry.column, entry.suggestions) == ("condition", ("new", "worn"))
    assert accept(folder, 1, 2).loaded
    assert known(folder) == {28.397: ("book-worn", "worn")}
    before = {p: p.read_bytes() for p in folder.rglob("*.csv")}
    again = take_in(folder, text)
    assert (again.quarantined, again.added, again.removed) == (0, (), ())
    assert {p: p.read_bytes() for p in folder.rglob("*.csv")} == before


def test_a_title_that_says_worn_marks_its_column(folder: Path) -> None:
    take_in(folder, "Part No,Bore worn (in)\nALDER-1,1.118\n")
    assert known(folder) == {28.397: ("book-worn", "worn")}
    assert is_of_worn("Bore, as worn") and not is_of_worn("Bore, unworn") and not is_of_worn("Bore new or worn")


def test_a_sheet_that_is_mended_takes_its_worn_statement_out_again(folder: Path) -> None:
    take_in(folder, "Part No,Bore (in)\nALDER-1,1.125 (new) / 1.118 (worn)\n")
    take_in(folder, "Part No,Bore (in)\nALDER-1,1.125\n")
    assert known(folder) == {28.575: ("book", "drawing")}
    assert "book-worn" not in {r["source"] for r in rows_of(folder, "sources")}


def test_a_source_of_worn_parts_that_is_there_is_left_as_it_stands(folder: Path) -> None:
    with (folder / "sources.csv").open("a", encoding="utf-8") as stream:
        stream.write("book-worn,worn ones of the book,worn,m7,2001\n")
    take_in(folder, "Part No,Bore (in)\nALDER-1,1.118 (worn)\n")
    assert [r["member"] for r in rows_of(folder, "sources") if r["source"] == "book-worn"] == ["m7"]
    take_in(folder, "Part No,Bore (in)\nALDER-1,1.125\n")
    assert [r["member"] for r in rows_of(folder, "sources") if r["source"] == "book-worn"] == ["m7"]


@pytest.mark.parametrize("number", ["as 201L but RH", "like ALDER-2L", "same but longer", "ALDER-2L but right hand"])
def test_a_text_that_points_to_another_part_is_no_number(folder: Path, number: str) -> None:
    text = f"Part No,Name,Type,Hand,One use\n{number},knuckle,knuckle,right,no\n"
    assert take_in(folder, text, table="parts").quarantined == 1
    assert take_in(folder, f"Part No,Bore (in)\n{number},1.1\n").quarantined == 1


@pytest.mark.parametrize(
    ("number", "offers"),
    [("as ALDER-2L but RH", ("ALDER-2R",)), ("ALDER-2 left hand", ("ALDER-2L",)),
     ("like ALDER-2", ("ALDER-2L", "ALDER-2R")), ("ALDER-2L other side", ("ALDER-2L", "ALDER-2R"))],
)  # fmt: skip
def test_an_offered_number_is_of_the_hand_that_is_said(folder: Path, number: str, offers: tuple[str, ...]) -> None:
    take_in(folder, f"Part No,Bore (in)\n{number},1.1\n")
    assert read_book(folder)[0].suggestions == offers


@pytest.mark.parametrize(
    ("cell", "offers"),
    [("9/16-20 UNF LH", ("9/16-18 UNF LH",)), ("left hand 9/16-20 UNF", ("9/16-18 UNF LH",)),
     ('"M10x1,25 LH"', ("M10x1.25 LH",)), ("9/16-20 UNF", ("9/16-18 UNF",))],
)  # fmt: skip
def test_an_offered_thread_keeps_its_hand(folder: Path, cell: str, offers: tuple[str, ...]) -> None:
    take_in(folder, f"Part No,Thread\nALDER-1,{cell}\n", table="features/stud")
    assert read_book(folder)[0].suggestions[: len(offers)] == offers
    assert all("LH" in s for s in read_book(folder)[0].suggestions) == ("LH" in offers[0])


@pytest.mark.parametrize(("kit", "read"), [("BOX", "2"), ("HALF", "1")])
@pytest.mark.parametrize("cell", ["1 each side", "one per side", "1 off each side", "1 ea side"])
def test_one_each_side_is_two_for_an_axle_and_one_for_a_side(folder: Path, cell: str, kit: str, read: str) -> None:
    assert take_in(folder, f"kit,part,qty\n{kit},ALDER-1,{cell}\n", table="kit_lines").loaded == 1
    assert [r["quantity"] for r in rows_of(folder, "kit_lines")] == [read]
