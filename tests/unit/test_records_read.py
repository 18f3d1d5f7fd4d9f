"""Reading record tables: good rows go on, faulty ones are named with file, row and column, and nothing vanishes."""

from __future__ import annotations

from pathlib import Path

import pytest

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.findings import rows_set_aside
from knockon.graph.model.layouts.layout import Places
from knockon.graph.model.things import Said
from knockon.graph.records import (
    Finding,
    Records,
    RecordsError,
    load,
    load_records,
    read_graph,
    records_from_text,
)
from knockon.queries.fits.checking.candidates import new_parts
from knockon.queries.fits.checking.checks import Checks
from tests.unit.small import TABLES, folder_of, with_rows


def found(changed: dict[str, str]) -> list[tuple[str, int, str, str]]:
    """File, row, column and what was written of every finding."""
    return [(f.file, f.row, f.column, f.written) for f in records_from_text({**TABLES, **changed}).findings]


def test_good_records_have_no_findings() -> None:
    assert found({}) == []


@pytest.mark.parametrize(
    ("table", "row", "column", "written"),
    [
        ("features/spigot.csv", "AXLE-20,seat,20,book", "diameter", "20"),
        ("features/spigot.csv", "AXLE-20,seat,wide,book", "diameter", "wide"),
        ("features/spigot.csv", "AXEL-20,seat,20 mm,book", "part", "AXEL-20"),
        ("features/spigot.csv", "AXLE-20,,20 mm,book", "feature", ""),
        ("features/spigot.csv", "AXLE-20,seat,20 mm,boook", "source", "boook"),
        ("claims.csv", "CAP-1,listed for,wagon,,,book", "vehicle", "wagon"),
        ("claims.csv", "CAP-1,goes to,cart,,,book", "claim", "goes to"),
        ("offers.csv", "Mill,STUD-1,cheap,", "price", "cheap"),
        ("parts.csv", "X-1,a thing,hubcap,either,no,,,book", "part type", "hubcap"),
        ("parts.csv", "X-1,a thing,drive flange,either,maybe,,,book", "one use", "maybe"),
        ("parts.csv", "X-1,,drive flange,either,no,,,book", "name", ""),
        ("joints.csv", "cart axle,x,hub,bore,axle,seat,registered,,,", "rule", "registered"),
        ("kit_lines.csv", "box,CAP-1,few", "quantity", "few"),
    ],
)
def test_a_bad_cell_is_named(table: str, row: str, column: str, written: str) -> None:
    number = TABLES[table].count("\n") + 1
    assert found(with_rows(table, row)) == [(table, number, column, written)]


@pytest.mark.parametrize(("zeros", "faults"), [(38, []), (39, ["price"])])
def test_a_number_of_more_than_forty_characters_is_none(zeros: int, faults: list[str]) -> None:
    assert [column for _, _, column, _ in found(with_rows("offers.csv", f"Mill,GREASE,1.{'0' * zeros},"))] == faults


@pytest.mark.parametrize(
    ("table", "row"), [("vehicles.csv", "van,a van,cart axle,yes,,"), ("claims.csv", "GREASE,listed for,cart,,")]
)
def test_two_sources_of_one_row_are_no_disagreement(table: str, row: str) -> None:
    head, *rows = TABLES[table].splitlines()
    if not head.endswith(",source"):
        head, rows = f"{head},source", [f"{r}," for r in rows]
    said = [head, *rows, *(f"{row},{source}" for source in ("book", "stall"))]
    assert found({table: "".join(f"{line}\n" for line in said)}) == []


def test_suggestions_are_offered_and_never_applied() -> None:
    records = records_from_text({**TABLES, **with_rows("features/spigot.csv", "AXLE-2O,seat,25 mm,book")})
    assert records.findings[0].suggestions[0] in ("AXLE-20", "AXLE-25")
    seats = [len(records.catalogue.features[p]["seat"].dimensions["diameter"]) for p in ("AXLE-20", "AXLE-25")]
    assert seats == [1, 1]


