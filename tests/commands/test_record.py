"""The record as a user meets it: of a closed card only, written once, and the vehicle has what was built."""

from __future__ import annotations

import json
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path
from typing import Any

import pytest

from knockon.graph.jobs.store import read_job
from knockon.queries.ui.document import read, written
from knockon.queries.ui.published import answer_types
from tests.commands.running import Ran, demo, run
from tests.unit.test_ready_made import CAR

BY = ("--by", "m080")


def records(tmp_path: Path, **changed: str) -> str:
    folder = tmp_path / "car"
    texts = {**CAR, **{name.replace("__", "/") + ".csv": text for name, text in changed.items()}}
    for name, text in texts.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8", newline="")
    return str(folder)


def ask(folder: str, *words: str) -> Ran:
    return run("--records", folder, *words)


def steps(folder: str) -> list[str]:
    ran = ask(folder, "--json", "job-card", "--plan", "disc")
    return [f"{x['side']} {x['step']}".strip() for x in json.loads(ran.out)["result"]["lines"]]


def closed(folder: str, vehicle: str = "mine", want: str = "rotor=R-120", left: str = "") -> None:
    """A plan whose card is closed; the step ``left`` is not ticked."""
    assert ask(folder, "job-card", vehicle, "--want", want, "--plan", "disc", *BY).status in (0, 1)
    ticks = [word for name in steps(folder) if name != left for word in ("--tick", name)]
    ran = ask(folder, "job-card", "--plan", "disc", *ticks, *BY)
    assert ran.status in (0, 1), ran.err
    ran = ask(folder, "job-card", "--plan", "disc", "--close", *BY, "--checked-by", "m081")
    assert ran.status == 0, ran.err


def record(folder: str, *more: str) -> dict[str, Any]:
    ran = ask(folder, "--json", "record", "--plan", "disc", *more)
    assert ran.status in (0, 1), ran.err
    found = json.loads(ran.out)["result"]
    assert isinstance(found, dict)
    return found


def changed(answer: dict[str, Any]) -> dict[str, tuple[str, str]]:
    return {p["place"]: (p.get("old", ""), p.get("new", "")) for p in answer["places"]}


def lines(folder: str, name: str) -> list[str]:
    return (Path(folder) / name).read_text(encoding="utf-8").splitlines()


BUILT = {
    f"{side} {position}": (old, new)
    for side in ("left", "right")
    for position, old, new in (
        ("inner bearing", "B-25", "B-28"), ("outer bearing", "B-25", "B-28"), ("outer joint", "J-20", "J-25"),
        ("drive flange", "F-20", "F-25"), ("wheel stud", "", ""), ("hub nut", "N-18", "N-20"),
        ("rotor", "R-100", "R-120"),
    )
}  # fmt: skip


def test_an_open_card_has_no_record(tmp_path: Path) -> None:
    folder = records(tmp_path)
    assert ask(folder, "job-card", "mine", "--want", "rotor=R-120", "--plan", "disc", *BY).status == 0
    ran = ask(folder, "record", "--plan", "Disc")
    assert ran.status == 1 and ran.lines[1] == "NO RECORD YET: the job card of plan disc is not closed."
    assert "left collar on" in ran.flowing and ran.flowing.replace("\\ ", "").endswith("job-card --plan disc")
    before = (Path(folder) / "fittings.csv").read_bytes()
    refused = ask(folder, "record", "--plan", "disc", "--write", *BY)
    assert refused.status == 2 and "has no record yet" in refused.err
    assert (Path(folder) / "fittings.csv").read_bytes() == before
    assert "not closed" in record(folder)["open"]


def test_the_record_says_old_and_new_who_ticked_and_who_checked(tmp_path: Path) -> None:
    folder = records(tmp_path)
    closed(folder, left="left rotor on")
    found = record(folder)
    assert changed(found) == BUILT and found["open"] == []
    assert (found["closed"]["by"], found["closed"]["read"]) == ("m080", "m081")
    undone = [x["step"] for x in found["steps"] if x.get("done") is None]
    assert undone == [s.removeprefix("left ") for s in steps(folder) if s == "left rotor on"]
    assert {x["done"]["by"] for x in found["steps"] if x.get("done")} == {"m080"}
    spline = next(c for c in found["checks"] if c["check"] == "flange on stub")
    assert spline["verdict"].startswith("fits") and "book" in spline["sources"]
    document = ask(folder, "--json", "record", "--plan", "disc").out
    assert written(read(document, answer_types()["record"])) == document.encode()
    full = ask(folder, "record", "--plan", "disc", "--full")
    assert "Geometry only." in full.flowing and "N m" not in full.flowing


