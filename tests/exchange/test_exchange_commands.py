"""The commands of notes, sharing, contradictions and queries, as a member types them."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from knockon.graph.files.rdf_files import club_files
from tests.commands.running import Ran, full, real, run
from tests.exchange.world import TABLES, write_world

NINE = "part,feature,length,source\nS-2,spacer,9 mm,drawings\n"


@pytest.fixture
def ours(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    return write_world(tmp_path / "ours")


def ask_of(folder: Path, *arguments: str) -> Ran:
    return run(*arguments, "--records", str(folder))


def shared_by(folder: Path, club: str) -> Path:
    file = folder.parent / f"{club}.trig"
    ran = ask_of(folder, "share", str(file), "--club", club, "--member", "m9", "--date", "2026-01-02T03:04:05Z")
    assert ran.status == 0, ran.err
    return file


def test_a_note_is_written_listed_and_taken_back(ours: Path) -> None:
    said = {"member": "m3", "text": "split in two", "outcome": "failed", "vehicle": "van", "condition": "new"}
    said |= {"date": "spring 2020", "evidence": "photo"}
    options = [word for name, value in said.items() for word in (f"--{name}", value)]
    written = ask_of(ours, "note", "add", *options, "--part", "s-1", "--part", "J-1", "--json")
    assert written.status == 0, written.err
    (note,) = json.loads(written.out)["notes"]
    assert (note["note"], note["parts"], note["date"], note["date_read"]) == (
        "N03", ["J-1", "S-1"], "spring 2020", "2020-03/2020-05",
    )  # fmt: skip
    listed = json.loads(ask_of(ours, "note", "list", "--vehicle", "van", "--json").out)
    assert [n["note"] for n in listed["notes"]] == ["N2", "N03", "N1"]
    assert "Split in two." in ask_of(ours, "note", "list", "--part", "S-1").out
    assert ask_of(ours, "note", "withdraw", "N03", "--member", "m3", "--why", "it was another").status == 0
    assert [n["note"] for n in json.loads(ask_of(ours, "note", "list", "--json").out)["notes"]] == ["N2", "N1"]
    shown = json.loads(ask_of(ours, "note", "list", "--withdrawn", "--json").out)["notes"]
    assert [n["note"] for n in shown if n["withdrawn"].endswith("m3: it was another")] == ["N03"]


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (("note", "add", "--member", "m", "--text", "t", "--outcome", "told", "--part", "S-11"), "no part 'S-11'"),
        (
            ("note", "add", "--member", "m", "--text", "t", "--outcome", "made to fit", "--work-done", " "),
            "Say with --work-done",
        ),
        (("note", "withdraw", "N77", "--member", "m"), "no note 'N77'"),
        (("note", "list", "--position", "nowhere"), "no position 'nowhere'"),
        (("merge", "--remove", "north"), "no club 'north'"),
        (("merge", "no-such-file.trig"), "cannot be read"),
        (("share", "x.trig", "--club", "Not A Name"), "cannot be a club's name"),
        (("export", "x.doc"), "no known extension"),
        (("export", "no/such/folder/x.nq"), "there is no folder"),
        (("share", "no/such/folder/x.trig", "--club", "us"), "there is no folder"),
        (("share", "x.trig", "--club", "us", "--date", "yesterday"), "enter a day and time"),
        (("share", "x.trig", "--club", "us", "--member", "Joe Bloggs"), "is not a member"),
        (("ask", "no-such-query"), "no ready-made query"),
        (("ask", "look-alikes"), "needs part"),
        (("ask", "look-alikes", "--with", "part"), "NAME=VALUE"),
        (("disputes", "--without", "N7"), "no source or club 'N7'"),
    ],
)
def test_mistakes_are_told_in_one_message(arguments: tuple[str, ...], said: str, ours: Path) -> None:
    ran = ask_of(ours, *arguments)
    assert ran.status == 2
    assert said in " ".join(ran.err.split())
    assert "Traceback" not in ran.err


def test_the_demo_world_is_not_written_to() -> None:
    for arguments in (("note", "add", "--member", "m", "--text", "t", "--outcome", "told"), ("merge", "x.trig")):
        ran = run(*arguments)
        assert ran.status == 2 and "cannot be changed" in ran.err


def test_a_club_is_shared_merged_left_out_and_taken_out(ours: Path, tmp_path: Path) -> None:
    other = write_world(
        tmp_path / "other", features__spacer="part,feature,length,source\nS-2,spacer,12.2 mm,drawings\n"
    )
    file = shared_by(other, "north")
    looked = ask_of(ours, "merge", str(file), "--dry-run")
    assert looked.status == 1 and "nothing is written" in looked.out and not club_files(ours)
    merged = ask_of(ours, "merge", str(file))
    assert merged.status == 1 and "1 new contradiction" in merged.out and "12.2 mm" in merged.out
    before = club_files(ours)[0].read_bytes()
    again = ask_of(ours, "merge", str(file))
    assert again.status == 0 and "Everything was there already" in again.out
    assert club_files(ours)[0].read_bytes() == before
    assert "north: drawings" in ask_of(ours, "disputes").out
    assert "north" not in ask_of(ours, "disputes", "--without", "north", "--json").out.replace('"north"', "")
    assert ask_of(ours, "check").status == 0
    assert ask_of(ours, "merge", "--remove", "north").status == 0
    assert club_files(ours) == []


def test_two_clubs_merged_in_either_order_give_the_same_records(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    notes = TABLES["notes.csv"] + "N3,2013,m5,van,never again,J-1;F-1,flange on stub,failed,N2\n"
    files = [
        shared_by(write_world(tmp_path / "a"), "north"),
        shared_by(write_world(tmp_path / "b", notes=notes), "south"),
    ]
    folders = [write_world(tmp_path / n) for n in ("one", "two")]
    for folder, order in zip(folders, (files, files[::-1]), strict=True):
        for file in order:
            assert ask_of(folder, "merge", str(file)).status in (0, 1)
    exports = []
    for folder in folders:
        target = tmp_path / f"{folder.name}.nq"
        assert ask_of(folder, "export", str(target)).status == 0
        exports.append(target.read_bytes())
    assert exports[0] == exports[1]
    assert ask_of(folders[0], "disputes").out.replace("one", "two") == ask_of(folders[1], "disputes").out.replace(
        "one", "two"
    )


def test_an_export_is_the_same_each_time(ours: Path, tmp_path: Path) -> None:
    for form in ("nq", "trig", "ttl", "jsonld"):
        outs = [ask_of(ours, "export", "-", "--format", form).out for _ in range(2)]
        assert outs[0] == outs[1] and len(outs[0]) > 1000


def test_queries_are_listed_and_answered_in_every_form(ours: Path, tmp_path: Path) -> None:
    listed = run("ask").out
    assert "look-alikes" in listed and "--with part=" in listed
    asked = ("ask", "parts-by-size", "--with", "kind=spacer", "--with", "dimension=length", "--with", "least=12.5 mm",
             "--with", "most=0.5 in")  # fmt: skip
    assert "S-1" in ask_of(ours, *asked).out
    table = ask_of(ours, *asked, "--format", "csv").out.splitlines()
    assert table[0] == "thing,feature,written,low,high,unit,source,standing"
    assert table[1:] == ["S-1,spacer,12.6 mm,12.6,12.6,mm,N1,worn", "S-2,spacer,12.6 mm,12.6,12.6,mm,drawings,drawing"]
    document = full(ask_of(ours, *asked, "--format", "json").out)
    assert document["result"]["rows"][0][0] == {
        "shown": "S-1", "value": "https://knockon.example/id/parts/S-1", "kind": "iri", "datatype": "", "language": "",
    }  # fmt: skip
    query = tmp_path / "own.rq"
    query.write_text("ASK { ?p a kn:Part ; kn:name 'no such' }", encoding="utf-8")
    assert ask_of(ours, "ask", str(query)).status == 1
    query.write_text("INSERT DATA { <http://a/a> <http://a/b> 1 }", encoding="utf-8")
    refused = ask_of(ours, "ask", str(query))
    assert refused.status == 2 and "INSERT is refused" in refused.err


def test_a_cell_of_a_table_is_never_a_formula(ours: Path, tmp_path: Path) -> None:
    query = tmp_path / "own.rq"
    query.write_text("SELECT ?x { VALUES ?x { '=1+1' '@x' '-2' '-x' '+3' } }", encoding="utf-8")
    lines = ask_of(ours, "ask", str(query), "--format", "csv").out.splitlines()[1:]
    assert sorted(lines) == sorted(["'=1+1", "'@x", "-2", "'-x", "'+3"])
    query.write_text(r"SELECT ?x { VALUES ?x { '\u001b[31mred' } }", encoding="utf-8")
    for form in ("csv", "table"):
        assert "\x1b" not in ask_of(ours, "ask", str(query), "--format", form).out


def test_what_changed_is_told_in_answers(ours: Path, tmp_path: Path) -> None:
    same = ask_of(ours, "changed", str(write_world(tmp_path / "same")))
    assert same.status == 0 and "No verdict" in same.out
    pitch = TABLES["features/internal_spline.csv"] + "F-2,spline,25,module 1.0,drawings\n"
    notes = TABLES["notes.csv"].replace("N2,2012,m2,van,stripped,J-1;F-2,flange on stub,failed,N2\n", "")
    old = write_world(tmp_path / "old", features__internal_spline=pitch, notes=notes)
    ran = ask_of(ours, "changed", str(old), "--json")
    found = full(ran.out)["result"]
    assert ran.status == 1
    assert found["notes_new"] == ["N2"]
    assert [(f["check"], f["other"], f["after"]) for f in found["flips"]] == [("flange on stub", "F-2", "not known")]
    assert [d["check"] for d in found["note_disputes"]] == ["flange on stub"]


def test_what_changed_hits_the_plan(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from importlib import resources
    from shutil import copytree

    old = tmp_path / "old"
    copytree(Path(str(resources.files("knockon.data_demo"))), old)
    offers = (old / "parts.csv").read_text(encoding="utf-8").splitlines(keepends=True)
    (old / "parts.csv").write_text("".join(x for x in offers if not x.startswith("ROWAN-252,")), encoding="utf-8")
    wish = ("--for", "tansy-mk-a", "--want", "rotor=LARCH-201")
    ran = run("changed", str(old), *wish, "--json")
    found = full(ran.out)["result"]
    assert found["parts_new"] == ["ROWAN-252"]
    assert {"number": "ROWAN-252", "before": 0, "after": 2} in found["lines"]
    assert run("changed", str(old), "--for", "tansy-mk-a").status == 2


def test_what_is_left_out_is_in_no_file_and_not_checked(ours: Path, tmp_path: Path) -> None:
    other = write_world(tmp_path / "other", features__spacer=NINE)
    assert ask_of(ours, "merge", str(shared_by(other, "north"))).status in (0, 1)
    (ours / "clubs" / "south.nq").write_bytes(b"<http://a/a> <http://a/b> <http://a/c> .\n")
    whole = ask_of(ours, "export", "-").out
    assert "/clubs/north/" in whole and "/id/sources/N1>" in whole
    without_north = ask_of(ours, "export", "-", "--without", "north").out
    assert without_north.splitlines() == [x for x in whole.splitlines() if "/clubs/north/" not in x]
    without_note = ask_of(ours, "export", "-", "--without", "N1").out
    assert not [x for x in without_note.splitlines() if x.startswith("<https://knockon.example/id/sources/N1>")]
    assert not [x for x in without_note.splitlines() if x.endswith("<https://knockon.example/id/sources/N1> .")]
    for sharing in (["N1"], ["north", "N1"]):
        options = [word for name in sharing for word in ("--without", name)]
        shared = ask_of(ours, "share", "-", "--club", "us", *options).out
        assert "12.6 mm" in shared and shared.count("12.6 mm") == 1  # N1 measured S-1; the drawing has S-2
    checked = full(ask_of(ours, "check", "--json").out)["result"]
    assert {f["file"] for f in checked["findings"]} == {"clubs/south.nq"}
    alone = full(ask_of(ours, "check", "--json", "--without", "north", "--without", "south").out)["result"]
    assert alone["findings"] == [] and alone["counts"]["statements"] < checked["counts"]["statements"]
    for command in (("export", "-"), ("share", "-", "--club", "us"), ("check",)):
        wrong = ask_of(ours, *command, "--without", "nobody")
        assert wrong.status == 2 and "no source or club 'nobody'" in wrong.err


def test_what_a_note_lacks_is_asked_for_and_no_more(ours: Path) -> None:
    """Answers come on the standard input; where nobody answers, the message names the option."""

    def typed(text: str, *arguments: str) -> subprocess.CompletedProcess[str]:
        command = [sys.executable, "-m", "knockon", "note", "add", "--records", str(ours), *arguments]
        return subprocess.run(command, input=text, capture_output=True, text=True, check=False)

    done = typed("m3\nit went on\nworked\n")
    assert (done.returncode, done.stdout) == (0, "Written: N03.\n")
    done = typed("filed the tab\n", "--member", "m3", "--text", "x", "--outcome", "made to fit")
    assert (done.returncode, done.stdout) == (0, "Written: N04.\n")
    assert "What was done" in done.stderr and "initials" not in done.stderr
    nobody = typed("", "--member", "m3")
    assert nobody.returncode == 2 and "the note lacks its text: give --text" in nobody.stderr
    assert len(list((ours / "notes").iterdir())) == 2


def test_a_note_is_not_written_with_something_left_out(ours: Path) -> None:
    said = ("--member", "m", "--text", "t", "--outcome", "told", "--without", "N1")
    withdrawn = ("note", "withdraw", "N2", "--member", "m", "--without", "N1")
    for command in (("note", "add", *said), withdrawn, ("import", "x.csv", "--without", "N1")):
        refused = ask_of(ours, *command)
        assert refused.status == 2 and "--without" in refused.err
    assert not (ours / "notes").exists()


def test_a_merge_is_judged_without_what_is_left_out(ours: Path, tmp_path: Path) -> None:
    """With the only other statement left out, the club's contradicts nothing."""
    one = "part,feature,length,source\nS-1,spacer,12.2 mm,N2\n"
    file = shared_by(write_world(tmp_path / "other", features__spacer=one), "north")
    merged = full(ask_of(ours, "merge", str(file), "--dry-run", "--json").out)["result"]
    assert [d["things"] for d in merged["size_disputes"]] == [["S-1"]]
    alone = full(ask_of(ours, "merge", str(file), "--dry-run", "--json", "--without", "N1").out)["result"]
    assert alone["size_disputes"] == []