def test_a_bad_size_is_loaded_as_unknown() -> None:
    text = TABLES["features/spigot.csv"].replace("25 mm", "25ish")
    records = records_from_text({**TABLES, "features/spigot.csv": text})
    (statement,) = records.catalogue.features["AXLE-25"]["seat"].dimensions["diameter"]
    assert (statement.unknown, statement.low, statement.written) == (True, None, "?")
    assert records.findings[0].set_aside and "counts as not known" in records.findings[0].problem


def test_absent_empty_and_question_mark_are_three_things() -> None:
    rows = "part,feature,diameter,source\nAXLE-20,seat,absent,book\nAXLE-25,seat,?,book\n"
    features = records_from_text({**TABLES, "features/spigot.csv": rows}).catalogue.features
    assert features["AXLE-20"]["seat"].absent == (Said("book", 2),)
    assert features["AXLE-25"]["seat"].dimensions["diameter"][0].unknown
    empty = "part,feature,diameter,source\nAXLE-20,seat,,book\n"
    features = records_from_text({**TABLES, "features/spigot.csv": empty}).catalogue.features
    assert features["AXLE-20"]["seat"].dimensions == {}


def test_unknown_tables_and_columns_are_passed_over_aloud() -> None:
    assert found({"partz.csv": "part\nX-1\n"}) == [("partz.csv", 1, "", "partz")]
    text = TABLES["layouts.csv"].replace("title", "titel")
    assert ("layouts.csv", 1, "titel", "titel") in found({"layouts.csv": text})


def test_a_table_without_a_column_that_it_needs_is_set_aside_whole() -> None:
    records = records_from_text({**TABLES, "offers.csv": "supplier,price\nMill,30\nForge,28\n"})
    assert [(f.file, f.row, f.column, f.many) for f in records.findings] == [("offers.csv", 1, "part", 2)]
    assert "all its rows (2) are skipped" in records.findings[0].problem
    assert rows_set_aside(records.findings) == 2


def test_blank_rows_count_and_say_nothing() -> None:
    text = "supplier,title,postage\n\n,,\nMill,a mill,4\nForge,a forge,9\nBarn,,nine\n"
    assert found({"suppliers.csv": text}) == [("suppliers.csv", 6, "postage", "nine")]


def test_ragged_rows() -> None:
    text = "supplier,title,postage\nMill,a mill\nForge,a forge,9,,\n"
    assert found({"suppliers.csv": text}) == []
    assert found({"suppliers.csv": text + "Barn,a barn,9,what is this\n"}) == [
        ("suppliers.csv", 4, "", "what is this"),
    ]


def test_a_quoted_cell_may_hold_line_breaks_and_the_row_number_is_its_last_line() -> None:
    text = 'supplier,title,postage\nMill,"a mill,\nby the river",4\nForge,a forge,9\nBarn,,nine\n'
    assert found({"suppliers.csv": text}) == [("suppliers.csv", 5, "postage", "nine")]


@pytest.mark.parametrize("mark", ["\u2028", "\x0b", "\x0c", "\x85", "\x1e"])
def test_only_line_ends_end_a_row(mark: str) -> None:
    text = TABLES["suppliers.csv"].replace("a mill", f"a{mark}mill").replace("\n", "\r\n")
    records = records_from_text({**TABLES, "suppliers.csv": text})
    assert records.findings == ()
    assert records.catalogue.suppliers["Mill"].title == f"a{mark}mill"
    assert records.catalogue.suppliers["Mill"].postage == 4


def test_headers_are_read_without_case_and_blanks() -> None:
    assert found({"suppliers.csv": " Supplier , TITLE,postage\nMill,a mill,4\nForge,a forge,9\n"}) == []


def test_a_column_that_stands_twice_is_named() -> None:
    text = "supplier,title,postage,postage\nMill,a mill,4,5\nForge,a forge,9,9\n"
    assert ("suppliers.csv", 1, "postage", "postage") in found({"suppliers.csv": text})


