"""The quarantine by the real command: where, what, why, what may be meant, and which answers hang on it."""

from __future__ import annotations

import csv
import json
import shutil
import subprocess
import sys
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

from knockon.graph.judge.sense import UsualSizes
from knockon.graph.judge.usual_sizes import shipped_sizes
from knockon.graph.judge.verdicts import Verdict
from knockon.graph.mapping import targets
from knockon.graph.mapping.cells_read import Known
from knockon.graph.mapping.rows import read_row
from knockon.graph.model.schema import read_vocabulary, vocabulary_files
from knockon.graph.quarantine import Entry, read_book
from knockon.queries.intake.quarantine import Listed, QuarantineAnswer, RestOfRow
from knockon.queries.intake.sheets.entry_names import SHORTEST, names_of
from knockon.queries.intake.would_read import Waiting
from knockon.queries.ui.terminal.screen import render
from knockon.queries.ui.texts.intake.import_ import MOST_IN_FULL, quarantine_text
from tests.commands.running import full
from tests.sheets.workbooks import write_xlsx

DEMO = Path(__file__).parents[2] / "data_demo"
TAKE_IN = ("--table", "features/rolling_bearing", "--feature", "bearing", "--source", "N02", "--accept-mapping")


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    made = tmp_path / "records"
    shutil.copytree(DEMO, made, ignore=shutil.ignore_patterns("*.py", "__pycache__", "*.md"))
    return made