def test_one_s_own_file_is_known_again(ours: Path) -> None:
    """It is taken in like any other, changes no answer, and is said to be one's own; an older copy of it too."""
    file = shared_by(ours, "us")
    note = ("--member", "m3", "--text", "later", "--outcome", "told")
    assert ask_of(ours, "note", "add", *note).status == 0
    merged = ask_of(ours, "merge", str(file), "--json")
    found = full(merged.out)["result"]
    assert merged.status == 0
    assert (found["own"], found["flips"], found["size_disputes"], found["note_disputes"]) == (["us"], [], [], [])
    assert "your own records say all of this, word for word" in " ".join(ask_of(ours, "merge", str(file)).out.split())
    assert ask_of(ours, "merge", "--remove", "us").status == 0
    other = shared_by(write_world(ours.parent / "other", features__spacer=NINE), "north")
    assert full(ask_of(ours, "merge", str(other), "--json").out)["result"]["own"] == []


def test_two_clubs_of_one_name_are_noticed(ours: Path, tmp_path: Path) -> None:
    file = tmp_path / "north.trig"
    for title, told in (
        ("Northern Circle", []),
        ("North Street Garage", [["north", "North Street Garage", "Northern Circle"]]),
    ):
        assert ask_of(ours, "share", str(file), "--club", "north", "--title", title).status == 0
        looked = ask_of(ours, "merge", str(file), "--dry-run", "--json")
        assert full(looked.out)["result"]["namesakes"] == told
        merged = ask_of(ours, "merge", str(file))
        assert ("another short name" in merged.out) is bool(told)
        assert ("Nothing imported" in " ".join(merged.out.split()), merged.status == 1) == (bool(told), bool(told))
    assert "Northern Circle" in club_files(ours)[0].read_text(encoding="utf-8")


