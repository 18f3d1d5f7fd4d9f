"""Flat sheets: a row a part, its sizes of several features side by side, read into several tables in one go."""

from __future__ import annotations

import csv
import json
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from knockon.graph.mapping import Mapping, mapping_path, read_mapping, write_mapping
from knockon.graph.mapping.model import row_table
from knockon.graph.quarantine import read_book
from knockon.graph.sheets import open_sheets
from knockon.queries.intake.accepting import accept_all
from knockon.queries.intake.sheets.entry_names import names_of
from knockon.queries.intake.sheets.folder import open_folder
from knockon.queries.intake.sheets.imports import ImportAnswer, import_sheets, propose_mappings
from tests.commands.running import run
from tests.sheets.small import rows_of
from tests.sheets.workbooks import Merged, write_ods

SPLINE, JOURNAL, END = "features/external_spline", "features/journal", "features/stub_end"
FIXED = (("hand", "either"), ("one use", "no"), ("source", "book"))
HEADS = [
    [
        "Part No",
        "What",
        "Stub spline",
        "",
        "inner journal dia",
        "journal outer (mm)",
        "end thread",
        "price",
        "Supplier",
    ],
    ["", "", "teeth", "major dia (mm)", "", "", "", "", ""],
]
GOOD = ["J-1", "outer joint", "25", "27.5", "1 1/8 in", "30", "3/4-16 UNF", "12.50", "Mill"]
TABLES = {
    "sources.csv": "source,title,standing,member\nbook,a book,drawing,\nother,another,seller,\n",
    "suppliers.csv": "supplier,title,postage\nMill,a mill,4\n",
    "parts.csv": "part,name,part type,hand,one use\nOLD-1,outer joint,outer joint,either,no\n"
    "NUT-1,nut,hub nut,either,no\n",
    "features/external_spline.csv": "part,feature,teeth,pitch,major diameter\nOLD-1,stub spline,21,24/48,23.28 mm\n",
    "features/journal.csv": "part,feature,diameter\nOLD-1,inner journal,25.4 mm\nOLD-1,outer journal,28 mm\n",
    "features/stub_end.csv": "part,feature,thread,length\nOLD-1,stub end,5/8-18 UNF,3.16 in\n",
    "features/nut.csv": "part,feature,thread,height\nNUT-1,nut,5/8-18 UNF,9/16 in\n",
}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return records(tmp_path)


def records(tmp_path: Path) -> Path:
    made = tmp_path / "records"
    (made / "features").mkdir(parents=True)
    for name, text in TABLES.items():
        (made / name).write_text(text, encoding="utf-8")
    return made


def sheet(tmp_path: Path, *rows: list[str], heads: list[list[str]] = HEADS) -> Path:
    path = tmp_path / "mine.csv"
    with path.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream).writerows([*heads, *rows])
    return path


def proposed(folder: Path, path: Path, fixed: tuple[tuple[str, str], ...] = FIXED) -> tuple[Mapping, ...]:
    return tuple(p.mapping for p in propose_mappings(open_folder(folder), open_sheets(path), "", fixed))


def take_in(folder: Path, path: Path, dry_run: bool = False) -> ImportAnswer:
    mappings = proposed(folder, path)
    return import_sheets(folder, path.name, open_sheets(path), mappings, dry_run=dry_run)


def told(mapping: Mapping) -> tuple[str, str, dict[str, str]]:
    """Table, feature, and record column by title."""
    feature = dict(mapping.fixed).get("feature", "")
    return mapping.table, feature, {c.title: "+".join(c.names) for c in mapping.columns if c.names}


def test_the_proposal_says_what_goes_where_and_what_is_left(folder: Path, tmp_path: Path) -> None:
    path = sheet(tmp_path, [*GOOD, "shiny"], heads=[[*HEADS[0], "Remarks"], [*HEADS[1], ""]])
    found = [told(m) for m in proposed(folder, path)]
    assert (
        found
        == [
            ("parts", "", {"Part No": "part", "What": "part type+name"}),
            ("offers", "", {"Part No": "part", "price": "price", "Supplier": "supplier"}),
            (
                SPLINE,
                "stub spline",
                {"Part No": "part", "Stub spline teeth": "teeth", "Stub spline major dia": "major diameter"},
            ),
            (JOURNAL, "inner journal", {"Part No": "part", "inner journal dia": "diameter"}),
            (END, "stub end", {"Part No": "part", "end thread": "thread"}),
        ]
        or found
    )  # "journal outer" says no dimension: it is left
    ran = run(
        "--records", str(folder), "import", str(path), "--source", "book", "--set", "hand=either", "--set", "one use=no"
    )
    assert ran.status == 1
    assert "It fills" in ran.flowing and "tables in one go" in ran.flowing
    assert "-> features/external_spline, feature stub spline" in ran.lines
    assert "Left, because nothing resembles them:" in ran.flowing and "Remarks" in ran.flowing


