"""A filled measuring sheet comes back: each reading is bound to the thing in its place, whatever else is there."""

from __future__ import annotations

import csv
import shutil
from collections.abc import Mapping
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.things import Feature
from knockon.graph.quarantine import read_book
from knockon.graph.records import load
from knockon.graph.sheets import Sheet, open_sheets
from knockon.queries.intake.accepting import accept_all
from knockon.queries.intake.measuring.lines import Line, measuring_sheet
from knockon.queries.intake.measuring.taken_in import CannotBind, import_filled
from knockon.queries.intake.new_vehicle import Wanted, add_vehicle
from knockon.queries.intake.sheets.entry_names import names_of
from knockon.queries.intake.sheets.imports import ImportAnswer
from knockon.queries.ui.prints.measuring import measuring_files
from tests.sheets.filling import Cells, fill

CAR = Wanted("mine", ("driven front corner", "hydraulics"), ("disc", "pair with spacer", "ball joint"))
WHOLE = "all files of the folder"


@pytest.fixture(scope="module")
def new_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("new") / "records"
    add_vehicle(folder, CAR, measuring_files)
    return folder


@pytest.fixture
def folder(new_folder: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(new_folder, tmp_path / "records"))


def take(
    folder: Path, cells: Cells, head: Mapping[str, Mapping[str, str]] | None = None, name: str = "measuring.xlsx"
) -> ImportAnswer:
    path = fill(folder / name, cells, head)
    return import_filled(folder, path.name, open_sheets(path))