def test_notes_on_two_vehicles_are_two_notes(ours: Path, tmp_path: Path) -> None:
    """A member's initials and words may be those of another club's member, who tells of another car."""
    other = write_world(tmp_path / "north")
    notes = other / "notes.csv"
    notes.write_text(notes.read_text(encoding="utf-8").replace("2012,m2,van,", "2012,m2,,"), encoding="utf-8")
    assert ask_of(ours, "merge", str(shared_by(other, "north"))).status in (0, 1)
    listed = json.loads(ask_of(ours, "note", "list", "--json").out)["notes"]
    assert {n["note"]: n["same_as"] for n in listed if n["outcome"] == "failed"} == {"N2": "", "north: N2": ""}


def test_the_same_note_from_two_clubs_is_told_once(ours: Path, tmp_path: Path) -> None:
    """Two clubs copied one note; both copies stay, each is named, and the size counts as one belief."""
    length = "part,feature,length,source\nS-1,spacer,12.2 mm,N2\n"
    for club in ("north", "south"):
        other = write_world(tmp_path / club, features__spacer=length)
        assert ask_of(ours, "merge", str(shared_by(other, club))).status in (0, 1)
    listed = json.loads(ask_of(ours, "note", "list", "--json").out)["notes"]
    assert {n["note"]: n["same_as"] for n in listed if n["outcome"] == "failed"} == {
        "N2": "", "north: N2": "N2", "south: N2": "N2",
    }  # fmt: skip
    shown = ask_of(ours, "note", "list").out
    assert shown.count("Stripped.") == 1 and "The same note: north: N2; south: N2." in " ".join(shown.split())
    told = full(ask_of(ours, "disputes", "--json").out)["result"]
    (notes,), (found,) = told["note_disputes"], told["size_disputes"]
    assert [(s["note"], s["also"]) for s in notes["sides"]] == [
        ("N2", ["north: N2", "south: N2"]), ("N1", ["north: N1", "south: N1"]),
    ]  # fmt: skip
    assert [(s["source"], s["also"], s["written"]) for s in found["sides"]] == [
        ("N1", [], "12.6 mm"), ("north: N2", ["south: N2"], "12.2 mm"),
    ]  # fmt: skip


