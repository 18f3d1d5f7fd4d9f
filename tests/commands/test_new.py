"""``knockon new``: a vehicle of one's own, asked for or by options, and nothing that stands is written over."""

from __future__ import annotations

import io
import json
import os
import re
from pathlib import Path

import pytest

from knockon.graph.records import load
from knockon.queries.intake import new_vehicle
from knockon.queries.intake.vehicle_wanted import CannotAdd, choices_of, chosen_of, uses_of
from tests.commands.running import pasted, run

CORNER = ("--layout", "driven front corner", "--layout", "hydraulics")
CHOICES = ("--choice", "disc", "--choice", "pair with spacer", "--choice", "ball joint")
MINE = (*CORNER, *CHOICES, "--vehicle", "mine")


@pytest.fixture(autouse=True)
def _here(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setattr("sys.stdin", io.StringIO())


def contents(folder: Path) -> dict[str, bytes]:
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in folder.rglob("*") if p.is_file()}


def test_options_alone_write_the_tables_and_the_sheet() -> None:
    ran = run("new", "mine", *MINE)
    assert (ran.status, ran.err) == (0, "")
    there = {"fittings.csv", "layout_uses.csv", "sources.csv", "vehicles.csv", "measuring.xlsx", "measuring.pdf"}
    assert set(contents(Path("mine"))) == there
    assert pasted(ran) == [
        "knockon --records mine import mine/measuring.xlsx",
        "knockon --records mine swap mine --want POSITION=PART",
    ]
    catalogue = load(Path("mine")).catalogue
    assert set(catalogue.vehicles["mine"].arrangements) == {"disc", "pair with spacer", "ball joint"}
    fitted = {f.position for f in catalogue.vehicles["mine"].fittings}
    positions = {p.position for p in catalogue.layouts["mine"].positions}
    assert {"rotor", "caliper", "master cylinder", "wheel spacer"} <= fitted <= positions
    assert not fitted & {"brake drum", "cartridge bearing", "upper ball pin"}
    assert run("--records", "mine", "check").status == 0


def test_what_it_pastes_is_answered_at_once() -> None:
    ran = run("new", "mine", *MINE)
    sheet, _ = (line.split() for line in pasted(ran))
    again = run(*sheet[1:])
    assert again.status == 0 and "Nothing changed." in again.flowing
    assert run("--records", "mine", "vehicle", "mine").status in (0, 1, 2)


