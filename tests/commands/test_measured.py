"""``knockon measured``: a reading belongs to the thing in its place, is asked back where it makes no sense, says at
once what it changes, and can be corrected and taken back with nothing lost."""

from __future__ import annotations

import json
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from knockon.graph.files.shipped import shipped
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place, Places
from knockon.graph.model.schema import VOCAB
from knockon.graph.records import load
from knockon.queries.fits.checking.candidates import as_found
from tests.commands.running import Ran, run
from tests.unit.small import TABLES, folder_of

VEHICLES = TABLES["vehicles.csv"] + "other-cart,another as found,cart axle,no,cart,cart\n"


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    own = folder_of(tmp_path / "own")
    (own / "vehicles.csv").write_text(VEHICLES, encoding="utf-8")
    return own


def measured(folder: Path, *words: str, vehicle: str = "my-cart") -> Ran:
    return run("measured", "--records", str(folder), vehicle, *words)


def told(folder: Path, *words: str, vehicle: str = "my-cart") -> dict:  # type: ignore[type-arg]
    ran = run("--json", "measured", "--records", str(folder), vehicle, *words)
    assert ran.out, ran.err
    answer: dict = json.loads(ran.out)  # type: ignore[type-arg]
    assert answer["status"] == ran.status
    return {**answer["result"], "status": ran.status}


def bores(folder: Path, vehicle: str, side: str) -> list[tuple[str, int, bool]]:
    catalogue: Catalogue = load(folder).catalogue
    places = Places(catalogue.layouts["cart axle"])
    thing = as_found(catalogue, places, catalogue.vehicles[vehicle])[Place("hub", side)].thing
    feature = catalogue.features_of(thing).get("bore")
    return sorted((s.written, s.rank, s.of_number) for s in feature.dimensions["diameter"]) if feature else []


NUMBER = [("20 mm", 2, False)]
READ = [("20 mm", 2, True), ("20.03 mm ±0.02 mm", 1, False)]


def notes(folder: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in sorted(folder.glob("notes/*.nq"))}


@pytest.mark.parametrize("what", ["left hub, bore: diameter", "LH hub, bore"])
def test_as_people_write_it_the_reading_belongs_to_the_thing_there_and_to_no_other(folder: Path, what: str) -> None:
    ran = measured(folder, what, "20.03 mm", "--tool", "caliper", "--by", "m1")
    assert ran.status == 0, ran.err
    assert "left hub, bore: diameter is 20.03 mm ±0.02 mm. The ± is usual for this tool: caliper." in ran.flowing
    assert "Expected 20 mm (0.787 in): 0.03 mm larger." in ran.flowing
    assert bores(folder, "my-cart", "left") == READ
    assert bores(folder, "my-cart", "right") == bores(folder, "other-cart", "left") == NUMBER
    assert bores(folder, "cart", "left") == NUMBER
    assert load(folder).catalogue.notes["N02"].member == "m1"


def test_what_is_not_clear_is_asked_for_and_nothing_is_taken(folder: Path) -> None:
    ran = measured(folder, "hub, diameter", "20 mm")
    said = 'may mean 2 things. Write "left hub, bore: diameter" "20 mm" or "right hub, bore: diameter" "20 mm"'
    assert ran.status == 2 and said in " ".join(ran.err.split()), ran.err
    assert notes(folder) == {}


@pytest.mark.parametrize(("value", "said"), [("20", "cannot read '20'"), ("about", "cannot read")])
def test_what_cannot_be_read_is_said_with_what_is_expected(folder: Path, value: str, said: str) -> None:
    ran = measured(folder, "left hub, diameter", value)
    assert ran.status == 2 and said in " ".join(ran.err.split()), ran.err
    assert notes(folder) == {}


def test_a_model_as_made_is_not_read(folder: Path) -> None:
    ran = measured(folder, "left hub, diameter", "20 mm", vehicle="cart")
    assert ran.status == 2 and "is a model as made. Name the vehicle" in " ".join(ran.err.split())


def test_far_from_the_usual_sizes_it_is_asked_back_and_can_be_insisted_on(folder: Path) -> None:
    ran = measured(folder, "left hub, diameter", "200.3 mm")
    assert ran.status == 1 and '200.3 mm: did you mean "20.03 mm"?' in ran.flowing
    assert "Nothing was written. If it is right, type it again with --as-read." in ran.flowing
    assert notes(folder) == {}
    answer = told(folder, "left hub, diameter", "200.3 mm")
    assert (answer["done"], answer["asked"][0]["offered"], answer["status"]) == ("asked back", ["20.03 mm"], 1)
    assert notes(folder) == {}
    assert measured(folder, "left hub, diameter", "200.3 mm", "--as-read").status == 0
    assert list(notes(folder)) == ["N02.nq"]