def test_two_features_of_one_table_are_told_apart_by_their_names(folder: Path, tmp_path: Path) -> None:
    heads = [["Part No", "inner journal dia (mm)", "outer journal dia (mm)"]]
    answer = take_in(folder, sheet(tmp_path, ["OLD-1", "25.5", "28.5"], heads=heads))
    assert (answer.rows, answer.loaded) == (1, 1)
    assert [(r["feature"], r["diameter"]) for r in rows_of(folder, JOURNAL)][2:] == [
        ("inner journal", "25.5 mm"),
        ("outer journal", "28.5 mm"),
    ]


def test_a_title_with_two_meanings_is_not_taken_and_both_are_named(folder: Path, tmp_path: Path) -> None:
    heads = [["Part No", "What", "Stub spline teeth", "journal dia", "end thread"]]
    path = sheet(tmp_path, ["J-1", "outer joint", "25", "1 in", "3/4-16 UNF"], heads=heads)
    ran = run("--records", str(folder), "import", str(path))
    assert "journal dia -> inner journal, diameter (features/journal), or outer journal, diameter" in ran.flowing
    assert all("journal dia" not in told(m)[2] for m in proposed(folder, path))


def test_one_sheet_fills_parts_offers_and_features(folder: Path, tmp_path: Path) -> None:
    answer = take_in(folder, sheet(tmp_path, GOOD))
    assert (answer.rows, answer.loaded, answer.quarantined) == (1, 1, 0), answer.entries
    part = {"part": "J-1", "name": "outer joint", "part type": "outer joint", "hand": "either", "one use": "no"}
    assert rows_of(folder, "parts")[-1] == part | {"source": "book"}
    assert rows_of(folder, "offers") == [{"supplier": "Mill", "part": "J-1", "price": "12.50"}]
    spline = rows_of(folder, SPLINE)[-1]
    assert (spline["part"], spline["teeth"], spline["major diameter"], spline["source"]) == (
        "J-1",
        "25",
        "27.5 mm",
        "book",
    )
    assert rows_of(folder, END)[-1]["thread"] == "3/4-16 UNF"


def test_a_row_makes_rows_only_of_what_it_has_cells_for(folder: Path, tmp_path: Path) -> None:
    nut = ["NUT-2", "hub nut", "", "", "", "", "", "", ""]
    answer = take_in(folder, sheet(tmp_path, GOOD, nut))
    assert (answer.loaded, answer.quarantined) == (2, 0), answer.entries
    assert [r["part"] for r in rows_of(folder, "parts")] == ["OLD-1", "NUT-1", "J-1", "NUT-2"]
    assert not [r for r in rows_of(folder, JOURNAL) if r["part"] == "NUT-2"]


def test_a_price_of_nobody_makes_no_offer_and_is_said(folder: Path, tmp_path: Path) -> None:
    answer = take_in(folder, sheet(tmp_path, [*GOOD[:8], ""]))
    assert answer.quarantined == 0
    assert "1 row with no supplier: nothing of it goes to offers" in answer.remarks


def test_a_bad_cell_waits_and_the_others_of_its_row_are_loaded(folder: Path, tmp_path: Path) -> None:
    bad = GOOD.copy()
    bad[3] = "see above"
    answer = take_in(folder, sheet(tmp_path, bad))
    assert (answer.rows, answer.loaded, answer.quarantined, answer.partly) == (1, 0, 1, 1)
    assert [(e.table, e.column, e.written) for e in answer.entries] == [(SPLINE, "major diameter", "see above")]
    spline = rows_of(folder, SPLINE)[-1]
    assert (spline["teeth"], spline["major diameter"]) == ("25", "?"), "not known, so that no claim counts in its place"
    assert rows_of(folder, END)[-1]["thread"] == "3/4-16 UNF"


def test_a_choice_takes_the_place_of_what_was_not_known(folder: Path, tmp_path: Path) -> None:
    bad = GOOD.copy()
    bad[3] = "27,5"
    path = sheet(tmp_path, bad)
    take_in(folder, path)
    (entry,), (name,) = read_book(folder), names_of(read_book(folder))
    assert entry.suggestions[0] == "27.5"
    (done,), _ = accept_all(folder, [(name, 1)])
    assert done.loaded and not read_book(folder)
    mine = [r for r in rows_of(folder, SPLINE) if r["part"] == "J-1"]
    assert [(r["teeth"], r["major diameter"]) for r in mine] == [("25", "27.5 mm")]
    again = take_in(folder, path)
    assert (again.loaded, again.quarantined) == (1, 0)
    assert not (again.added or again.removed or again.altered), "the choice stands"