def test_two_rows_of_one_key_are_both_kept_and_said() -> None:
    findings = records_from_text({**TABLES, **with_rows("suppliers.csv", "Mill,another mill,4")}).findings
    assert [(f.row, f.column, f.set_aside) for f in findings] == [(4, "title", False)]
    assert "'a mill'" in findings[0].problem


def rows_that_disagree(table: str, *rows: str) -> tuple[Records, list[tuple[int, str, str, bool]]]:
    records = records_from_text({**TABLES, **with_rows(table, *rows)})
    here = [(f.row, f.column, f.written, f.set_aside) for f in records.findings if f.file == table]
    return records, here


@pytest.mark.parametrize(
    ("row", "column", "first", "second"),
    [
        ("GREASE,grease,bearing grease,left,yes,,,book", "hand", "either", "left"),
        ("GREASE,grease,bearing grease,either,no,,,book", "one use", "yes", "no"),
        ("GREASE,grease,wheel stud,either,yes,,,stall", "part type", "bearing grease", "wheel stud"),
    ],
)
def test_two_rows_of_a_part_that_disagree_are_both_set_aside(row: str, column: str, first: str, second: str) -> None:
    records, here = rows_that_disagree("parts.csv", row)
    assert here == [(12, column, first, True), (13, column, second, True)]
    assert "row 13" in records.findings[0].problem and "row 12" in records.findings[1].problem
    assert "GREASE" not in records.catalogue.parts and len(records.catalogue.parts) == 10


def test_two_prices_of_one_supplier_are_no_price() -> None:
    records, here = rows_that_disagree("offers.csv", "Mill,STUD-1,1.20,")
    assert here == [(8, "price", "1.10", True), (9, "price", "1.20", True)]
    assert "STUD-1" not in records.catalogue.offers


def test_the_same_row_from_two_sources_is_no_disagreement() -> None:
    records, here = rows_that_disagree("parts.csv", "GREASE,grease,bearing grease,either,yes,,,stall")
    assert here == [] and records.catalogue.parts["GREASE"].one_use


@pytest.mark.parametrize(
    ("table", "row", "column", "written", "expected"),
    [
        ("features/spigot.csv", "AXLE-20,lip,-20 mm,book", "diameter", "-20 mm", "a length from 0 up"),
        ("features/spigot.csv", "AXLE-20,lip,-1..20 mm,book", "diameter", "-1..20 mm", "a length from 0 up"),
        ("features/stud_hole.csv", "HUB-20L,openings,-9 mm,book", "diameter", "-9 mm", "a length from 0 up"),
        ("features/bolt_circle.csv", "HUB-20L,studs,-4,book", "count", "-4", "a whole number, such as 27"),
        ("features/residual_valve.csv", "CAP-1,valve,-2 psi,book", "pressure", "-2 psi", "a pressure from 0 up"),
        ("kit_lines.csv", "box,CAP-1,-2", "quantity", "-2", "a whole number from 0 to 10000"),
        ("offers.csv", "Mill,GREASE,-2,", "price", "-2", "a number from 0 to 1000000"),
        ("offers.csv", "Mill,GREASE,1e3,", "price", "1e3", "a number from 0 to 1000000"),
        ("set_members.csv", "PAIR-25,stud,,,0", "quantity", "0", "a whole number from 1 to 10000"),
    ],
)
def test_what_cannot_be_below_zero_is_named(table: str, row: str, column: str, written: str, expected: str) -> None:
    heads = {"features/stud_hole.csv": "part,feature,diameter,source\n",
             "features/bolt_circle.csv": "part,feature,count,source\n",
             "features/residual_valve.csv": "part,feature,pressure,source\n"}  # fmt: skip
    text = TABLES.get(table) or heads[table]
    records = records_from_text({**TABLES, table: text + row + "\n"})
    (finding,) = records.findings
    assert (finding.file, finding.row, finding.column) == (table, text.count("\n") + 1, column)
    assert (finding.written, finding.expected, finding.set_aside) == (written, expected, True)