def test_usual_is_what_is_recorded_widened_by_half(folder: Path) -> None:
    """Bores are 20 and 25 mm: from 10 to 37.5 mm."""
    statuses = [measured(folder, "left hub, diameter", v, "--correct").status for v in ("9.9 mm", "37.6 mm")]
    assert statuses == [1, 1]
    assert measured(folder, "left hub, diameter", "10 mm").status == 0
    assert measured(folder, "right hub, diameter", "37.5 mm ±0.01 mm").status == 0


def test_inches_with_the_limits_of_the_tool(folder: Path) -> None:
    assert measured(folder, "left hub, diameter", "0.79 in").status == 0
    (said,) = [w for w, rank, _ in bores(folder, "my-cart", "left") if rank == 1]
    assert said == "0.79 in ±0.05 mm"


def test_limits_that_are_written_stay_as_they_are(folder: Path) -> None:
    ran = measured(folder, "left hub, diameter", "20.00 mm ±0.01 mm")
    assert "The ± is that of" not in ran.flowing
    assert ("20.00 mm ±0.01 mm", 1, False) in bores(folder, "my-cart", "left")


def test_what_it_changes_is_said_at_once(folder: Path) -> None:
    ran = measured(folder, "axle, diameter", "25.00 mm ±0.01 mm")
    assert "hub on axle (axle and left hub)" in ran.flowing or "hub on axle" in ran.flowing
    (one, other) = (c for c in told(folder, "axle, diameter", "20.00 mm ±0.01 mm", "--correct")["checks"])
    assert {one["check"], other["check"]} == {"hub on axle"}
    assert one["before"] == "does not fit"


def test_with_a_wish_the_plan_is_compared(folder: Path) -> None:
    wish = ("--want", "hub=HUB-25L", "--want", "axle=AXLE-25")
    same = told(folder, "axle, diameter", "20.00 mm ±0.01 mm", *wish)["plan"]
    assert same["planned"] == [True, True] and "places" not in same and "lines" not in same
    other = told(folder, "axle, diameter", "24.95 mm ±0.01 mm", "--correct", "--want", "hub=HUB-25L")["plan"]
    assert other["planned"] == [True, True]
    assert ["axle", "AXLE-25", "AXLE-20 (stays)"] in other["places"]
    assert {"number": "AXLE-25", "before": 1, "after": 0} in other["lines"]


def asked(folder: Path) -> list[str]:
    """What the records answer about every vehicle, to the byte."""
    found = []
    for vehicle in ("cart", "my-cart", "other-cart", "big-cart"):
        wishes = ("hub=HUB-25L", "axle=AXLE-25")
        found += [run("--json", "swap", "--records", str(folder), vehicle, "--want", wish).out for wish in wishes]
    return [*found, run("--json", "vehicle", "--records", str(folder), "my-cart").out]


def test_corrected_and_taken_back_the_answers_are_those_of_before(folder: Path) -> None:
    before = asked(folder)
    assert measured(folder, "left hub, diameter", "20.03 mm", "--by", "m1").status == 0
    once = asked(folder)
    assert once != before
    ran = measured(folder, "left hub, diameter", "24.9 mm", "--correct", "--by", "m1")
    assert ran.status == 0 and "Corrected in note N03, by m1. Withdrawn: N02." in ran.flowing
    assert bores(folder, "my-cart", "left") == [("20 mm", 2, True), ("24.9 mm ±0.05 mm", 1, False)]
    ran = measured(folder, "left hub, diameter", "--withdraw", "--by", "m1")
    assert ran.status == 0 and "Withdrawn: left hub, bore: diameter. Note withdrawn: N03." in ran.flowing
    assert asked(folder) == before
    assert {"N02.nq", "N03.nq"} <= set(notes(folder))
    ran = measured(folder, "left hub, diameter", "--withdraw", "--by", "m1")
    assert ran.status == 2 and "nobody has recorded a reading of left hub, bore: diameter" in " ".join(ran.err.split())