def test_when_the_part_is_mended_all_that_its_row_says_is_loaded(folder: Path, tmp_path: Path) -> None:
    bad = GOOD.copy()
    bad[1] = "CV joint"
    path = sheet(tmp_path, bad, ["J-2", *GOOD[1:]])
    answer = take_in(folder, path)
    waiting = [e for e in answer.entries if e.column == "part type"]
    assert len(waiting) == 1 and waiting[0].suggestions == ("outer joint", "inner joint")
    assert {e.why for e in answer.entries if e.column == "part"} == {"the row of this part waits. Mend that first"}
    names = dict(zip(read_book(folder), names_of(read_book(folder)), strict=True))
    accept_all(folder, [(next(n for e, n in names.items() if e.column == "part type"), 1)])
    assert not read_book(folder)
    assert [r["part"] for r in rows_of(folder, END)] == ["OLD-1", "J-2", "J-1"]
    again = take_in(folder, path)
    assert (again.loaded, again.quarantined) == (2, 0)
    assert not (again.added or again.removed or again.altered)


def test_a_second_import_shows_what_differs(folder: Path, tmp_path: Path) -> None:
    take_in(folder, sheet(tmp_path, GOOD, ["J-2", *GOOD[1:]]))
    same = take_in(folder, sheet(tmp_path, GOOD, ["J-2", *GOOD[1:]]))
    assert not (same.added or same.removed or same.altered)
    changed = [*GOOD[:2], "24", *GOOD[3:]]
    answer = take_in(folder, sheet(tmp_path, changed))
    assert [(a.table, a.before[2], a.after[2]) for a in answer.altered] == [(SPLINE, "25", "24")]
    assert {(r.table, "J-2" in r.cells) for r in answer.removed} >= {("parts", True), (SPLINE, True), (END, True)}
    assert not [r for r in rows_of(folder, SPLINE) if r["part"] == "J-2"]


def test_a_sheet_of_another_source_replaces_only_when_that_is_asked(folder: Path, tmp_path: Path) -> None:
    path = sheet(tmp_path, GOOD)
    take_in(folder, path)
    other = (*FIXED[:2], ("source", "other"))
    mappings = proposed(folder, path, other)
    with pytest.raises(Exception, match="--replace"):
        import_sheets(folder, path.name, open_sheets(path), mappings)
    import_sheets(folder, path.name, open_sheets(path), mappings, replace=True)
    assert [r["source"] for r in rows_of(folder, SPLINE)] == ["", "other"]


def test_nothing_is_written_where_a_try_was_asked_or_a_table_is_broken(folder: Path, tmp_path: Path) -> None:
    before = {p: p.read_bytes() for p in folder.rglob("*.csv")}
    path = sheet(tmp_path, GOOD)
    take_in(folder, path, dry_run=True)
    assert {p: p.read_bytes() for p in folder.rglob("*.csv")} == before
    with (folder / "features" / "stub_end.csv").open("a") as stream:
        stream.write("OLD-1,stub end,5/8-18 UNF,3,16 in\n")
    before = {p: p.read_bytes() for p in folder.rglob("*.csv")}
    with pytest.raises(Exception, match="stub_end"):
        take_in(folder, path)
    assert {p: p.read_bytes() for p in folder.rglob("*.csv")} == before, "all or nothing"


@pytest.mark.parametrize(
    ("column", "cell", "reads"),
    [
        (4, "28.575", ""),  # no unit in head or cell
        (4, "28.575 mm", "28.575 mm"),
        (4, "1 1/8 in", "1 1/8 in"),
        (4, "2024-03-08", ""),  # 3/8, which a spreadsheet took for a date
        (4, "28,5 mm", ""),
        (4, "same as drum", ""),
        (3, "27.5", "27.5 mm"),  # the head says mm
        (3, "1.083 in", "1.083 in"),  # a cell's own unit stands before the head's
    ],
)
def test_units_in_head_or_cell_and_none(folder: Path, tmp_path: Path, column: int, cell: str, reads: str) -> None:
    row = GOOD.copy()
    row[column] = cell
    answer = take_in(folder, sheet(tmp_path, row))
    table, name = (JOURNAL, "diameter") if column == 4 else (SPLINE, "major diameter")
    mine = [r[name] for r in rows_of(folder, table) if r["part"] == "J-1" and r[name]]
    assert mine[0] == (reads or "?")
    assert [e.written for e in answer.entries] == ([] if reads else [cell])


