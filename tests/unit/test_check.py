"""``check`` on a records folder: what is wrong inside a layout, beside faulty rows and shapes."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

import pytest

from knockon.graph.records import records_from_text
from knockon.queries.intake.check import CheckAnswer, check_records
from knockon.queries.ui.terminal.blocks import Para
from knockon.queries.ui.texts.findings import finding_line
from knockon.queries.ui.texts.intake.check import check_text
from tests.unit.small import TABLES, with_rows


def checked(folder: Path, changed: Mapping[str, str]) -> CheckAnswer:
    for name, text in {**TABLES, **changed}.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    return check_records(folder)


def test_good_records(tmp_path: Path) -> None:
    answer = checked(tmp_path, {})
    assert answer.findings == () and answer.set_aside == 0
    assert answer.counts["parts"] == TABLES["parts.csv"].count("\n") - 1
    assert answer.counts["nodes checked"] > answer.counts["parts"]


def test_one_of_a_thing_is_said_as_one(tmp_path: Path) -> None:
    counts = checked(tmp_path, {}).counts
    one = CheckAnswer("here", (), dict.fromkeys(counts, 1))
    none = CheckAnswer("here", (), dict.fromkeys(counts, 0))
    said = [[b.text for b in check_text(a) if isinstance(b, Para)][1] for a in (one, none)]
    assert said[0] == (
        "Read: 1 statement, 1 part, 1 feature, 1 vehicle, 1 kit, 1 note, 1 shape checked, 1 node checked."
    )
    assert said[1] == f"Read: {', '.join(f'0 {name}' for name in counts)}."


def test_a_position_that_is_not_in_the_layout_is_named_with_its_row(tmp_path: Path) -> None:
    answer = checked(tmp_path, with_rows("joints.csv", "cart axle,lid on hub,lid,x,hub,rim,fitting place,,,"))
    assert [(f.file, f.row, f.column, f.written) for f in answer.findings] == [("joints.csv", 5, "position", "lid")]
    assert answer.set_aside == 1


def test_whatever_names_a_position_that_the_layout_lacks_is_set_aside_where_it_is_read(tmp_path: Path) -> None:
    joints, positions = TABLES["joints.csv"], TABLES["positions.csv"]
    carried = positions.replace("hub washer or collar,1,needed,hub,", "hub washer or collar,1,needed,lid,")
    for table, column, text in (
        ("joints.csv", "owns", joints.replace("on the vehicle,cap", "on the vehicle,cap;lid")),
        ("joints.csv", "other position", joints.replace("knurl,hub,", "knurl,lid,")),
        ("positions.csv", "carried by", carried),
    ):
        assert text != TABLES[table]
        found = checked(tmp_path, {table: text}).findings
        (told,) = (f for f in found if "lid" in f.written)
        assert (told.file, told.column, told.set_aside) == (table, column, True)
        assert told.problem == "not found in positions of 'cart axle'"


VAN = {
    **with_rows("layouts.csv", "van axle,a van's axle"),
    **with_rows("positions.csv", "van axle,lid,corner,wheel stud,1,optional,,no,lids,10"),
    **with_rows("joints.csv", "van axle,lid on lid,lid,rim,lid,holes,fitting place,,,"),
}


def test_a_thing_in_a_position_of_another_layout_than_its_vehicle_s_is_named_once(tmp_path: Path) -> None:
    assert checked(tmp_path, VAN).findings == ()
    (told,) = checked(tmp_path, {**VAN, **with_rows("fittings.csv", "cart,lid,,CAP-1,,sound")}).findings
    # two vehicles are like the cart, and say nothing of their own there
    assert (told.file, told.column, told.written, told.set_aside) == ("fittings.csv", "cart", "lid", False)
    assert told.problem == "is not a position of 'cart axle'"


def test_a_thing_in_a_position_of_no_layout_is_set_aside_and_told_once(tmp_path: Path) -> None:
    (told,) = checked(tmp_path, with_rows("fittings.csv", "cart,lid,,CAP-1,,sound")).findings
    assert (told.row, told.column, told.written, told.set_aside) == (11, "position", "lid", True)


def test_a_set_with_a_member_in_a_position_of_no_layout_is_told_once_with_its_row(tmp_path: Path) -> None:
    (told,) = checked(tmp_path, with_rows("set_members.csv", "PAIR-25,lid,left,CAP-1,1")).findings
    assert (told.file, told.row, told.column, told.written) == ("set_members.csv", 6, "position", "lid")


def test_what_is_expected_stands_within_its_sentence(tmp_path: Path) -> None:
    bad = {
        **with_rows("fittings.csv", "cart,lid,,CAP-1,,sound", "nocart,hub,left,HUB-20L,,sound"),
        **with_rows("parts.csv", "X,,,,,,,book"),
    }
    lines = [finding_line(f) for f in checked(tmp_path, bad).findings]
    assert "Row 13, column 'name': empty. Expected: what it is called. Skipped." in lines
    assert "Row 11, column 'position': read 'lid'. Not found in positions. Expected: position. Skipped." in lines
    assert not any(".." in line for line in lines)


def test_things_that_hang_on_each_other_in_a_circle(tmp_path: Path) -> None:
    rows = TABLES["positions.csv"].replace("drive flange,1,needed,axle", "drive flange,1,needed,cap")
    answer = checked(tmp_path, {"positions.csv": rows})
    circle = [f for f in answer.findings if "leads back to itself" in f.problem]
    assert {(f.row, f.column, f.written) for f in circle} == {(3, "carried by", "cap"), (5, "carried by", "hub")}
    assert answer.set_aside >= 2


def test_a_set_that_holds_itself_is_told_in_words(tmp_path: Path) -> None:
    answer = checked(tmp_path, with_rows("set_members.csv", "PAIR-25,stud,,PAIR-25,1"))
    assert [(f.file, f.row, f.column) for f in answer.findings] == [("set_members.csv", 6, "as part")]
    assert not any("http" in f.column + f.problem + f.written for f in answer.findings)


def test_a_table_that_lacks_a_column_counts_all_its_rows(tmp_path: Path) -> None:
    text = TABLES["parts.csv"].replace("hand,", "side,", 1)
    answer = checked(tmp_path, {"parts.csv": text})
    (lacks,) = (f for f in answer.findings if f.column == "hand")
    assert lacks.many == 11
    assert answer.set_aside > 11


def _with_one_feature(position: str, feature: str, kind: str) -> list[str]:
    """What is said of a ready-made layout's terms, where one feature of one part is all that is recorded."""
    uses = "layout,uses,as,without\nmine,driven front corner,,cartridge;ball joint\nmine,hydraulics,,\n"
    tables = {"layout_uses.csv": uses, "sources.csv": "source,standing,title\nbook,drawing,a book\n"}
    bare = records_from_text(tables).catalogue
    place = next(p for p in bare.layouts["mine"].positions if p.position == position)
    table = next(k for k in bare.vocabulary.kinds.values() if k.label == kind)
    parts = f"part,name,part type,hand,one use,source\nX-1,a part,{place.part_type},either,no,book\n"
    sizes = f"part,feature,{table.columns[0].name},source\nX-1,{feature},?,book\n"
    found = records_from_text({**tables, "parts.csv": parts, f"features/{table.table}.csv": sizes})
    return [f"{f.column}: {f.problem}" for f in found.findings if "figure_terms" in f.file]