def test_an_offset_may_be_below_zero() -> None:
    text = "part,feature,offset,source\nHUB-20L,face,-5 mm,book\n"
    records = records_from_text({**TABLES, "features/wheel_offset.csv": text})
    assert records.findings == ()
    assert records.catalogue.features["HUB-20L"]["face"].dimensions["offset"][0].low == -5


@pytest.mark.parametrize(
    ("table", "row", "column", "written"),
    [
        ("set_members.csv", "PAIR-25,stud,,PAIR-25,1", "as part", "PAIR-25"),
        ("parts.csv", "X-1,x,wheel stud,either,no,,X-1,book", "drawn as", "X-1"),
        ("vehicles.csv", "wagon,,cart axle,no,cart,wagon", "like", "wagon"),
        ("items.csv", "one,,x,one,turn it,survey", "after work on", "one"),
        ("positions.csv", "cart axle,box,corner,wheel stud,1,optional,box,no,boxes,50", "carried by", "box"),
    ],
)
def test_what_leads_back_to_itself_is_set_aside(table: str, row: str, column: str, written: str) -> None:
    records, _ = rows_that_disagree(table, row)
    number = TABLES[table].count("\n") + 1
    assert [(f.file, f.row, f.column, f.written) for f in records.findings] == [(table, number, column, written)]
    assert "leads back to itself" in records.findings[0].problem


def test_a_feature_recorded_as_two_kinds_is_neither() -> None:
    rows = "part,feature,diameter,source\nAXLE-20,seat,21 mm,book\n"
    records = records_from_text({**TABLES, "features/journal.csv": rows})
    assert [(f.file, f.row, f.column) for f in records.findings] == [
        ("features/journal.csv", 2, "feature"),
        ("features/spigot.csv", 2, "feature"),
    ]
    assert "also recorded as spigot" in records.findings[0].problem
    assert sorted(records.catalogue.features["AXLE-25"]) == ["seat"]
    assert "seat" not in records.catalogue.features_of("AXLE-20")


def test_a_mirror_named_by_one_row_only_is_one_for_both() -> None:
    text = TABLES["parts.csv"].replace("right,no,HUB-20L,HUB-20L", "right,no,,HUB-20L")
    records = records_from_text({**TABLES, "parts.csv": text})
    assert records.findings == () and records.catalogue.parts["HUB-20R"].mirror_of == "HUB-20L"


def test_a_mirror_whose_mirror_is_a_third_is_set_aside() -> None:
    records, here = rows_that_disagree("parts.csv", "HUB-20X,hub,drive flange,left,no,HUB-20R,,book")
    assert here == [(13, "mirror of", "HUB-20R", True)]
    assert "HUB-20R belongs to HUB-20L" in records.findings[0].problem


def test_a_longer_circle_names_each_row_of_it_and_no_other() -> None:
    rows = ("one,,cart axle,no,,two", "two,,cart axle,no,,three", "three,,cart axle,no,,one", "four,,cart axle,no,,one")
    records, here = rows_that_disagree("vehicles.csv", *rows)
    assert [h[:2] for h in here] == [(5, "like"), (6, "like"), (7, "like"), (8, "like")]
    problems = [f.problem for f in records.findings]
    assert "one -> two -> three -> one" in problems[0] and "the row of 'one' was skipped" in problems[3]
    assert sorted(records.catalogue.vehicles) == ["big-cart", "cart", "my-cart"]


@pytest.mark.parametrize(
    ("table", "row", "column", "written"),
    [
        ("joints.csv", "cart axle,lid on hub,lid,x,hub,rim,fitting place,,,", "position", "lid"),
        ("joints.csv", "cart axle,x,cap,rim,hub,rim,fitting place,,,hubb", "owns", "hubb"),
        ("set_members.csv", "PAIR-25,lid,left,,1", "position", "lid"),
        ("fittings.csv", "cart,lid,,CAP-1,,sound", "position", "lid"),
        ("positions.csv", "cart axle,lid,corner,wheel stud,1,needed,box,no,lids,50", "carried by", "box"),
        ("consumables.csv", "cart axle,bearing grease,lid,1", "with position", "lid"),
    ],
)
def test_a_position_that_is_not_in_the_layout(table: str, row: str, column: str, written: str) -> None:
    number = TABLES[table].count("\n") + 1
    assert found(with_rows(table, row)) == [(table, number, column, written)]