def test_what_else_a_note_says_is_said_again_when_one_reading_goes(folder: Path) -> None:
    both = ("left hub, diameter", "20.03 mm", "right hub, diameter", "20.04 mm")
    assert measured(folder, *both, "--by", "m1").status == 0
    assert list(notes(folder)) == ["N02.nq"]
    assert measured(folder, "left hub, diameter", "20.05 mm", "--correct", "--by", "m1").status == 0
    assert ("20.05 mm ±0.05 mm", 1, False) in bores(folder, "my-cart", "left")
    assert ("20.04 mm ±0.05 mm", 1, False) in bores(folder, "my-cart", "right")
    ran = measured(folder, "left hub, diameter", "--withdraw", "--by", "m2")
    assert ran.status == 0 and "Note N04 says again what else they state." in ran.flowing
    assert bores(folder, "my-cart", "left") == NUMBER
    assert bores(folder, "my-cart", "right") == [("20 mm", 2, True), ("20.04 mm ±0.05 mm", 1, False)]
    assert load(folder).catalogue.notes["N04"].member == "m1"


def test_a_reading_in_the_tables_is_corrected_there(folder: Path) -> None:
    table = folder / "features/spigot.csv"
    table.write_text(table.read_text("utf-8") + "odd-axle,seat,20.00 mm ±0.01 mm,survey\n", encoding="utf-8")
    ran = measured(folder, "axle, diameter", "20.02 mm", "--correct")
    row = len(table.read_text("utf-8").splitlines())
    said = f"features/spigot.csv, row {row}, column diameter says '20.00 mm ±0.01 mm'. Open that file and type"
    assert ran.status == 2 and said in " ".join(ran.err.split()), ran.err
    assert notes(folder) == {}


def test_the_same_again_writes_nothing_and_another_value_is_said_to_contradict(folder: Path) -> None:
    assert measured(folder, "left hub, diameter", "20.03 mm").status == 0
    kept = notes(folder)
    ran = measured(folder, "left hub, diameter", "20.03 mm")
    assert ran.status == 0 and "This is recorded already (N02). Nothing was written." in ran.flowing
    assert notes(folder) == kept
    ran = measured(folder, "left hub, diameter", "20.53 mm")
    assert "Another reading of this very thing says otherwise (N02)." in ran.flowing


def test_not_there_is_a_reading_too(folder: Path) -> None:
    ran = measured(folder, "left hub, bore", "absent")
    assert ran.status == 0 and "left hub, bore: diameter: not there." in ran.flowing
    feature = load(folder).catalogue.features_of("my-cart left hub HUB-20L")["bore"]
    assert [s.source for s in feature.absent] == ["N02"]


def test_without_a_value_and_without_anybody_to_ask_it_says_what_to_type(folder: Path) -> None:
    command = [sys.executable, "-m", "knockon", "--records", str(folder), "measured", "my-cart", "left hub, diameter"]
    ran = subprocess.run(command, capture_output=True, text=True, stdin=subprocess.DEVNULL, check=False)
    assert ran.returncode == 2
    assert "the reading of left hub, bore: diameter is missing" in " ".join(ran.stderr.split())


def test_each_size_is_asked_for_and_what_is_left_blank_is_left_out(folder: Path) -> None:
    command = [sys.executable, "-m", "knockon", "--records", str(folder), "measured", "my-cart", "hub, diameter"]
    ran = subprocess.run(command, capture_output=True, text=True, input="\n20.04 mm\n", check=False)
    assert ran.returncode == 0, ran.stderr
    assert "left hub, bore: diameter (expect 20 mm)" in ran.stderr
    assert bores(folder, "my-cart", "left") == NUMBER
    assert ("20.04 mm ±0.05 mm", 1, False) in bores(folder, "my-cart", "right")


def test_the_demo_world_and_left_out_sources_are_not_written_to(folder: Path) -> None:
    assert run("measured", "tansy-m080", "rear drum, diameter", "177.9 mm").status == 2
    assert measured(folder, "axle, diameter", "20 mm", "--without", "stall").status == 2