def test_the_same_answers_whatever_the_hash_seed(ours: Path, tmp_path: Path) -> None:
    """Two clubs with faulty rows; every answer of clubs and notes, byte for byte, in processes of two seeds."""
    other = write_world(tmp_path / "other", features__spacer=NINE)
    assert ask_of(ours, "merge", str(shared_by(other, "north"))).status in (0, 1)
    graph = "<https://knockon.example/id/clubs/south/graph/records>"
    ident, vocab = "https://knockon.example/id", "https://knockon.example/vocab#"
    rows = [
        f"<{ident}/claims/{n}> <{p}> {o} {graph} ."
        for n in "abc"
        for p, o in (
            ("http://www.w3.org/1999/02/22-rdf-syntax-ns#type", f"<{vocab}Claim>"), (f"{vocab}claim", '"same as"'),
            (f"{vocab}part", f"<{ident}/parts/NO-{n}>"), (f"{vocab}otherPart", f"<{ident}/parts/NOR-{n}>"),
        )
    ]  # fmt: skip
    file = tmp_path / "south.nq"
    file.write_text("\n".join(rows) + "\n", encoding="utf-8")
    asked = [("merge", str(file), "--dry-run", "--json"), ("disputes", "--json"), ("check", "--json")]
    for arguments in asked:
        outs = [
            real(*arguments, "--records", str(ours), environment={"PYTHONHASHSEED": seed, "KNOCKON_CACHE": "off"}).out
            for seed in ("0", "4711")
        ]
        assert outs[0] == outs[1] and len(outs[0]) > 100