def test_a_joint_whose_feature_is_called_otherwise_is_named() -> None:
    text = TABLES["joints.csv"].replace("hub,bore,axle,seat", "hub,bores,axle,seat")
    (finding,) = records_from_text({**TABLES, "joints.csv": text}).findings
    assert (finding.row, finding.column, finding.written, finding.set_aside) == (2, "feature", "bores", False)
    assert "nothing has such a feature" in finding.problem and finding.suggestions == ("bore",)


def test_a_term_of_a_size_that_the_kind_does_not_have_is_named() -> None:
    tables = {
        "figures.csv": "layout,figure,is,sort,low,unit,compared with\ncart axle,room,stack,service,1 mm,mm,limits\n",
        "figure_terms.csv": "layout,figure,order,position,feature,dimension,factor\n"
        "cart axle,room,1,axle,seat,diametre,1\n",
    }
    (finding,) = records_from_text({**TABLES, **tables}).findings
    assert (finding.file, finding.row, finding.column, finding.set_aside) == ("figure_terms.csv", 2, "dimension", False)
    assert finding.suggestions == ("diameter",)


def test_a_file_that_holds_no_table_is_named() -> None:
    assert found({"offers.csv": ""}) == [("offers.csv", 0, "", "")]
    assert found({"offers.csv": TABLES["offers.csv"].partition("\n")[0]}) == []


def test_what_names_a_row_that_was_set_aside_goes_with_it() -> None:
    text = TABLES["vehicles.csv"].replace("big-cart,a big cart as made,cart axle,yes", "big-cart,,cart axle,perhaps")
    records = records_from_text({**TABLES, "vehicles.csv": text})
    assert {(f.file, f.column, f.written) for f in records.findings} == {
        ("vehicles.csv", "as made", "perhaps"),
        ("fittings.csv", "vehicle", "big-cart"),
        ("claims.csv", "vehicle", "big-cart"),
    }
    assert all("was skipped" in f.problem for f in records.findings if f.written == "big-cart")


def test_a_sum_that_lost_a_term_stays_open() -> None:
    figures = {
        "figures.csv": "layout,figure,is,sort,low,high,unit,compared with\n"
        "cart axle,room,stack,service,-1,1,mm,limits\n",
        "figure_terms.csv": "layout,figure,order,position,feature,dimension,factor\n"
        "cart axle,room,1,axle,seat,diameter,1\ncart axle,room,2,hub,bore,diameter,minus one\n",
    }
    records = records_from_text({**TABLES, **figures})
    assert [(f.file, f.row, f.column) for f in records.findings] == [("figure_terms.csv", 3, "factor")]
    (figure,) = records.catalogue.layouts["cart axle"].figures
    assert [(t.position, t.dimension) for t in figure.terms] == [
        ("axle", "diameter"),
        ("hub", "a term that was skipped"),
    ]
    places = Places(records.catalogue.layouts["cart axle"])
    checks = Checks(records.catalogue, places)
    chosen = {p: next(iter(new_parts(records.catalogue, places, p)), None) for p in places.all}
    assert checks.figure(places.figures[0], chosen, None).verdict is Verdict.NOT_KNOWN


def test_a_folder_is_needed(tmp_path: Path) -> None:
    for folder in (tmp_path / "nowhere", tmp_path):
        with pytest.raises(RecordsError):
            load(folder)
    (tmp_path / "notes.txt").write_text("no table")
    with pytest.raises(RecordsError, match="no record tables"):
        load(tmp_path)