def contents(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*.csv")}


def feature_at(catalogue: Catalogue, place: str, feature: str, side: str = "left") -> Feature:
    fittings = {(f.position, f.side): f for f in catalogue.vehicles["mine"].fittings}
    return catalogue.features[fittings[place, side].item][feature]


STUB = "outer joint, stub spline: major diameter"
PRESSURE = "master cylinder, front residual valve: pressure"


def test_a_reading_belongs_to_the_thing_in_its_place_and_to_nothing_else(folder: Path) -> None:
    head = {"left": {"measured by": "m080", "date": "2026-11-29"}}
    answer = take(
        folder,
        {"left": {STUB: {"reading": 20.9}}, "vehicle": {"master cylinder, bore: bore": {"reading": "0.75 in"}}},
        head,
    )
    assert (answer.rows, answer.loaded, answer.quarantined) == (2, 2, 0)
    catalogue = load(folder).catalogue
    (said,) = feature_at(catalogue, "outer joint", "stub spline").dimensions["major diameter"]
    assert said.low is not None and said.high is not None
    assert (round(said.low, 6), round(said.high, 6), said.rank) == (20.88, 20.92, 1)
    source = catalogue.sources[said.source]
    assert (source.standing, source.member, source.date) == ("on the item", "m080", "2026-11-29")
    assert set(catalogue.features) == {"mine left outer joint", "mine master cylinder"}
    assert catalogue.sources["measuring, mine"].member == ""


@pytest.mark.parametrize(
    ("written", "error", "low", "high"),
    [
        ("20.9", "", 20.9, 20.9),
        ("20.9", "0.05", 20.85, 20.95),
        (20.9, 0.1, 20.8, 21.0),
        ("21", "0.1", 20.9, 21.1),
        ("21", "", 20.5, 21.5),
        ("20.90 mm ±0.01 mm", "0.05", 20.89, 20.91),
        ("0.82 in", "", 20.828, 20.828),
        ("20.8..21.0", "0.05", 20.8, 21.0),
        ("20.8..21.0 mm", "0.05", 20.8, 21.0),
    ],
)
def test_the_unit_and_the_error_of_the_line_count_for_a_bare_number(
    folder: Path, written: object, error: object, low: float, high: float
) -> None:
    answer = take(folder, {"left": {STUB: {"reading": written, "±": error}}})
    assert answer.loaded == 1, answer.entries
    (said,) = feature_at(load(folder).catalogue, "outer joint", "stub spline").dimensions["major diameter"]
    assert said.low == pytest.approx(low) and said.high == pytest.approx(high)


@pytest.mark.parametrize(
    ("written", "error", "low", "high"),
    [
        ("0.11", "0.1", 0.01, 0.21),
        ("70", "", 70, 70),
        ("70 kPa", "10", 60, 80),
        ("0.7 bar", "10", 60, 80),
        ("70 kPa ±1 kPa", "10", 69, 71),
        ("60..80", "10", 60, 80),
        ("60..80 kPa", "10", 60, 80),
    ],
)
def test_the_error_beside_a_pressure_counts(folder: Path, written: str, error: str, low: float, high: float) -> None:
    """Pressures have no usual limits, unlike lengths and angles; the ± of the line must not be lost for that."""
    answer = take(folder, {"vehicle": {PRESSURE: {"reading": written, "±": error}}})
    assert answer.loaded == 1, answer.entries
    catalogue = load(folder).catalogue
    (item,) = [f.item for f in catalogue.vehicles["mine"].fittings if f.position == "master cylinder"]
    (said,) = catalogue.features[item]["front residual valve"].dimensions["pressure"]
    assert said.low == pytest.approx(low) and said.high == pytest.approx(high)


def test_dont_know_is_unknown_and_none_there_is_known_absent(folder: Path) -> None:
    cells = {"outer joint, journal: diameter": "don\u2019t know", "knuckle, caliper lugs: bolt pitch": "None there"}
    assert take(folder, {"left": {line: {"reading": said} for line, said in cells.items()}}).loaded == 2
    catalogue = load(folder).catalogue
    (unknown,) = feature_at(catalogue, "outer joint", "journal").dimensions["diameter"]
    assert unknown.unknown and unknown.source == "measuring, mine left"
    lugs = feature_at(catalogue, "knuckle", "caliper lugs")
    assert [s.source for s in lugs.absent] == ["measuring, mine left"] and not lugs.dimensions.get("bolt pitch")


def test_dont_know_does_not_hide_what_is_known_of_the_number(folder: Path) -> None:
    (folder / "parts.csv").write_text("part,name,part type,hand,one use,source\nJ-1,joint,outer joint,either,no,book\n")
    (folder / "features").mkdir()
    (folder / "features" / "journal.csv").write_text("part,feature,diameter,source\nJ-1,journal,25 mm,book\n")
    fittings = (folder / "fittings.csv").read_text().replace("mine,outer joint,,,,", "mine,outer joint,,J-1,,sound")
    (folder / "fittings.csv").write_text(fittings)
    assert take(folder, {"left": {"outer joint, journal: diameter": {"reading": "don't know"}}}).loaded == 1
    catalogue = load(folder).catalogue
    said = feature_at(catalogue, "outer joint", "journal").dimensions["diameter"]
    assert {(s.low, s.unknown, s.of_number) for s in said} == {(25.0, False, True), (None, True, False)}


def test_an_optional_place_where_nothing_is_stays_empty(folder: Path) -> None:
    before = contents(folder)
    answer = take(folder, {"left": {"wheel spacer, plate: thickness": {"reading": "none there"}}})
    assert (answer.rows, dict(answer.passed_over)["lines of places that hold nothing"]) == (0, 1)
    assert "items.csv" not in contents(folder) and contents(folder)["fittings.csv"] == before["fittings.csv"]


def test_a_needed_place_where_nothing_is_has_a_thing_that_lacks_it(folder: Path) -> None:
    assert take(folder, {"left": {"hub collar, collar: thickness": {"reading": "none there"}}}).loaded == 1
    assert feature_at(load(folder).catalogue, "hub collar", "collar").absent


def test_the_same_sheet_again_changes_nothing(folder: Path) -> None:
    cells: Cells = {
        "left": {STUB: {"reading": 20.9}, "L1": {"reading": "none there"}},
        "right": {"R1": {"reading": "x?"}},
    }
    first = take(folder, cells)
    once = contents(folder)
    second = import_filled(folder, "measuring.xlsx", open_sheets(folder / "measuring.xlsx"))
    assert contents(folder) == once
    assert not (second.added or second.removed or second.altered)
    assert second.entries == first.entries and second.unchanged == len(first.added)


def test_a_sheet_filled_in_further_adds_what_is_new_and_alters_what_was_changed(folder: Path) -> None:
    take(folder, {"left": {STUB: {"reading": 20.9}}})
    answer = take(folder, {"left": {STUB: {"reading": 21.9}, "hub nut, nut: thread": {"reading": "M18x1.5"}}})
    assert [a.table for a in answer.altered] == ["features/external_spline"]
    assert {c.table for c in answer.added} == {"features/nut", "items"} and not answer.removed
    gone = take(folder, {"left": {STUB: {"reading": ""}}})
    assert [c.table for c in gone.removed] == ["features/external_spline", "items"]


def test_garbage_waits_with_its_file_tab_row_and_column_and_the_rest_is_loaded(folder: Path) -> None:
    cells = {STUB: "wide", "outer joint, stub spline: teeth": 25, "rotor, body: thickness": 1779, "L1": "=1+1"}
    answer = take(folder, {"left": {line: {"reading": said} for line, said in cells.items()}})
    assert (answer.rows, answer.loaded, answer.quarantined) == (4, 1, 3)
    entries = {e.column: e for e in answer.entries}
    stub = entries["major diameter"]
    assert (stub.file, stub.sheet, stub.written) == ("measuring.xlsx", "left", "wide")
    sheet = next(s for s in open_sheets(folder / "measuring.xlsx") if s.name == "left")
    assert "wide" in dict(sheet.rows)[stub.row]
    assert "left outer joint, stub spline, major diameter" in stub.why and "expected a length" in stub.why
    assert "outside the usual sizes" in entries["thickness"].why
    assert "17.79 mm ±0.01 mm" in entries["thickness"].suggestions
    assert "formula" in entries["bolt pitch"].why


def test_a_choice_from_the_quarantine_is_loaded_and_stays_in_later_imports(folder: Path) -> None:
    line = "rotor, body: thickness"
    take(folder, {"left": {line: {"reading": 1779}}})
    (name,) = names_of(read_book(folder))
    accept_all(folder, [(name, 1)])
    (said,) = feature_at(load(folder).catalogue, "rotor", "body").dimensions["thickness"]
    assert said.low is not None and abs(said.low - 17.79) < 0.06
    once = contents(folder)
    again = import_filled(folder, "measuring.xlsx", open_sheets(folder / "measuring.xlsx"))
    assert (again.loaded, again.quarantined, contents(folder)) == (1, 0, once)


@pytest.mark.parametrize(
    ("was", "becomes", "column", "said"),
    [
        ("outer joint", "outer joynt", "place", "Perhaps outer joint"),
        ("stub spline", "stub splin", "feature", "Perhaps stub spline"),
        ("major diameter", "diameter", "size", "no such size"),
        ("outer joint", "master cylinder", "place", "Move the line to the sheet of that side"),
        ("outer joint", "brake drum", "place", "arrangement"),
    ],
)
def test_a_line_of_no_place_or_size_waits_with_what_may_be_meant(
    folder: Path, was: str, becomes: str, column: str, said: str
) -> None:
    path = fill(folder / "measuring.xlsx", {"left": {STUB: {"reading": 20.9}}})
    sheets = [_with_cell(sheet, "20.9", was, becomes) for sheet in open_sheets(path)]
    answer = import_filled(folder, path.name, sheets)
    (entry,) = answer.entries
    assert (answer.loaded, entry.column, entry.written) == (0, column, becomes)
    assert said in entry.why


def _with_cell(sheet: Sheet, marker: str, was: str, becomes: str) -> Sheet:
    rows = tuple(
        (n, tuple(becomes if c == was else c for c in cells) if marker in cells else cells) for n, cells in sheet.rows
    )
    return Sheet(sheet.file, sheet.name, rows)


def test_a_size_and_none_there_of_one_feature_contradict_each_other(folder: Path) -> None:
    cells: Cells = {"left": {STUB: {"reading": 20.9}, "outer joint, stub spline: teeth": {"reading": "none there"}}}
    answer = take(folder, cells)
    (entry,) = answer.entries
    assert answer.loaded == 1 and "Clear one of the two" in entry.why


@pytest.mark.parametrize("unknown", ["don't know", "?", "not measured"])
def test_dont_know_and_none_there_of_one_feature_are_no_absence(folder: Path, unknown: str) -> None:
    cells: Cells = {"left": {STUB: {"reading": unknown}, "outer joint, stub spline: teeth": {"reading": "none there"}}}
    answer = take(folder, cells)
    (entry,) = answer.entries
    assert (answer.loaded, entry.column, entry.written) == (1, "reading", "none there")
    assert "says don't know of the same feature" in entry.why
    feature = feature_at(load(folder).catalogue, "outer joint", "stub spline")
    assert not feature.absent and all(s.unknown for s in feature.dimensions["major diameter"])


@pytest.mark.parametrize(
    ("line", "written", "error"),
    [
        ("outer joint, stub spline: teeth", "25", "1"),
        ("outer joint, stub end: thread", "M20x1.5", "0.02"),
        ("wheel, nut seats: form", "cone", "1"),
    ],
)
def test_limits_beside_what_has_none_are_asked_about_and_not_lost(
    folder: Path, line: str, written: str, error: str
) -> None:
    answer = take(folder, {"left": {line: {"reading": written, "±": error}}})
    (entry,) = answer.entries
    assert answer.loaded == 0 and f"±{error} stands beside {written}" in entry.why
    assert entry.suggestions == (written, "?")
    (name,) = names_of(read_book(folder))
    accept_all(folder, [(name, 1)])
    assert load(folder).catalogue.items
    again = import_filled(folder, "measuring.xlsx", open_sheets(folder / "measuring.xlsx"))
    assert (again.loaded, again.quarantined) == (1, 0)
    assert take(folder, {"left": {line: {"reading": written, "±": ""}}}).loaded == 1


def test_a_size_is_asked_back_as_a_reading_typed_by_itself_is(folder: Path) -> None:
    """Nothing is recorded of nuts, and one spline: the widest ends and the one recorded size count."""
    cells: Cells = {
        "left": {
            "hub nut, nut: height": {"reading": 1600},
            "wheel nut, nut: height": {"reading": 16},
            "outer joint, stub spline: teeth": {"reading": 1779},
        }
    }
    answer = take(folder, cells)
    found = {e.column: e for e in answer.entries}
    assert answer.loaded == 1 and set(found) == {"height", "teeth"}
    assert "1600 mm ±0.02 mm is outside the usual sizes of a nut (height 1 to 80 mm)" in found["height"].why
    assert found["height"].suggestions[0] == "16 mm ±0.02 mm"
    once = import_filled(folder, "measuring.xlsx", open_sheets(folder / "measuring.xlsx"))
    assert once.entries == answer.entries, "what the sheet itself brought makes nothing usual"


def test_one_recorded_size_is_enough_to_ask(folder: Path) -> None:
    (folder / "parts.csv").write_text("part,name,part type,hand,one use,source\nJ-1,joint,outer joint,either,no,book\n")
    (folder / "features").mkdir()
    (folder / "features" / "journal.csv").write_text("part,feature,diameter,source\nJ-1,journal,25 mm,book\n")
    answer = take(folder, {"left": {"outer joint, journal: diameter": {"reading": 40}}})
    (entry,) = answer.entries
    assert "journal (diameter 12.5 to 37.5 mm)" in entry.why
    assert take(folder, {"left": {"outer joint, journal: diameter": {"reading": 37}}}).loaded == 1


def test_lines_may_be_moved_deleted_and_saved_as_text(folder: Path, tmp_path: Path) -> None:
    path = fill(folder / "measuring.xlsx", {"left": {STUB: {"reading": "20.9"}}})
    (sheet,) = [s for s in open_sheets(path) if s.name == "left"]
    number = next(n for n, cells in sheet.rows if "place" in cells)
    head, lines = sheet.rows[:number], sheet.rows[number:]
    kept = [cells for _, cells in reversed(lines) if cells[1] == "hub nut off"]
    text = tmp_path / "left side.csv"
    with text.open("w", encoding="utf-8", newline="") as stream:
        csv.writer(stream, delimiter=";").writerows([cells for _, cells in head] + kept)
    answer = import_filled(folder, text.name, open_sheets(text))
    assert (answer.loaded, answer.quarantined) == (1, 0)


def test_the_reading_of_a_part_that_was_replaced_does_not_pass_to_the_new_one(folder: Path) -> None:
    parts = "part,name,part type,hand,one use,source\nR-1,old,rotor,either,no,book\nR-2,new,rotor,either,no,book\n"
    (folder / "parts.csv").write_text(parts)
    plain = (folder / "fittings.csv").read_text()
    (folder / "fittings.csv").write_text(plain.replace("mine,rotor,,,,", "mine,rotor,,R-1,,sound"))
    take(folder, {"left": {"rotor, body: thickness": {"reading": 9.5}}})
    (folder / "fittings.csv").write_text(plain.replace("mine,rotor,,,,", "mine,rotor,,R-2,,sound"))
    again = import_filled(folder, "measuring.xlsx", open_sheets(folder / "measuring.xlsx"))
    assert not (again.added or again.altered or again.removed)
    catalogue = load(folder).catalogue
    fittings = {(f.position, f.side): f for f in catalogue.vehicles["mine"].fittings}
    assert [thing for thing, own in catalogue.features.items() if own] == ["mine left rotor R-1"]
    assert ("rotor", "left") not in fittings
    assert [u.thing for u in catalogue.unbound] == ["mine left rotor R-1"]


@pytest.mark.parametrize(
    ("label", "value", "said"),
    [("vehicle", "mien", "Nearest: mine"), ("side", "nearside", "Enter left, right or the vehicle itself")],
)
def test_a_tab_of_no_vehicle_or_side_is_refused(folder: Path, label: str, value: str, said: str) -> None:
    before = contents(folder)
    path = fill(folder / "measuring.xlsx", {"left": {STUB: {"reading": 20.9}}}, {"left": {label: value}})
    with pytest.raises(CannotBind, match=said):
        import_filled(folder, path.name, open_sheets(path))
    assert contents(folder) == before


def test_a_whole_name_of_who_measured_is_not_kept(folder: Path) -> None:
    answer = take(
        folder, {"left": {STUB: {"reading": 20.9}}}, {"left": {"measured by": "John Everyman of Little Snoring"}}
    )
    assert answer.loaded == 1 and [e.column for e in answer.entries] == ["member"]
    assert load(folder).catalogue.sources["measuring, mine left"].member == ""


def test_a_reading_on_one_vehicle_says_nothing_of_another(folder: Path) -> None:
    add_vehicle(folder, Wanted("other", CAR.layouts, CAR.choices), measuring_files)
    take(folder, {"left": {STUB: {"reading": 20.9}}})
    catalogue = load(folder).catalogue
    assert not [f for f in catalogue.vehicles["other"].fittings if f.item]
    assert take(folder, {"left": {STUB: {"reading": 21.9}}}, name="measuring-other.xlsx").loaded == 1
    catalogue = load(folder).catalogue
    own = {v: [f.item for f in catalogue.vehicles[v].fittings if f.item] for v in ("mine", "other")}
    assert own == {"mine": ["mine left outer joint"], "other": ["other left outer joint"]}


# -------------------------------------------------------------------------------------- random sheets, filled in

_CATALOGUES: dict[str, list[tuple[str, Line]]] = {}


def _lines_of(folder: Path) -> list[tuple[str, Line]]:
    if WHOLE not in _CATALOGUES:
        catalogue = load(folder).catalogue
        made = measuring_sheet(catalogue, catalogue.vehicles["mine"])
        _CATALOGUES[WHOLE] = [(side.side or "vehicle", line) for side in made.sides for line in side.lines]
    return _CATALOGUES[WHOLE]


def _expected(line: Line, written: str, error: str) -> tuple[float, float] | str | None:
    """What a reading says, worked out anew: an interval in the line's unit, a code, or None where that is for others
    to say (a thread)."""
    if line.datatype == "count":
        return float(written), float(written)
    if line.datatype == "code":
        return written
    if line.unit:
        value, width = float(written), float(error) if error else 0.0
        return value - width, value + width
    return None


@settings(max_examples=8, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_what_was_typed_is_what_the_records_then_say(
    new_folder: Path, tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    folder = Path(shutil.copytree(new_folder, tmp_path_factory.mktemp("random") / "records"))
    lines = _lines_of(folder)
    chosen = data.draw(st.lists(st.integers(0, len(lines) - 1), min_size=1, max_size=25, unique=True))
    typed: dict[int, tuple[str, str]] = {}
    cells: dict[str, dict[str, dict[str, object]]] = {}
    for number in chosen:
        side, line = lines[number]
        error = ""
        if line.offered:
            written = data.draw(st.sampled_from(line.offered))
        elif line.unit:
            written = data.draw(st.decimals("0.11", "99.99", places=2).map(str))
            error = data.draw(st.sampled_from(["", "0.01", "0.1"]))
        else:
            written = "don't know"
        typed[number] = written, error
        name = f"{line.position}, {line.feature}: {line.dimension}"
        cells.setdefault(side, {})[name] = {"reading": written, "±": error}
    path = fill(folder / "measuring.xlsx", cells)
    sheets = open_sheets(path)
    answer = import_filled(folder, path.name, sheets)
    assert answer.rows == len(chosen) == answer.loaded + answer.quarantined
    waiting = {(e.sheet, e.row) for e in answer.entries}
    assert len(waiting) == answer.quarantined
    rows = {(s.name, c[2], c[3], c[4]): n for s in sheets for n, c in s.rows if len(c) > 4}
    catalogue = load(folder).catalogue
    fittings = {(f.position, f.side or "vehicle"): f for f in catalogue.vehicles["mine"].fittings}
    for number, (written, error) in typed.items():
        side, line = lines[number]
        if (side, rows[side, line.position, line.feature, line.dimension]) in waiting:
            assert line.unit or line.datatype in ("count", "thread"), "no word is unusual"
            continue
        thing = fittings[line.position, side].item
        said = [
            s
            for d, of in catalogue.features[thing][line.feature].dimensions.items()
            for s in of
            if d.partition(".")[0] == line.dimension
        ]
        assert said, (line, written)
        expected = _expected(line, written, error)
        if written == "don't know":
            assert all(s.unknown for s in said)
        elif isinstance(expected, str):
            assert [s.code for s in said] == [expected]
        elif expected is not None:
            (one,) = said
            assert one.low == pytest.approx(expected[0]) and one.high == pytest.approx(expected[1])
        else:
            assert {s.written for s in said} <= {written} or all(s.low is not None for s in said if not s.code)
    assert len({f.item for f in catalogue.vehicles["mine"].fittings if f.item}) == len(catalogue.items)
    once = contents(folder)
    again = import_filled(folder, path.name, sheets)
    assert contents(folder) == once and not (again.added or again.removed or again.altered)