def test_nearside_needs_to_know_where_the_driver_sits(folder: Path, tmp_path: Path) -> None:
    heads = [["Part No", "What", "Side", "inner journal dia", "stub spline teeth"]]
    path = sheet(tmp_path, ["J-1", "outer joint", "nearside", "28 mm", "25"], heads=heads)
    asked = ("--records", str(folder), "import", str(path), "--set", "one use=no", "--accept-mapping")
    ran = run(*asked)
    assert ran.status == 1 and "nearside" in ran.flowing
    assert not [r for r in rows_of(folder, "parts") if r["part"] == "J-1"]
    mapping_path(path).unlink()
    assert run(*asked, "--driver", "right").status == 0
    assert rows_of(folder, "parts")[-1]["hand"] == "left"


def test_heads_of_merged_cells(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "merged.ods"
    heads = ["Part No", "What", Merged("Stub spline", across=2), "", "Inner journal"]
    write_ods(path, [heads, ["", "", "teeth", "major dia", "dia (mm)"], ["J-1", "outer joint", 25, "27.5 mm", 28.5]])
    answer = take_in(folder, path)
    assert (answer.loaded, answer.quarantined) == (1, 0), answer.entries
    assert rows_of(folder, SPLINE)[-1]["teeth"] == "25"
    assert rows_of(folder, JOURNAL)[-1]["diameter"] == "28.5 mm"


def test_the_mapping_is_several_tables_of_one_url(folder: Path, tmp_path: Path) -> None:
    path = sheet(tmp_path, GOOD)
    mappings = proposed(folder, path)
    written = write_mapping(mappings, path.name)
    mapping_path(path).write_bytes(written)
    assert read_mapping(mapping_path(path), path.name) == mappings
    document = json.loads(written)
    assert document["@context"] == "http://www.w3.org/ns/csvw"
    assert {t["url"] for t in document["tables"]} == {"mine.csv"}
    titles = [[c["titles"] for c in t["tableSchema"]["columns"]] for t in document["tables"]]
    assert all(t == titles[0] for t in titles), "each describes all columns of the file, as the standard asks"
    document["tables"].append(document["tables"][-1])
    mapping_path(path).write_text(json.dumps(document))
    with pytest.raises(Exception, match="fill the same table with the same feature"):
        read_mapping(mapping_path(path), path.name)


def test_a_kept_mapping_reads_as_the_proposed_one_did(folder: Path, tmp_path: Path) -> None:
    path = sheet(tmp_path, GOOD)
    asked = ("--records", str(folder), "import", str(path))
    first = run(*asked, "--source", "book", "--set", "hand=either", "--set", "one use=no", "--accept-mapping")
    assert first.status == 0, first.out + first.err
    again = run(*asked)
    assert again.status == 0 and "already there" in again.out


def test_a_sheet_of_one_feature_is_not_flat(folder: Path, tmp_path: Path) -> None:
    heads = [["Part No", "stub spline teeth", "stub spline major dia (mm)"]]
    assert len(proposed(folder, sheet(tmp_path, ["OLD-1", "21", "23"], heads=heads))) == 1


def test_the_rows_of_two_mappings_of_one_table_are_kept_apart() -> None:
    one, two = (Mapping("", JOURNAL, (), (("feature", f),)) for f in ("inner journal", "outer journal"))
    assert row_table(one, (one, two)) == "features/journal @inner journal"
    assert row_table(one, (one,)) == JOURNAL


CELLS = {
    "25": "25", "19": "19", "": "", "x": "?", "see above": "?",
}  # fmt: skip
LENGTHS = {"27.5": "27.5 mm", "1.083 in": "1.083 in", "": "", "~~": "?", "same as drum": "?", "27,5": "?"}
THREADS = {"3/4-16 UNF": "3/4-16 UNF", "": "", "7/16 AF": "?", "fine": "?"}


@settings(max_examples=25, deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from(sorted(CELLS)), st.sampled_from(sorted(LENGTHS)), st.sampled_from(sorted(THREADS))),
        min_size=1,
        max_size=4,
    )
)
def test_every_cell_is_loaded_or_waits_and_none_is_lost(
    tmp_path_factory: pytest.TempPathFactory, drawn: list[tuple[str, str, str]]
) -> None:
    place = tmp_path_factory.mktemp("flat")
    folder = records(place)
    rows = [
        [f"P-{n}", "outer joint", teeth, major, "", "", thread, "", ""]
        for n, (teeth, major, thread) in enumerate(drawn)
    ]
    full = ["Q-1", "outer joint", "25", "27.5", "", "", "3/4-16 UNF", "", ""]  # so that each column holds something
    path = sheet(place, full, *rows)
    answer = take_in(folder, path)
    bad = 0
    for n, (teeth, major, thread) in enumerate(drawn):
        wanted = {"teeth": CELLS[teeth], "major diameter": LENGTHS[major]}
        mine = [r for r in rows_of(folder, SPLINE) if r["part"] == f"P-{n}"]
        assert [{k: r[k] for k in wanted} for r in mine] == ([wanted] if any(wanted.values()) else [])
        ends = [r["thread"] for r in rows_of(folder, END) if r["part"] == f"P-{n}"]
        assert ends == ([THREADS[thread]] if THREADS[thread] else [])
        bad += [CELLS[teeth], LENGTHS[major], THREADS[thread]].count("?")
    assert len(answer.entries) == bad
    assert answer.rows == len(drawn) + 1 == answer.loaded + answer.quarantined
    again = take_in(folder, path)
    assert not (again.added or again.removed or again.altered) and again.entries == answer.entries