def test_two_writers_at_once_lose_nothing(folder: Path) -> None:
    """Eight processes read the two hubs and the axle, and correct what they read, all at once."""
    sides = ("left hub, diameter", "right hub, diameter", "axle, diameter", "left hub, diameter")

    def typed(n: int) -> list[str]:
        return [sys.executable, "-m", "knockon", "--records", str(folder), "measured", "my-cart", sides[n % 4],
                f"20.{n:02} mm", "--by", f"m{n}"]  # fmt: skip

    running = [subprocess.Popen(typed(n), stdout=subprocess.PIPE, stderr=subprocess.PIPE) for n in range(8)]
    assert [p.wait() for p in running] == [0] * 8, [p.stderr.read() for p in running if p.stderr]
    for process in running:
        for stream in (process.stdout, process.stderr):
            assert stream is not None
            stream.close()
    assert len(notes(folder)) == 8
    catalogue = load(folder).catalogue
    assert sorted(n.member for n in catalogue.notes.values() if n.note != "N1") == [f"m{n}" for n in range(8)]
    read = [w for side in ("left", "right") for w, rank, _ in bores(folder, "my-cart", side) if rank == 1]
    assert len(read) == 6


def test_of_two_who_correct_at_once_one_is_told_so(folder: Path) -> None:
    assert measured(folder, "left hub, diameter", "20.03 mm", "--by", "m1").status == 0

    def typed(n: int) -> list[str]:
        return [sys.executable, "-m", "knockon", "--records", str(folder), "measured", "my-cart", "left hub, diameter",
                f"20.{n:02} mm", "--by", f"m{n}", "--correct"]  # fmt: skip

    running = [subprocess.Popen(typed(n), stdout=subprocess.PIPE, stderr=subprocess.PIPE) for n in (5, 6, 7)]
    ended = [(*p.communicate(), p.returncode) for p in running]
    read = [w for w, rank, _ in bores(folder, "my-cart", "left") if rank == 1]
    written = [n for n, (_, _, status) in zip((5, 6, 7), ended, strict=True) if status == 0]
    assert written and len(read) == 1, "what was corrected last stands, alone"
    for _, error, status in ended:
        assert status == 0 or b"is withdrawn already" in error, error


def test_a_plan_that_turns_to_work_on_the_same_thing_names_the_place_and_the_work(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    own = tmp_path / "own"
    shutil.copytree(Path(__file__).parents[2] / "data_demo", own)
    words = ("measured", "--records", str(own), "tansy-m080", "left wheel, barrel radius", "140 mm")
    ran = run("--json", *words, "--want", "rotor=LARCH-201")
    assert ran.status == 0, ran.err
    (turns,) = json.loads(ran.out)["result"]["plan"]["turns"]
    (turning,) = turns["turning"]
    assert turning["then"] == {"left wheel": "MAPLE-101"}
    assert turning["work"] == {"left wheel": "move the balance weights to the rim's edge"}
    shown = run(*words[:-1], "141 mm", "--correct", "--want", "rotor=LARCH-201")
    assert "Then: MAPLE-101 at left wheel after work (move the balance weights to the rim's edge)." in shown.flowing


def test_a_date_that_is_none_is_refused_and_nothing_is_written(folder: Path) -> None:
    ran = measured(folder, "left hub, bore", "20.03 mm", "--date", "yesterday")
    assert ran.status == 2 and "--date: cannot read 'yesterday' (not a date)" in " ".join(ran.err.split()), ran.err
    assert not notes(folder)
    assert measured(folder, "left hub, bore", "20.03 mm", "--date", "summer 2013").status == 0


def test_usual_sizes_that_a_club_states_itself_count_where_nothing_is_recorded(folder: Path) -> None:
    (folder / "features" / "register_bore.csv").unlink()
    words = ("left hub, bore: diameter", "300 mm")
    assert measured(folder, *words).status == 1
    own = '[] a kn:UsualSize ; kn:table "register_bore" ; kn:dimension "diameter" ; kn:low 10 ; kn:high 400 .'
    (folder / "own.ttl").write_text(f"@prefix kn: <{VOCAB}> .\n{own}\n", encoding="utf-8")
    ran = measured(folder, *words)
    assert ran.status == 0, ran.out


@pytest.mark.parametrize("value", ["", "  "])
def test_an_empty_value_is_no_reading(tmp_path: Path, value: str) -> None:
    own = tmp_path / "records"
    shutil.copytree(shipped("data_demo"), own)
    before = (own / "notes.csv").read_bytes()
    what = "rear drum, drum: diameter"
    for typed in ((what, value), (f"{what}={value}",)):
        assert run("--records", str(own), "measured", "tansy-m080", *typed).status == 2
    assert (own / "notes.csv").read_bytes() == before
