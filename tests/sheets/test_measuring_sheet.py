"""The measuring sheet of a vehicle: which lines it has, in which order, and how the workbook and the page are made."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.quantity import read_cell
from knockon.graph.records import load, records_from_text
from knockon.graph.sheets import open_sheets
from knockon.queries.intake.measuring.form import COLUMNS, DONT_KNOW, NONE_THERE, filled_sides, is_measuring_sheet
from knockon.queries.intake.measuring.lines import Line, MeasuringSheet, measuring_sheet, usual_threads
from knockon.queries.ui.prints.measuring import measuring_files, measuring_page
from knockon.queries.ui.prints.workbook import measuring_workbook
from tests.sheets.filling import MAIN, part, rows, tab, table, text_of, texts

USES = """layout,uses,as,without
my van,driven front corner,front,
my van,rear corner,rear,
my van,hydraulics,,
"""
VEHICLES = (
    "vehicle,title,layout,arrangement,as made\n"
    "{name},,my van,front {brake};front pair with spacer;front ball joint;rear drum;rear cartridge,no\n"
)


@cache
def van(name: str = "mine", brake: str = "disc") -> Catalogue:
    return records_from_text(
        {"layout_uses.csv": USES, "vehicles.csv": VEHICLES.format(name=name, brake=brake)}
    ).catalogue


@cache
def sheet(name: str = "mine", brake: str = "disc", unit: str = "mm") -> MeasuringSheet:
    catalogue = van(name, brake)
    return measuring_sheet(catalogue, next(iter(catalogue.vehicles.values())), unit)


@cache
def files(name: str = "mine", brake: str = "disc") -> dict[str, bytes]:
    return dict(measuring_files(sheet(name, brake)))


def all_lines(made: MeasuringSheet) -> Iterator[tuple[str, Line]]:
    yield from ((side.side, line) for side in made.sides for line in side.lines)


def test_each_place_and_size_that_a_check_reads_has_one_line() -> None:
    """Counted the other way round: from each joint and figure, which size of which place it reads."""
    catalogue = van()
    layout, own = catalogue.layouts["my van"], {"front disc", "front pair with spacer", "front ball joint"}
    own |= {"rear drum", "rear cartridge", ""}
    positions = {p.position: p for p in layout.positions if p.arrangement in own}
    read: set[tuple[str, str, str]] = set()
    for joint in (j for j in layout.joints if j.arrangement in own):
        rule = catalogue.vocabulary.rules[joint.rule]
        for condition in rule.conditions:
            for term in condition.terms:
                end = joint.ends[[e.role for e in rule.ends].index(term.role)]
                read.add((end.position, end.feature, term.dimension.partition(".")[0]))
    for figure in (f for f in (*layout.figures, *layout.told) if f.arrangement in own):
        read |= {(t.position, t.feature, t.dimension.partition(".")[0]) for t in figure.terms}
    ways: dict[str, set[bool]] = {}
    for kind in catalogue.vocabulary.kinds.values():
        for column in kind.columns:
            ways.setdefault(column.name, set()).add(bool(column.method))
    expected = {x for x in read if x[0] in positions}
    made = [(line.position, line.feature, line.dimension) for side, line in all_lines(sheet()) if side != "right"]
    assert len(made) == len(set(made))
    assert not set(made) - expected
    without = expected - set(made)
    assert all(ways.get(d, {False}) == {False} for _, _, d in without), without
    assert {d for _, _, d in without} >= {"pattern"}


def test_left_and_right_have_the_same_lines_and_the_vehicle_its_own() -> None:
    left, right, own = sheet().sides
    assert (left.side, right.side, own.side) == ("left", "right", "")
    assert left.lines == right.lines
    level = {p.position: p.level for p in van().layouts["my van"].positions}
    assert {level[line.position] for line in left.lines} == {"corner"}
    assert {level[line.position] for line in own.lines} == {"vehicle"}
    assert {"master cylinder"} < {line.position for line in own.lines} | {""}


def test_lines_stand_in_the_order_in_which_they_can_be_reached() -> None:
    stages = [stage for stage, _ in sheet().stages]
    for side in sheet().sides:
        reached = [stages.index(line.reached) for line in side.lines]
        assert reached == sorted(reached)
    assert {line.reached for _, line in all_lines(sheet())} == set(stages)


def test_a_place_of_another_arrangement_has_no_line() -> None:
    disc, drum = ({line.position for _, line in all_lines(sheet("mine", brake))} for brake in ("disc", "drum"))
    assert "front caliper" in disc - drum and "front backplate" in drum - disc
    assert not any("adjusted pair" in p or "cartridge" in p for p in disc if p.startswith("front"))


def test_every_line_says_how_and_counts_and_threads_have_no_unit() -> None:
    for _, line in all_lines(sheet()):
        assert line.how and line.what
        assert bool(line.unit) == (line.datatype in ("length", "angle", "pressure")), line
    assert {line.unit for _, line in all_lines(sheet(unit="in")) if line.datatype == "length"} == {"in"}


def test_the_usual_tool_and_its_error_stand_in_the_unit_of_the_line() -> None:
    found = {(line.feature, line.dimension): line for _, line in all_lines(sheet())}
    inches = {(line.feature, line.dimension): line for _, line in all_lines(sheet(unit="in"))}
    assert (found["journal", "diameter"].tool, found["journal", "diameter"].within) == ("micrometer", "0.01")
    assert (inches["stub spline", "major diameter"].unit, inches["stub spline", "major diameter"].within) == (
        "in",
        "0.0008",
    )
    assert found["stub end", "thread"].tool == "caliper, thread gauge, thread form gauge"
    assert not found["stub end", "thread"].within and not found["wheel circle", "count"].tool


def test_every_thread_that_is_offered_can_be_read() -> None:
    assert {"M10x1", "3/8 UNF", "M18x1.5", "3/4 UNF", "7/16 UNF"} <= set(usual_threads())
    for designation in usual_threads():
        assert read_cell(designation, "thread")["major"].low is not None


def test_every_code_that_is_offered_is_read_as_itself() -> None:
    offered = {code for _, line in all_lines(sheet()) if line.datatype == "code" for code in line.offered}
    assert {"flat", "taper", "inverted flare", "bubble flare", "involute flat root"} <= offered
    for code in offered:
        assert read_cell(code, "code")[""].code == code


def test_the_same_vehicle_gives_the_same_bytes() -> None:
    assert measuring_files(sheet()) == files()
    assert measuring_files(sheet("yours")) != files()


# ------------------------------------------------------------------------------------------------- the workbook


def test_the_workbook_has_a_tab_for_each_side_and_is_known_again(tmp_path: Path) -> None:
    path = tmp_path / "any name.xlsx"
    path.write_bytes(files()[".xlsx"])
    sheets = open_sheets(path)
    assert is_measuring_sheet(sheets)
    sides = list(filled_sides(sheets))
    assert [(s.sheet, s.side) for s in sides] == [("left", "left"), ("right", "right"), ("vehicle", "")]
    assert all(s.head["vehicle"] == "mine" and not s.lines for s in sides)
    assert [s.blank for s in sides] == [len(s.lines) for s in sheet().sides]


@pytest.mark.parametrize("name", ["left", "right", "vehicle"])
def test_all_but_the_cells_to_fill_in_is_protected(name: str) -> None:
    workbook = files()[".xlsx"]
    assert tab(workbook, name).find(f"{MAIN}sheetProtection") is not None
    formats = list(part(workbook, "xl/styles.xml").iterfind(f"{MAIN}cellXfs/{MAIN}xf"))
    is_free = [(p := xf.find(f"{MAIN}protection")) is not None and p.attrib.get("locked") == "0" for xf in formats]
    headings, lines = table(workbook, name)
    free = {headings[h] for h in ("reading", "±", "remark")}
    at = {line["row"] for line in lines}
    without_limits = {line["row"] for line in lines if not line["unit"]}  # a count, a word, a designation
    for cells in rows(workbook, name):
        for column, cell in cells.items():
            number = cell.attrib["r"].removeprefix(column)
            has_none = column == headings["±"] and number in without_limits
            to_fill = (column in free and number in at and not has_none) or cell.attrib["r"] in ("B4", "B5")
            assert is_free[int(cell.attrib.get("s", "0"))] == to_fill, cell.attrib


def test_every_reading_has_a_list_that_begins_with_the_answers_of_who_cannot_tell() -> None:
    workbook = files()[".xlsx"]
    headings, lines = table(workbook, "left")
    rules = {
        r.attrib["sqref"]: (r.attrib, r.findtext(f"{MAIN}formula1"))
        for r in tab(workbook, "left").iter(f"{MAIN}dataValidation")
        if r.attrib.get("type") == "list"
    }
    assert set(rules) == {headings["reading"] + line["row"] for line in lines}
    long = [[text_of(c, texts(workbook)) for c in cells.values()] for cells in rows(workbook, "lists")]
    by_size = {(line["feature"], line["size"]): rules[headings["reading"] + line["row"]] for line in lines}
    for attributes, source in rules.values():
        assert attributes.get("showErrorMessage") != "1"  # any other answer may be typed
        assert source and (source.startswith(f'"{DONT_KNOW},{NONE_THERE}') or "lists!" in source)
    assert by_size["caliper lugs", "bolt pitch"][1] == f'"{DONT_KNOW},{NONE_THERE}"'
    assert (by_size["stub spline", "form"][1] or "").endswith('involute flat root,straight sided,serration"')
    assert (by_size["wheel circle", "count"][1] or "").startswith(f'"{DONT_KNOW},{NONE_THERE},1,2,3,4,5,')
    assert by_size["stub end", "thread"][1] == "lists!$A$1:$A$" + str(len(usual_threads()) + 2)
    assert [row[0] for row in long][:3] == [DONT_KNOW, NONE_THERE, usual_threads()[0]]


def test_headings_and_units_stand_as_they_are_read() -> None:
    headings, lines = table(files()[".xlsx"], "left")
    assert tuple(headings) == COLUMNS
    units = {(line["feature"], line["size"]): line["unit"] for line in lines}
    assert units["stub spline", "major diameter"] == "mm"
    assert units["rotor screw holes", "thread"] == units["wheel circle", "count"] == ""
    assert units["stub spline", "pressure angle"] == "deg"


@pytest.mark.parametrize("name", ["=1+1", "+44", "-x", "@me", "http://a.example/b", "{=x}", "<b>&amp;"])
def test_no_cell_becomes_a_formula_or_a_link(name: str) -> None:
    """Not even where a name gets into the records that no command would have taken."""
    made = measuring_sheet(van(), van().vehicles["mine"])
    strange = type(made)(**{f: getattr(made, f) for f in made.__struct_fields__} | {"vehicle": name, "title": name})
    workbook = measuring_workbook(strange)
    for number in (1, 2, 3):
        root = part(workbook, f"xl/worksheets/sheet{number}.xml")
        assert root.find(f".//{MAIN}f") is None and root.find(f"{MAIN}hyperlinks") is None
    assert name in texts(workbook)


# ----------------------------------------------------------------------------------------------------- the page


def test_the_page_has_its_own_fonts_and_no_date() -> None:
    page = files()[".pdf"]
    assert page.startswith(b"%PDF-") and b"LibertinusSerif" in page
    assert b"CreationDate" not in page and b"ModDate" not in page


def test_markup_in_a_name_is_a_text_like_any_other() -> None:
    """A bracket, a number sign, a dollar or a backslash would end or begin something if data were pasted in."""
    name = '#panic("x") $ [ *a* _b_ \\ "q" <l> @r // /* `'
    made = sheet()
    strange = type(made)(**{f: getattr(made, f) for f in made.__struct_fields__} | {"vehicle": name, "layout": name})
    assert measuring_page(strange).startswith(b"%PDF-")


def test_the_demo_vehicle_has_a_sheet_too() -> None:
    catalogue = load(Path(__file__).parents[2] / "data_demo").catalogue
    made = measuring_sheet(catalogue, catalogue.vehicles["tansy-m080"])
    assert {line.position for _, line in all_lines(made)} > {"brake drum", "outer joint", "master cylinder"}
    assert made.count > 100
