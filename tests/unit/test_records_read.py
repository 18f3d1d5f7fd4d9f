"""Reading record tables: good rows go on, faulty ones are named with file, row and column, and nothing vanishes."""

from __future__ import annotations

from pathlib import Path

import pytest

from knockon.graph.records import Finding, RecordsError, load, load_records, prepared, read_graph, records_from_text
from tests.unit.small import TABLES, with_rows


def found(changed: dict[str, str]) -> list[tuple[str, int, str, str]]:
    """File, row, column and what was written of every finding."""
    return [(f.file, f.row, f.column, f.written) for f in records_from_text({**TABLES, **changed}).findings]


def folder_of(root: Path) -> Path:
    for name, text in TABLES.items():
        path = root / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return root


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
    assert records.findings[0].set_aside and "taken as unknown" in records.findings[0].problem


def test_absent_empty_and_question_mark_are_three_things() -> None:
    rows = "part,feature,diameter,source\nAXLE-20,seat,absent,book\nAXLE-25,seat,?,book\n"
    features = records_from_text({**TABLES, "features/spigot.csv": rows}).catalogue.features
    assert features["AXLE-20"]["seat"].absent == (("book", 2),)
    assert features["AXLE-25"]["seat"].dimensions["diameter"][0].unknown
    empty = "part,feature,diameter,source\nAXLE-20,seat,,book\n"
    features = records_from_text({**TABLES, "features/spigot.csv": empty}).catalogue.features
    assert features["AXLE-20"]["seat"].dimensions == {}


def test_unknown_tables_and_columns_are_passed_over_aloud() -> None:
    assert found({"partz.csv": "part\nX-1\n"}) == [("partz.csv", 1, "", "partz")]
    text = TABLES["layouts.csv"].replace("title", "titel")
    assert ("layouts.csv", 1, "titel", "titel") in found({"layouts.csv": text})


def test_a_table_without_a_column_that_it_needs_is_set_aside_whole() -> None:
    text = "supplier,price\nMill,30\n"
    assert found({"offers.csv": text}) == [("offers.csv", 1, "part", "")]


def test_blank_rows_count_and_say_nothing() -> None:
    text = "supplier,title,postage\n\n,,\nMill,a mill,4\nForge,a forge,nine\n"
    assert found({"suppliers.csv": text}) == [("suppliers.csv", 5, "postage", "nine")]


def test_ragged_rows() -> None:
    text = "supplier,title,postage\nMill,a mill\nForge,a forge,9,,\n"
    assert found({"suppliers.csv": text}) == []
    assert found({"suppliers.csv": text + "Barn,a barn,9,what is this\n"}) == [
        ("suppliers.csv", 4, "", "what is this"),
    ]


def test_a_quoted_cell_may_hold_line_breaks_and_the_row_number_is_its_last_line() -> None:
    text = 'supplier,title,postage\nMill,"a mill,\nby the river",4\nForge,a forge,nine\n'
    assert found({"suppliers.csv": text}) == [("suppliers.csv", 4, "postage", "nine")]


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


def test_a_folder_is_needed(tmp_path: Path) -> None:
    for folder in (tmp_path / "nowhere", tmp_path):
        with pytest.raises(RecordsError):
            load(folder)
    (tmp_path / "notes.txt").write_text("no table")
    with pytest.raises(RecordsError, match="no record tables"):
        load(tmp_path)


def test_broken_turtle_is_one_clear_error(tmp_path: Path) -> None:
    folder = folder_of(tmp_path)
    (folder / "club.ttl").write_text("this is not turtle")
    with pytest.raises(RecordsError, match=r"club\.ttl"):
        load(folder)


def test_a_file_that_is_no_text_leaves_the_others(tmp_path: Path) -> None:
    folder = folder_of(tmp_path)
    (folder / "offers.csv").write_bytes(b"supplier,part,price\nMill,CAP-1,\xff\xfe\n")
    _, _, findings = read_graph(folder)
    assert [(f.file, f.row) for f in findings] == [("offers.csv", 0)]
    assert load_records(folder).offers == {}


def test_a_byte_order_mark_is_no_part_of_the_header(tmp_path: Path) -> None:
    folder = folder_of(tmp_path)
    (folder / "suppliers.csv").write_bytes(b"\xef\xbb\xbf" + TABLES["suppliers.csv"].encode())
    assert load(folder).findings == ()


# --------------------------------------------------------------- prepared copies


@pytest.fixture
def cache(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "cache"
    monkeypatch.setenv("KNOCKON_CACHE", str(folder))
    return folder


def test_a_prepared_copy_is_the_same_catalogue(tmp_path: Path, cache: Path) -> None:
    folder = folder_of(tmp_path / "records")
    once = load(folder)
    copies = list(cache.glob("*.msgpack"))
    assert len(copies) == 1
    assert load(folder) == once
    assert list(cache.glob("*")) == copies


def test_any_change_makes_a_new_copy(tmp_path: Path, cache: Path) -> None:
    folder = folder_of(tmp_path / "records")
    before = prepared.fingerprint(folder)
    (folder / "suppliers.csv").write_text(TABLES["suppliers.csv"].replace("9", "10"))
    assert prepared.fingerprint(folder) != before
    assert load(folder).catalogue.suppliers["Forge"].postage == 10
    (folder / "club.ttl").write_text("@prefix kn: <https://knockon.example/vocab#> .\n")
    assert prepared.fingerprint(folder) not in (before, "")


def test_a_broken_copy_is_made_again(tmp_path: Path, cache: Path) -> None:
    folder = folder_of(tmp_path / "records")
    once = load(folder)
    (copy,) = cache.glob("*.msgpack")
    for rubbish in (b"", b"\x93\x01\x02", copy.read_bytes()[:-20]):
        copy.write_bytes(rubbish)
        assert load(folder) == once
        assert len(copy.read_bytes()) > 1000


def test_only_so_many_copies_are_kept(tmp_path: Path, cache: Path) -> None:
    folder = folder_of(tmp_path / "records")
    for postage in range(prepared.MOST_COPIES + 3):
        (folder / "suppliers.csv").write_text(f"supplier,title,postage\nMill,a mill,{postage}\nForge,,1\n")
        load(folder)
    assert len(list(cache.glob("*"))) == prepared.MOST_COPIES


def test_copies_can_be_switched_off(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    assert prepared.folder_of_copies() is None
    folder = folder_of(tmp_path)
    assert load(folder).findings == ()
    assert prepared.fetch(prepared.fingerprint(folder)) is None


def test_a_cache_that_cannot_be_written_is_no_error(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("not a folder")
    monkeypatch.setenv("KNOCKON_CACHE", str(blocked / "inside"))
    assert load(folder_of(tmp_path / "records")).findings == ()


def test_findings_sort_by_file_and_row() -> None:
    first, second = (Finding("a.csv", row, "", "", "", "") for row in (2, 10))
    assert sorted([second, first]) == [first, second]