def test_broken_turtle_is_one_clear_finding_and_the_rest_is_used(tmp_path: Path) -> None:
    folder = folder_of(tmp_path)
    good = load(folder)
    (folder / "club.ttl").write_text("this is not turtle")
    found = load(folder)
    assert [(f.file, f.row, f.set_aside) for f in found.findings if f not in good.findings] == [("club.ttl", 1, True)]
    assert found.catalogue == good.catalogue


def test_bytes_that_are_no_text_cost_their_row_alone(tmp_path: Path) -> None:
    folder = folder_of(tmp_path)
    rows = b"supplier,part,price\nMill,CAP-1,\xff\xfe\nMill,STUD-1,2\nForge,\0,3\nForge,AXLE-20,4\n"
    (folder / "offers.csv").write_bytes(rows)
    _, _, findings = read_graph(folder)
    assert [(f.file, f.row, f.column, f.written) for f in findings] == [
        ("offers.csv", 2, "price", "\\udcff\\udcfe"),
        ("offers.csv", 4, "part", "\\0"),
    ]
    assert sorted(load_records(folder).offers) == ["AXLE-20", "STUD-1"]


def test_a_file_in_another_encoding_leaves_the_others(tmp_path: Path) -> None:
    folder = folder_of(tmp_path)
    (folder / "offers.csv").write_bytes(TABLES["offers.csv"].encode("utf-16"))
    _, _, findings = read_graph(folder)
    assert [(f.file, f.row) for f in findings] == [("offers.csv", 0)]
    assert load_records(folder).offers == {} and len(load_records(folder).parts) == 11


@pytest.mark.parametrize("quote", ['"never closed', 'a "b', "x" * 200_000])
def test_a_row_that_cannot_be_split_costs_itself_alone(quote: str) -> None:
    text = f'supplier,title,postage\nBarn,"{quote},3\nMill,"a ""mill""",4\nForge,a forge,9\n'
    records = records_from_text({**TABLES, "suppliers.csv": text})
    assert [(f.file, f.row) for f in records.findings] == [("suppliers.csv", 2)]
    assert records.findings[0].written.startswith("Barn,") and len(records.findings[0].written) < 200
    assert records.catalogue.suppliers["Mill"].title == 'a "mill"'
    assert sorted(records.catalogue.suppliers) == ["Forge", "Mill"]


def test_a_byte_order_mark_is_no_part_of_the_header(tmp_path: Path) -> None:
    folder = folder_of(tmp_path)
    (folder / "suppliers.csv").write_bytes(b"\xef\xbb\xbf" + TABLES["suppliers.csv"].encode())
    assert load(folder).findings == ()


def test_findings_sort_by_file_and_row() -> None:
    first, second = (Finding(file="a.csv", row=row, problem="") for row in (2, 10))
    assert sorted([second, first]) == [first, second]


def test_each_name_of_a_list_that_names_nothing_is_told_not_only_the_first() -> None:
    owns = TABLES["joints.csv"].replace("on the vehicle,cap", "on the vehicle,cap;lid;stud;bung")
    found = records_from_text({**TABLES, "joints.csv": owns}).findings
    assert [(f.row, f.column, f.written, f.problem) for f in found if f.file == "joints.csv"] == [
        (2, "owns", name, "not found in positions of 'cart axle'") for name in ("bung", "lid")
    ]


def test_a_name_that_names_nothing_is_told_also_behind_one_whose_row_was_set_aside() -> None:
    positions = TABLES["positions.csv"].replace("cart axle,cap,corner", "cart axle,cap,cornr")
    owns = TABLES["joints.csv"].replace("on the vehicle,cap", "on the vehicle,cap;lid")
    found = records_from_text({**TABLES, "positions.csv": positions, "joints.csv": owns}).findings
    assert {f.problem for f in found if (f.file, f.row, f.column) == ("joints.csv", 2, "owns")} == {
        "the row of 'cap' was skipped", "not found in positions of 'cart axle'",
    }  # fmt: skip