@pytest.mark.parametrize(
    ("position", "feature", "kind"),
    [("wheel", "envelope", "rim envelope"), ("caliper", "envelope", "caliper envelope")],
)
def test_a_feature_of_one_part_says_nothing_of_one_with_its_name_elsewhere(
    position: str, feature: str, kind: str
) -> None:
    assert _with_one_feature(position, feature, kind) == []


def test_a_size_that_the_feature_of_a_term_cannot_have_is_said_before_anything_is_recorded(tmp_path: Path) -> None:
    layouts = {
        "figures.csv": "layout,figure,is,sort,low,high,unit,compared with,says\n"
        "cart axle,hub depth,stack,service,0 mm,0.1 mm,mm,limits,it binds\n",
        "figure_terms.csv": "layout,figure,order,position,feature,dimension,factor\n"
        "cart axle,hub depth,1,hub,bore,diamter,1\n",
    }
    said = [f for f in checked(tmp_path, layouts).findings if f.file == "figure_terms.csv"]
    assert any(f.column == "dimension" and "diameter" in f.suggestions for f in said), said


def test_a_long_list_of_places_is_one_line_and_all_of_it_on_demand(tmp_path: Path) -> None:
    uses = "layout,uses,as,without\nmine,driven front corner,,cartridge;ball joint\n"
    vehicles = "vehicle,title,layout,arrangement,as made,source\nmine,mine,mine,disc,no,book\n"
    sources = "source,standing,title\nbook,drawing,a book\n"
    for name, text in {"layout_uses.csv": uses, "vehicles.csv": vehicles, "sources.csv": sources}.items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    answer = check_records(tmp_path)
    (finding,) = [f for f in answer.findings if f.file == "fittings.csv"]
    names = finding.written.split("; ")
    assert len(names) > 20 and f"{len(names)} places are needed and not recorded" in finding.problem
    line = finding_line(finding)
    assert names[5] in line and names[6] not in line and f"and {len(names) - 6} more" in line
    assert all(name in finding_line(finding, full=True) for name in names)
    page = [b.text for b in check_text(answer, full=False, ask="knockon check") if isinstance(b, Para)]
    assert page[-1] == "next: knockon check --full"