def test_notes_with_other_readings_are_not_one_note_and_tell_them(ours: Path) -> None:
    words = ("note", "add", "--member", "m3", "--text", "measured it", "--outcome", "measured")
    for size in ("S-1, spacer: length = 12.5 mm", "S-2, spacer: length = 12.7 mm"):
        assert ask_of(ours, *words, "--size", size).status == 0
    shown = json.loads(ask_of(ours, "note", "list", "--member", "M3", "--json").out)["notes"]
    assert [(n["note"], n["readings"], n["same_as"]) for n in shown] == [
        ("N03", ["S-1, spacer: length = 12.5 mm"], ""),
        ("N04", ["S-2, spacer: length = 12.7 mm"], ""),
    ]
    told = " ".join(ask_of(ours, "note", "list", "--part", "S-2", "--full").out.split())
    assert "Readings: S-2, spacer: length = 12.7 mm." in told
    assert "12.5 mm" not in told


def test_sharing_under_the_name_of_a_merged_club_is_warned_of(ours: Path, tmp_path: Path) -> None:
    other = write_world(tmp_path / "other")
    assert ask_of(ours, "merge", str(shared_by(other, "north"))).status in (0, 1)
    ran = ask_of(ours, "share", str(tmp_path / "ours.trig"), "--club", "north")
    assert ran.status == 0
    assert "a merged club here is also called north" in " ".join(ran.err.split())
    assert ask_of(ours, "share", str(tmp_path / "ours.trig"), "--club", "south").err == ""


def test_a_date_that_can_be_read_in_two_ways_is_said(ours: Path) -> None:
    words = ("note", "add", "--member", "m3", "--text", "t", "--outcome", "told", "--date")
    assert ask_of(ours, *words, "03/05/2019").out == (
        "Written: N03. The date is kept as written. It can be read as 2019-03-05 or 2019-05-03.\n"
    )
    assert ask_of(ours, *words, "13/05/2019").out == "Written: N04.\n"


def test_a_number_that_is_written_otherwise_is_no_other_description(ours: Path, tmp_path: Path) -> None:
    """A price of 12 and one of 12.00 are one price."""
    kits = "kit,title,is,supplier,price,source\nK1,box,kit,,{},drawings\n"
    written = {"12.00": False, "12.5": True}
    for price, differs in written.items():
        own = write_world(tmp_path / f"own {price}", kits=kits.format("12"))
        theirs = write_world(tmp_path / f"theirs {price}", kits=kits.format(price))
        file = shared_by(theirs, "north")
        looked = full(ask_of(own, "merge", str(file), "--dry-run", "--json").out)["result"]
        assert bool([d for d in looked["differences"] if d["column"] == "price"]) is differs