def test_what_is_written_is_the_vehicle_and_nothing_else_changes(tmp_path: Path) -> None:
    other = "yours,rotor,,R-100,sound\n"
    note = 'mine,knuckle,left,"K-1",sound\r\n'
    fittings = CAR["fittings.csv"].replace("\n", "\r\n") + note + other
    vehicles = CAR["vehicles.csv"] + "yours,another,my car,disc,no,book\n"
    folder = records(tmp_path, fittings=fittings, vehicles=vehicles)
    closed(folder)
    ran = ask(folder, "record", "--plan", "disc", "--write", "--note", *BY)
    assert ran.status == 0 and "Written: the vehicle now has what was built." in ran.lines, ran.err
    now = (Path(folder) / "fittings.csv").read_bytes().decode()
    assert note in now and other in now and "mine,rotor,,R-120,sound\r\n" in now
    gone = {x for x in fittings.splitlines() if x not in now.splitlines()}
    assert gone == {f"mine,{p},,{n},sound" for p, n in (
        ("inner bearing", "B-25"), ("outer bearing", "B-25"), ("outer joint", "J-20"), ("drive flange", "F-20"),
        ("hub nut", "N-18"), ("rotor", "R-100"),
    )}  # fmt: skip
    assert (Path(folder) / "vehicles.csv").read_text() == vehicles
    back = json.loads(ask(folder, "--json", "swap", "mine", "--want", "rotor=R-100").out)
    assert '"R-120"' in json.dumps(back)
    after = record(folder)
    assert changed(after) == BUILT and after["built"]["by"] == "m080" and after["note"] == "N01"
    notes = ask(folder, "note", "list", "--vehicle", "mine")
    assert "left and right rotor: R-100 before, R-120 now" in notes.flowing


def test_it_is_written_once(tmp_path: Path) -> None:
    folder = records(tmp_path)
    closed(folder)
    assert ask(folder, "record", "--plan", "disc", "--write", *BY).status == 0
    there = (Path(folder) / "fittings.csv").read_bytes()
    again = ask(folder, "record", "--plan", "disc", "--write", *BY)
    assert again.status == 2 and "is written already, by m080" in again.err
    assert (Path(folder) / "fittings.csv").read_bytes() == there
    assert ask(folder, "record", "--plan", "disc", "--note", *BY).status == 0
    twice = ask(folder, "record", "--plan", "disc", "--note", *BY)
    assert twice.status == 2 and "N01 says already" in twice.err


def test_of_two_writers_one_writes(tmp_path: Path) -> None:
    folder = records(tmp_path)
    closed(folder)
    command = [sys.executable, "-m", "knockon", "--records", folder, "record", "--plan", "disc", "--write", *BY]

    def write(_: int) -> int:
        return subprocess.run(command, capture_output=True, check=False).returncode

    with ThreadPoolExecutor(3) as pool:
        assert sorted(pool.map(write, range(3))) == [0, 2, 2]
    events = [type(e).__name__ for e in read_job(Path(folder), "disc").events]
    assert events.count("Built") == 1 and "mine,rotor,,R-120,sound" in lines(folder, "fittings.csv")


def test_a_vehicle_like_another_gets_rows_of_its_own(tmp_path: Path) -> None:
    vehicles = "vehicle,title,layout,arrangement,as made,like,source\n"
    vehicles += "mine,my own,my car,disc,no,,book\nyours,another,my car,disc,no,mine,book\n"
    folder = records(tmp_path, vehicles=vehicles)
    closed(folder, vehicle="yours")
    assert ask(folder, "record", "--plan", "disc", "--write", *BY).status == 0
    rows = lines(folder, "fittings.csv")
    assert "yours,rotor,,R-120,sound" in rows and "mine,rotor,,R-100,sound" in rows
    assert "yours,caliper,,C-1,sound" not in rows


def test_a_vehicle_as_made_is_not_rebuilt(tmp_path: Path) -> None:
    folder = records(tmp_path, vehicles=CAR["vehicles.csv"].replace("disc,no", "disc,yes"))
    closed(folder)
    refused = ask(folder, "record", "--plan", "disc", "--write", *BY)
    assert refused.status == 2 and "how vehicles were made" in refused.err
    assert read_job(Path(folder), "disc").built is None


def test_what_was_read_on_the_old_part_is_not_said_of_the_new_one(tmp_path: Path) -> None:
    folder = records(tmp_path)
    read = ask(folder, "measured", "mine", "left rotor, body: thickness", "9.2 mm", *BY, "--as-read")
    assert read.status == 0, read.err
    closed(folder)
    assert ask(folder, "record", "--plan", "disc", "--write", *BY).status == 0
    row = next(x for x in lines(folder, "fittings.csv") if x.startswith("mine,rotor,left,R-120,"))
    assert "mine left rotor, disc" in row
    wanted = json.dumps(json.loads(ask(folder, "--json", "swap", "mine", "--want", "rotor=R-100").out)["result"])
    assert "9.2 mm" not in wanted


def test_the_sheet_for_an_inspector_gives_no_verdict_on_the_law(tmp_path: Path) -> None:
    folder = records(tmp_path)
    closed(folder)
    ran = ask(folder, "record", "--plan", "disc", "--inspector")
    assert ran.status == 0 and "It is no approval." in ran.flowing and "WHAT TO ASK" in ran.lines
    said = ran.flowing.casefold()
    assert "safe" not in said.replace("never means safe", "") and "is legal" not in said and "is approved" not in said
    sheet, whole = tmp_path / "i.pdf", tmp_path / "r.pdf"
    assert ask(folder, "record", "--plan", "disc", "--inspector", "--print", str(sheet)).status == 0
    assert ask(folder, "record", "--plan", "disc", "--print", str(whole)).status == 0
    assert sheet.read_bytes().startswith(b"%PDF") and whole.read_bytes() != sheet.read_bytes()
    assert ask(folder, "record", "--plan", "disc", "--print", str(sheet)).status == 2


@pytest.mark.parametrize("more", [(), ("--write", *BY)])
def test_the_demo_world_and_unknown_plans_are_refused(tmp_path: Path, more: tuple[str, ...]) -> None:
    assert demo("record", "--plan", "disc", *more).status == 2
    ran = ask(records(tmp_path), "record", "--plan", "disc", *more)
    assert ran.status == 2 and "disc" in ran.err