FEATURES = [
    ("stub spline", "teeth", SPLINE, ["teeth", "number of teeth", "no. of teeth", "tooth count"]),
    ("stub spline", "major diameter", SPLINE, ["major diameter", "major dia", "major Ø"]),
    ("inner journal", "diameter", JOURNAL, ["diameter", "dia", "dia."]),
    ("stub end", "thread", END, ["thread", "thd"]),
]


@settings(max_examples=40, deadline=None)
@given(data=st.data())
def test_a_title_leads_to_the_same_column_in_whatever_order_and_with_whatever_signs(
    data: st.DataObject, tmp_path_factory: pytest.TempPathFactory
) -> None:
    feature, dimension, table, spellings = data.draw(st.sampled_from(FEATURES))
    said = data.draw(st.sampled_from(spellings))
    first, last = feature.split()
    title = data.draw(
        st.sampled_from(
            [
                f"{feature} {said}", f"{said} {feature}", f"{said} of the {feature}", f"{said} ({feature})",
                f"{feature} ({said})", f"{feature}: {said}", f"{said}, {feature}", f"{said} [{feature}]",
                f"{feature.replace(' ', '_')}_{said}", f"{last} {said} of the {first}", f"{feature} / {said}",
                f"{feature.replace(' ', '-')} {said}", f"{said} of the {first}'s {last}",
            ]
        )
    )  # fmt: skip
    title = data.draw(st.sampled_from([title, title.upper(), title.capitalize()]))
    place = tmp_path_factory.mktemp("titles")
    more = ("inner journal dia", "stub end length", "stub spline pitch")
    others = [title for title in more if not title.startswith(feature)]
    path = sheet(place, ["OLD-1", "1", *["1"] * len(others)], heads=[["Part No", title, *others]])
    found = [told(m) for m in proposed(records(place), path)]
    assert [(t, f) for t, f, columns in found if columns.get(title) == dimension] == [(table, feature)], (title, found)


def test_a_title_that_says_the_part_leads_to_its_only_feature_with_such_a_size(folder: Path, tmp_path: Path) -> None:
    heads = [["Part No", "outer joint thread", "stub spline teeth", "outer joint diameter"]]
    path = sheet(tmp_path, ["OLD-1", "5/8-18 UNF", "21", "25.4 mm"], heads=heads)
    first, *rest = propose_mappings(open_folder(folder), open_sheets(path), "", FIXED)
    assert (END, "stub end", {"Part No": "part", "outer joint thread": "thread"}) in [
        told(p.mapping) for p in (first, *rest)
    ]
    (open_one,) = first.could_be
    assert open_one[0] == "outer joint diameter" and len(open_one[1]) == 2  # the inner journal and the outer


def test_a_title_with_two_meanings_in_one_table_is_not_taken_and_both_are_named(folder: Path, tmp_path: Path) -> None:
    path = sheet(tmp_path, ["OLD-1", "flange spline", "20 mm", "20"], heads=[["Part", "Feature", "diameter", "teeth"]])
    ran = run("--records", str(folder), "import", str(path), "--table", "internal spline")
    assert "has several meanings: diameter -> " in ran.flowing
    assert "minor diameter" in ran.flowing and "major diameter" in ran.flowing