def run(folder: Path, *arguments: str) -> tuple[int, Any]:
    command = [sys.executable, "-m", "knockon", *arguments, "--json", "--records", str(folder)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert "Traceback" not in done.stderr
    return done.returncode, full(done.stdout)["result"] if done.stdout else done.stderr


def accept(folder: Path, *choices: str) -> tuple[int, Any]:
    """Choices by the number of an entry in the list as it stands, given to the command by the entry's name."""
    names = dict(enumerate(names_of(read_book(folder)), 1))
    chosen = [(key, choice) for key, _, choice in (c.partition("=") for c in choices)]
    given = [f"{names[int(key)] if key.isdigit() and int(key) in names else key}={choice}" for key, choice in chosen]
    return run(folder, "quarantine", *(a for one in given for a in ("--accept", one)))


def take_in(folder: Path, path: Path) -> tuple[int, Any]:
    return run(folder, "import", str(path), *TAKE_IN)


def test_an_entry_names_the_parts_joints_kits_vehicles_and_swaps(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    path.write_text("Part No,Bore,colour\nALDER-211,28,red\n", encoding="utf-8")
    assert take_in(folder, path)[0] == 1
    status, answer = run(folder, "quarantine")
    (listed,) = answer["entries"]
    entry = listed["entry"]
    assert status == 1
    assert [entry[k] for k in ("file", "sheet", "row", "column", "written")] == ["mine.csv", "", 2, "bore", "28"]
    assert "unit missing" in entry["why"] and entry["suggestions"] == ["28 ±0.5 mm"]
    assert json.loads(entry["raw"]) == ["ALDER-211", "28", "red"]
    hangs = listed["hangs"]
    assert {h["check"] for h in hangs} == {"inner bearing on stub", "outer bearing on stub"}
    assert {h["part"] for h in hangs} == {"ALDER-211", "ALDER-213"}
    now = {(o, h["now"]) for h in hangs if h["part"] == "ALDER-211" for o in h["others"]}
    assert {("ROWAN-201", "fits"), ("ROWAN-301", "goes together, do not use"), ("ROWAN-101", "does not fit")} <= now
    good = next(h for h in hangs if h["part"] == "ALDER-211" and "ROWAN-201" in h["others"])
    assert good["kits"] == ["K1"] and good["vehicles"] == ["tansy-mk-b"]
    both = [s for h in hangs for s in h["swaps"]]
    assert both and all(s.startswith("tansy-m080") for s in both)


def test_what_hangs_on_rows_of_other_tables(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "lines.csv"
    path.write_text("Kit,Part,Qty\nK4,ALDER-201,1\n", encoding="utf-8")
    run(folder, "import", str(path), "--table", "kit_lines", "--accept-mapping")
    prices = tmp_path / "prices.csv"
    prices.write_text("Supplier,Part,Price\nDunmallow Spares,ALDER-20lL,12\n", encoding="utf-8")
    run(folder, "import", str(prices), "--table", "offers", "--accept-mapping")
    _, answer = run(folder, "quarantine")
    said = {e["entry"]["table"]: e["hangs"][0] for e in answer["entries"]}
    assert said["kit_lines"]["check"] == "what kit K4 holds"
    assert said["offers"]["check"] == "the price of ALDER-201L"
    assert said["offers"]["kits"] == ["K1", "K2"]


def test_an_accepted_reading_loads_and_survives(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    path.write_text("Part No,Bore (mm)\nALDER-211,08-Mar\nALDER-311,28.5\n", encoding="utf-8")
    take_in(folder, path)
    assert accept(folder, "1=2")[0] == 2
    assert accept(folder, "7=1")[0] == 2
    status, answer = accept(folder, "1=1")
    assert status == 0 and answer["accepted"][0]["chosen"] == "3/8 in" and answer["accepted"][0]["loaded"]
    table = (folder / "features" / "rolling_bearing.csv").read_bytes()
    status, again = take_in(folder, path)
    assert (status, again["loaded"], again["added"], again["removed"]) == (0, 2, [], [])
    assert (folder / "features" / "rolling_bearing.csv").read_bytes() == table
    path.write_text("Part No,Bore (mm)\nALDER-211,09-Mar\nALDER-311,28.5\n", encoding="utf-8")
    status, other = take_in(folder, path)
    assert (status, other["quarantined"]) == (1, 1)


def test_an_option_that_the_kept_mapping_contradicts_is_refused(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    path.write_text("Part No,Bore (mm)\nALDER-211,28.5\n", encoding="utf-8")
    take_in(folder, path)
    for option in (["--source", "N03"], ["--table", "parts"], ["--driver", "left"], ["--decimal-comma"]):
        status, said = run(folder, "import", str(path), *option)
        assert status == 2 and "says otherwise" in " ".join(said.split())
    assert take_in(folder, path)[0] == 0


def test_an_option_that_says_again_what_the_kept_mapping_says_is_no_contradiction(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    path.write_text("Part No,Bore (mm)\nALDER-211,28.5\n", encoding="utf-8")
    again = (*TAKE_IN, "--driver", "left")
    for _ in range(2):
        assert run(folder, "import", str(path), *again)[0] == 0


def test_a_row_waits_whole_and_may_be_taken_with_its_bad_size_as_not_known(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    path.write_text("Part No,Bore (mm),Outside diameter (mm),Type\nALDER-211,2B.5,57.15,ball\n", encoding="utf-8")
    table = folder / "features" / "rolling_bearing.csv"
    before = table.read_bytes()
    status, said = take_in(folder, path)
    assert (status, said["rows"], said["loaded"], said["quarantined"]) == (1, 1, 0, 1)
    assert table.read_bytes() == before
    (listed,) = run(folder, "quarantine")[1]["entries"]
    rest = {one["column"]: one["written"] for one in listed["rest"]}
    assert rest == {
        "part": "ALDER-211",
        "feature": "bearing",
        "type": "ball",
        "outside diameter": "57.15",
        "source": "N02",
    }
    assert listed["may_be_unknown"]
    status, answer = accept(folder, "1=0")
    assert status == 0 and answer["accepted"][0]["chosen"] == "?" and answer["accepted"][0]["loaded"]
    assert table.read_bytes() == before + b"ALDER-211,bearing,ball,?,57.15 mm,,,N02\n"
    taken = table.read_bytes()
    status, again = take_in(folder, path)
    assert (status, again["loaded"], again["added"], again["removed"], again["altered"]) == (0, 1, [], [], [])
    assert table.read_bytes() == taken
    path.write_text("Part No,Bore (mm),Outside diameter (mm),Type\nALDER-211,28.5,57.15,ball\n", encoding="utf-8")
    status, read = take_in(folder, path)
    assert (status, len(read["altered"]), read["added"], read["removed"]) == (0, 1, [], [])
    assert table.read_bytes() == before + b"ALDER-211,bearing,ball,28.5 mm,57.15 mm,,,N02\n"


def test_an_unusual_size_waits_and_may_be_taken_as_it_was_read(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    path.write_text("Part No,Bore (mm)\nALDER-211,160.5\nALDER-311,1.125\n", encoding="utf-8")
    table = folder / "features" / "rolling_bearing.csv"
    before = table.read_bytes()
    assert take_in(folder, path)[0] == 1 and table.read_bytes() == before
    first, second = (one["entry"] for one in run(folder, "quarantine")[1]["entries"])
    assert "160.5 mm is outside the usual sizes of a rolling bearing" in first["why"]
    assert first["suggestions"][-1] == "160.5 (as read)" and second["suggestions"][-1] == "1.125 (as read)"
    status, answer = accept(folder, f"1={len(first['suggestions'])}", f"2={len(second['suggestions'])}")
    assert status == 0 and [one["loaded"] for one in answer["accepted"]] == [True, True]
    taken = before + b"ALDER-211,bearing,,160.5 mm,,,,N02\nALDER-311,bearing,,1.125 mm,,,,N02\n"
    assert table.read_bytes() == taken
    status, again = take_in(folder, path)
    assert (status, again["loaded"], again["added"], again["removed"], again["altered"]) == (0, 2, [], [], [])
    assert table.read_bytes() == taken


def test_no_sheet_says_of_itself_that_a_size_is_taken_as_read_and_what_cannot_be_read_is_not_offered_so() -> None:
    target = targets(read_vocabulary(vocabulary_files(None)))["features/brake_drum"]
    known = Known({"parts": frozenset({"A-1"})}, None, {}, {}, frozenset(), sense=UsualSizes({}, shipped_sizes()))

    def refused(text: str, chosen: str = "") -> tuple[str, ...] | None:
        cells = {"part": "A-1", "feature": "drum", "diameter": text}
        faults = read_row(target, cells, {}, known, {"diameter": chosen})[1]
        return faults[0].suggestions if faults else None

    assert refused("1779 mm") == ("177.9 mm", "?", "1779 mm (as read)")
    assert refused("1779 mm", "1779 mm (as read)") is None
    assert refused("1779 mm (as read)") is not None
    for text in ("17x", "1779", "12 mm / 0.5 in"):
        assert not any(s.endswith("(as read)") for s in refused(text) or ())


def test_what_says_whose_size_it_is_cannot_be_left_as_not_known(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    path.write_text("Part No,Bore (mm)\nALDER-20lL,28.5\n", encoding="utf-8")
    take_in(folder, path)
    prices = tmp_path / "prices.csv"
    prices.write_text("Supplier,Part,Price\nDunmallow Spares,ALDER-201L,twelve\n", encoding="utf-8")
    run(folder, "import", str(prices), "--table", "offers", "--accept-mapping")
    listed = run(folder, "quarantine")[1]["entries"]
    assert [(one["entry"]["column"], one["may_be_unknown"]) for one in listed] == [("part", False), ("price", False)]
    for number in (1, 2):
        status, said = accept(folder, f"{number}=0")
        assert status == 2 and "has no suggestion 0" in " ".join(said.split())


def test_every_size_of_every_kind_may_be_taken_as_not_known() -> None:
    for target in (t for t in targets(read_vocabulary(vocabulary_files(None))).values() if t.shape.is_kind):
        for column in target.shape.columns:
            cells = {"part": "A-1", "feature": "f", column.name: "?"}
            known = Known({"parts": frozenset({"A-1"})}, None, {}, {}, frozenset())
            read, faults = read_row(target, cells, {}, known)
            assert faults == () and read[column.name].text == "?", (target.table, column.name)


def entry(number: int) -> Entry:
    cells = json.dumps({"part": f"A-{number}", "bore": "x", "width": "7 mm"})
    return Entry("s.csv", "", number, "features/rolling_bearing", "bore", "x", "not understood", (), cells, "{}", "[]")


def test_a_long_list_tells_what_hangs_on_each_entry_shortly_and_the_same_only_once() -> None:
    alike = (Waiting("bearing on stub", "A-1", ("B-1",), Verdict.NOT_KNOWN),)
    listed = [Listed(f"n{n}", entry(n), alike, (RestOfRow("width", "7 mm"),), True) for n in (1, 2)]
    fits = {n: (Waiting("bearing on stub", f"A-{n}", ("B-1",), Verdict.FITS),) for n in (3, 201)}
    listed += [Listed(f"n3-{n}", entry(3), fits[3]) for n in range(MOST_IN_FULL)]
    listed += [Listed("n201", entry(201), fits[201])]
    said = " ".join(render(quarantine_text(QuarantineAnswer(4, tuple(listed)), full=True)).split())
    assert "bearing on stub, A-1: with B-1 (now not known)" in said
    assert "Depends on it: the same as on n1." in said
    assert said.count("The rest of its row waits too: width 7 mm.") == 2
    assert "0 = not known (?)" in said
    assert "bearing on stub, A-3: with B-1 (now fits)" in said
    assert "A-201: with" not in said and "Depends on it: bearing on stub (--json says with what)." in said


def test_choices_are_all_looked_at_before_one_is_applied(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    path.write_text("Part No,Bore (mm)\nALDER-211,2B.5\nALDER-911,2B.7\n", encoding="utf-8")
    take_in(folder, path)
    before = {p: p.read_bytes() for p in folder.rglob("*.csv")}
    for choices in (("1=0", "2=99"), ("1=0", "1=0"), ("1=0", "none=1")):
        status, said = accept(folder, *choices)
        assert status == 2 and said
        assert {p: p.read_bytes() for p in folder.rglob("*.csv")} == before
    status, done = accept(folder, "1=0", "2=0")
    assert [one["loaded"] for one in done["accepted"]] == [True, True]


@pytest.mark.parametrize("column", ["cells", "context", "raw", "suggestions"])
@pytest.mark.parametrize("damage", ["x", "[1]", '{"a": 1}', "", "[" * 100_000])
def test_a_damaged_quarantine_is_said_by_every_command(folder: Path, tmp_path: Path, column: str, damage: str) -> None:
    path = tmp_path / "mine.csv"
    path.write_text("Part No,Bore (mm)\nALDER-211,2B.5\n", encoding="utf-8")
    take_in(folder, path)
    book = folder / "quarantine.csv"
    with book.open(encoding="utf-8", newline="") as stream:
        (row,) = csv.DictReader(stream)
    with book.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.DictWriter(stream, list(row))
        writer.writeheader()
        writer.writerow(row | {column: damage})
    for command in (("quarantine",), ("import", str(path)), ("quarantine", "--accept", "1=0")):
        status, said = run(folder, *command)
        assert status == 2 and "quarantine.csv cannot be read" in " ".join(said.split())


def test_a_number_of_a_workbook_stays_one_while_its_row_waits(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "mine.xlsx"
    write_xlsx(path, [["Part No", "Bore (mm)"], ["ALDER-2l1", 28.125]])
    assert run(folder, "import", str(path), *TAKE_IN, "--decimal-comma")[0] == 1
    status, done = accept(folder, "1=1")
    assert status == 0 and done["accepted"][0]["loaded"]
    assert b"ALDER-211,bearing,,28.125 mm," in (folder / "features" / "rolling_bearing.csv").read_bytes()
    status, again = run(folder, "import", str(path), *TAKE_IN, "--decimal-comma")
    assert (status, again["added"], again["removed"], again["altered"]) == (0, [], [], [])


def test_an_entry_keeps_its_name_while_others_come_and_go(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    path.write_text("Part No,Bore (mm)\nALDER-211,2B.5\nALDER-911,2B.7\nALDER-311,2B.9\n", encoding="utf-8")
    take_in(folder, path)
    names = {e.written: n for n, e in zip(names_of(read_book(folder)), read_book(folder), strict=True)}
    assert len(set(names.values())) == 3 and not any(n.isdigit() for n in names.values())
    assert run(folder, "quarantine", "--accept", f"{names['2B.5']}=0")[0] == 1
    left = {e.written: n for n, e in zip(names_of(read_book(folder)), read_book(folder), strict=True)}
    assert left == {k: v for k, v in names.items() if k != "2B.5"}
    status, said = run(folder, "quarantine", "--accept", f"{names['2B.5']}=0")
    assert status == 2 and "has no entry" in " ".join(said.split())
    path.write_text("Part No,Bore (mm)\nALDER-111,1 in\nALDER-911,2B.7\nALDER-311,2B.9\n", encoding="utf-8")
    take_in(folder, path)
    assert {e.written: n for n, e in zip(names_of(read_book(folder)), read_book(folder), strict=True)} == left


def test_a_name_is_as_short_as_can_be_and_longer_only_where_another_begins_alike() -> None:
    entries = [Entry("a.csv", "", row, "t", "bore", f"2B.{row}", "", (), "{}", "{}", "[]") for row in range(3000)]
    names = names_of(entries)
    begins = Counter(name[:SHORTEST] for name in names)
    assert max(begins.values()) > 1 and len(set(names)) == len(names)
    assert all((len(name) > SHORTEST) == (begins[name[:SHORTEST]] > 1) for name in names)


def test_two_choices_of_which_one_cannot_be_made_change_nothing(folder: Path, tmp_path: Path) -> None:
    """Also where the second is found out only as its row is read."""
    path = tmp_path / "mine.csv"
    path.write_text("Part No,Bore (mm)\nALDER-211,2B.5\nALDER-911,2B.7\n", encoding="utf-8")
    take_in(folder, path)
    first, second = names_of(read_book(folder))
    before = {p: p.read_bytes() for p in folder.rglob("*.csv")}
    for other in (f"{second}=3", "zzzz=1", f"{first}=0"):
        assert run(folder, "quarantine", "--accept", f"{first}=0", "--accept", other)[0] == 2
        assert {p: p.read_bytes() for p in folder.rglob("*.csv")} == before


def test_the_first_page_of_many_entries_is_one_screen(folder: Path, tmp_path: Path) -> None:
    path = tmp_path / "mine.csv"
    rows = "".join(f"ALDER-211,2B.{n}\n" for n in range(15))
    path.write_text("Part No,Bore (mm)\n" + rows, encoding="utf-8")
    take_in(folder, path)
    names = names_of(read_book(folder))
    command = [sys.executable, "-m", "knockon", "quarantine", "--records", str(folder)]
    page, whole = (
        subprocess.run([*command, *more], capture_output=True, text=True, check=False).stdout
        for more in ((), ("--full",))
    )
    assert len(page.splitlines()) <= 60 < len(whole.splitlines())
    assert "5 more entries" in page and names[0] in page and names[-1] not in page
    assert all(name in whole for name in names)