@pytest.mark.parametrize(
    ("options", "typed", "questions"),
    [
        ((), "1,2\ndisc, pair with spacer, ball joint\nmine\n", 3),
        ((), "driven front corner, hydraulics\nDisc,Pair with spacer,ball joint\nmine\n", 3),
        (CORNER, "disc, pair with spacer, ball joint\nmine\n", 2),
        ((*CORNER, "--choice", "disc"), "pair with spacer, ball joint\nmine\n", 2),
        ((*CORNER, *CHOICES), "mine\n", 1),
        (("--vehicle", "mine"), "1,2\ndisc,pair with spacer,ball joint\n", 2),
    ],
)
def test_it_asks_for_what_no_option_says(
    options: tuple[str, ...], typed: str, questions: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    run("new", "by options", *MINE)
    monkeypatch.setattr("sys.stdin", io.StringIO(typed))
    ran = run("new", "asked", *options)
    assert ran.status == 0, ran.err
    assert len(re.findall(r"(?:\?|Type [^:?]+): ", ran.err)) == questions
    assert contents(Path("asked")) == contents(Path("by options"))


def test_two_axles_are_no_more_than_four_questions(monkeypatch: pytest.MonkeyPatch) -> None:
    typed = "1,2,3\nfront disc, front pair with spacer, front ball joint\nrear drum, rear cartridge\nmy van\n"
    monkeypatch.setattr("sys.stdin", io.StringIO(typed))
    assert run("new", "van").status == 0
    uses = Path("van/layout_uses.csv").read_text().splitlines()
    assert uses[1:] == [
        "my van,driven front corner,front,front cartridge;front shimmed ball pin",
        "my van,hydraulics,,",
        "my van,rear corner,rear,rear adjusted pair",
    ]
    assert load(Path("van")).catalogue.layouts["my van"].positions[0].axle in ("", "front")


@pytest.mark.parametrize(
    ("options", "said"),
    [
        ((), ["--layout NAME", "--choice NAME", "--vehicle NAME", 'knockon new mine --layout "driven front corner"']),
        (CORNER, ["--choice NAME for brake, bearing and swivel", "--vehicle NAME"]),
        ((*CORNER, "--choice", "disc"), ["--choice NAME for bearing and swivel"]),
        ((*CORNER, *CHOICES), ["Give --vehicle NAME"]),
        (("--layout", "driven front"), ["no ready-made layout", "Nearest: driven front corner"]),
        ((*CORNER, "--choice", "disk"), ["no choice 'disk'", "disc"]),
        ((*CORNER, "--choice", "disc", "--choice", "drum"), ["disc and drum are both for brake"]),
        ((*CORNER, "--layout", "undriven front corner"), ["are both for the front axle"]),
        ((*CORNER, "--layout", "rear corner", "--choice", "disc"), ["may be front disc or rear disc"]),
        ((*CORNER, *CHOICES, "--vehicle", "=1+1"), ["no name for a vehicle"]),
        ((*CORNER, *CHOICES, "--vehicle", "a;b"), ["no name for a vehicle"]),
        ((*CORNER, *CHOICES, "--vehicle", "x" * 61), ["no name for a vehicle"]),
        ((*MINE, "--unit", "cm"), ["'mm', 'in'"]),
    ],
)
def test_a_mistake_is_answered_and_nothing_is_written(options: tuple[str, ...], said: list[str]) -> None:
    ran = run("new", "mine", *options)
    assert (ran.status, ran.out) == (2, "")
    for text in said:
        assert text in " ".join(ran.err.split()), ran.err
    assert not list(Path().iterdir())


def test_the_example_of_what_is_missing_can_be_pasted() -> None:
    import shlex

    ran = run("new", "mine")
    example = " ".join(ran.err.split()).partition("for instance: knockon ")[2]
    assert run(*shlex.split(example)).status == 0


def test_a_second_vehicle_is_added_and_the_first_stays_to_the_byte() -> None:
    run("new", "mine", *MINE)
    before = contents(Path("mine"))
    drum = ("--choice", "drum", "--choice", "pair with spacer", "--choice", "ball joint")
    ran = run("new", "mine", *CORNER, *drum, "--vehicle", "the other/one")
    assert ran.status == 0, ran.err
    after = contents(Path("mine"))
    assert after["measuring.xlsx"] == before["measuring.xlsx"] and after["layout_uses.csv"] == before["layout_uses.csv"]
    for table in ("vehicles.csv", "fittings.csv"):
        assert after[table].startswith(before[table])
    assert {"measuring-the-other-one.xlsx", "measuring-the-other-one.pdf"} == set(after) - set(before) - {
        ".knockon.lock"
    }
    vehicles = load(Path("mine")).catalogue.vehicles
    assert vehicles["mine"].layout == vehicles["the other/one"].layout == "mine"
    van: tuple[str, ...] = (*CORNER, "--layout", "rear corner", "--choice", "front disc", "--choice", "front cartridge")
    van += ("--choice", "ball joint", "--choice", "rear disc", "--choice", "adjusted pair", "--vehicle", "third")
    assert run("new", "mine", *van).status == 0
    assert load(Path("mine")).catalogue.vehicles["third"].layout == "third"


@pytest.mark.parametrize(
    ("options", "stays"),
    [
        ((), {"disc", "drum"}),
        (("--may-change", "bearing"), {"pair with spacer", "cartridge"}),
        (("--may-change", "brake", "--may-change", "swivel"), {"disc", "drum", "ball joint", "shimmed ball pin"}),
    ],
)
def test_what_no_plan_may_change_is_left_out_of_the_layout(options: tuple[str, ...], stays: set[str]) -> None:
    result = json.loads(run("new", "mine", *MINE, *options, "--json").out)["result"]
    own = {"disc", "pair with spacer", "ball joint"}
    layout = load(Path("mine")).catalogue.layouts["mine"]
    assert {a for choice in layout.choices for a in choice.arrangements} == stays | own
    assert {a for c in choices_of(uses_of(("driven front corner",))) for a in c.arrangements} == (
        stays | own | set(result["left_out"])
    )
    assert "no choice is called" in run("new", "other", *MINE, "--may-change", "wings").err


def test_the_same_vehicle_again_says_what_to_do_and_changes_nothing() -> None:
    run("new", "mine", *MINE)
    before = contents(Path("mine"))
    ran = run("new", "mine", *MINE[:-1], "Mine")
    assert ran.status == 2 and "Add another with --vehicle" in " ".join(ran.err.split())
    assert contents(Path("mine")) | {".knockon.lock": b""} == before | {".knockon.lock": b""}


def test_a_folder_with_other_things_in_it_keeps_them() -> None:
    Path("mine").mkdir()
    Path("mine/measuring.pdf").write_bytes(b"my own")
    Path("mine/sources.csv").write_text("source,standing,title\nbook,seller,my own\n")
    assert run("new", "mine", *MINE).status == 0
    assert Path("mine/measuring.pdf").read_bytes() == b"my own"
    assert Path("mine/sources.csv").read_text() == "source,standing,title\nbook,seller,my own\n"
    assert Path("mine/measuring-mine.pdf").exists() and Path("mine/measuring-mine.xlsx").exists()


@pytest.mark.parametrize("beside", [False, True])
def test_what_fails_half_way_leaves_nothing_behind(beside: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    if beside:
        Path("mine").mkdir()
        Path("mine/notes.txt").write_text("mine")
    before = sorted(map(str, Path().rglob("*")))

    def fails(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(new_vehicle, "write_together" if beside else "force_folder", fails)
    if not beside:
        monkeypatch.setattr(new_vehicle, "write_whole", fails)
    ran = run("new", "mine", *MINE)
    assert ran.status == 2 and ran.err
    left = [p for p in sorted(map(str, Path().rglob("*"))) if not p.endswith(".knockon.lock")]
    assert left == before


def test_a_folder_that_cannot_be_made_is_told() -> None:
    assert "there is no folder" in run("new", "no/such", *MINE).err
    Path("file").write_text("")
    assert "is a file" in run("new", "file", *MINE).err


def test_the_rights_of_a_new_folder_are_those_of_any_new_folder() -> None:
    Path("plain").mkdir()
    run("new", "mine", *MINE)
    assert os.stat("mine").st_mode == os.stat("plain").st_mode


def test_the_document_names_what_was_written() -> None:
    result = json.loads(run("new", "mine", *MINE, "--json").out)["result"]
    assert result["vehicle"] == result["layout"] == "mine"
    assert result["uses"] == ["driven front corner", "hydraulics"]
    assert result["sheets"] == ["mine/measuring.xlsx", "mine/measuring.pdf"]
    assert {t["table"] for t in result["tables"]} == {"fittings", "layout_uses", "sources", "vehicles"}
    assert result["lines"] > 200 and result["places"] == next(
        t["rows"] for t in result["tables"] if t["table"] == "fittings"
    )


def test_inches_are_the_unit_of_every_length() -> None:
    run("new", "inch", *MINE, "--unit", "in")
    from tests.sheets.filling import table

    _, lines = table(Path("inch/measuring.xlsx").read_bytes(), "left")
    assert {line["unit"] for line in lines} == {"in", "deg", ""}


def test_a_choice_can_be_named_with_what_it_is_for() -> None:
    left = choices_of(uses_of(("driven front corner", "rear corner")))
    said = ("front brake=disc", "rear brake=disc", "front bearing = cartridge", "adjusted pair", "swivel=ball joint")
    assert set(chosen_of(left, said)) == {
        "front disc", "rear disc", "front cartridge", "rear adjusted pair", "front ball joint",
    }  # fmt: skip
    with pytest.raises(CannotAdd, match="nothing is chosen for front bearing"):
        chosen_of(left, said[:2])


def test_options_for_other_sheets_are_refused_for_a_measuring_sheet() -> None:
    run("new", "mine", *MINE)
    ran = run("--records", "mine", "import", "mine/measuring.xlsx", "--table", "parts", "--driver", "left")
    assert ran.status == 2 and "Leave out --table and --driver" in " ".join(ran.err.split())
