"""The job card as a user meets it: what to do next, gates that cannot be skipped, closing it, and the page to print."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.commands.running import SWAP, Ran, demo, run
from tests.unit.test_ready_made import CAR

ASKED = ("job-card", *SWAP[1:])
BY = ("--by", "m080")


def records(tmp_path: Path) -> Path:
    folder = tmp_path / "car"
    for name, text in CAR.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    return folder


@pytest.fixture
def car(tmp_path: Path) -> str:
    folder = str(records(tmp_path))
    made = run("--records", folder, "job-card", "mine", "--want", "rotor=R-120", "--plan", "Bigger rotors", *BY)
    assert made.status == 0, made.err
    return folder


def card(folder: str, *more: str) -> dict[str, Any]:
    ran = run("--records", folder, "--json", "job-card", "--plan", "bigger rotors", *more)
    assert ran.status in (0, 1), ran.err
    found = json.loads(ran.out)["result"]
    assert isinstance(found, dict)
    return found


def ticked(folder: str, *more: str) -> Ran:
    return run("--records", folder, "job-card", "--plan", "Bigger rotors", *more)


def test_the_first_page_says_what_to_do_next_and_ends_with_commands() -> None:
    ran = demo(*ASKED)
    assert ran.status == 0 and len(ran.lines) < 40
    assert ran.lines[2].startswith("Do next: 1. left bench trial. Before you strip anything")
    assert "0 of 157 steps ticked. Gates still open: 25." in ran.lines
    assert ran.lines[-1].strip().endswith("--full")


def test_the_whole_card_has_every_caution_and_no_torque_without_a_source() -> None:
    full = demo(*ASKED, "--full")
    assert "Never turn the nut back to find a hole." in full.flowing
    assert "Tighten hub nut: no value with a source is recorded. Use the maker's book." in full.flowing
    assert "N m" not in full.flowing
    assert "Read and write down: bearing float, 0 to 0.1 mm." in full.flowing
    assert "Work on supported stands." in full.flowing


def test_a_gate_cannot_be_skipped(car: str) -> None:
    refused = ticked(car, "--tick", "right hub nut cracked", *BY)
    assert refused.status == 2
    assert (
        refused.err.strip() == "knockon: right hub nut cracked waits for a gate that is not ticked: right bench trial"
    )
    assert ticked(car, "--tick", "bench trial", "--side", "right", *BY).status == 0
    assert ticked(car, "--tick", "right hub nut cracked", *BY).status == 0
    done = [(x["side"], x["step"]) for x in card(car)["lines"] if x.get("done")]
    assert done == [("right", "bench trial"), ("right", "hub nut cracked")]


def test_a_step_of_both_sides_asks_which(car: str) -> None:
    refused = ticked(car, "--tick", "wheel off", *BY)
    assert refused.status == 2 and "'left wheel off' or 'right wheel off'" in refused.err
    unknown = ticked(car, "--tick", "left whel off", *BY)
    assert unknown.status == 2 and "left wheel off" in unknown.err


def test_who_ticks_is_said(car: str) -> None:
    refused = ticked(car, "--tick", "left bench trial")
    assert refused.status == 2 and "--by" in refused.err


def test_a_card_closes_only_when_every_gate_is_ticked_and_somebody_else_checked(car: str) -> None:
    closing = ("--close", *BY, "--checked-by")
    refused = ticked(car, *closing, "m081")
    assert refused.status == 2 and "the card cannot be closed. Not ticked: left bench trial" in refused.err
    every = [x["side"] + " " + x["step"] for x in card(car)["lines"]]
    gate = "left collar on"
    ticks = [word for name in every if name != gate for word in ("--tick", name.strip())]
    refused = ticked(car, *ticks, *BY)
    assert refused.status == 2 and f"waits for a gate that is not ticked: {gate}" in refused.err
    done = ticked(car, *ticks, "--tick", gate, *BY)
    assert done.status == 0, done.err
    assert ticked(car, "--take-back", gate, *BY).status == 0
    assert gate in ticked(car, *closing, "m081").err
    assert ticked(car, "--tick", gate, *BY).status == 0
    assert "a second person checks the work" in ticked(car, *closing, "M080").err
    closed = ticked(car, *closing, "m081")
    assert closed.status == 0 and "Closed by m080, checked by m081." in closed.lines
    again = ticked(car, *closing, "m081")
    assert again.status == 2 and "closed already" in again.err
    assert "is closed" in ticked(car, "--take-back", gate, *BY).err


def test_a_reading_is_kept_with_its_step(car: str) -> None:
    for name in ("left bench trial",):
        assert ticked(car, "--tick", name, "--read", "turns by hand", *BY).status == 0
    line = card(car)["lines"][0]
    assert line["done"]["read"] == "turns by hand" and line["done"]["by"] == "m080"
    refused = ticked(car, "--tick", "right bench trial", "--tick", "left hub nut cracked", "--read", "x", *BY)
    assert refused.status == 2 and "one by one" in refused.err


def test_the_demo_world_keeps_no_plan() -> None:
    ran = demo(*ASKED, "--plan", "discs", *BY)
    assert ran.status == 2 and "demo" in ran.err
    assert demo("job-card", "--tick", "x").status == 2
    assert demo("job-card").status == 2


def test_the_page_to_print_has_the_same_bytes_twice_and_is_never_written_over(tmp_path: Path) -> None:
    one, other = tmp_path / "a.pdf", tmp_path / "b.pdf"
    assert run(*ASKED, "--print", str(one)).status == run(*ASKED, "--print", str(other)).status == 0
    assert one.read_bytes() == other.read_bytes() and one.read_bytes().startswith(b"%PDF")
    refused = run(*ASKED, "--print", str(one))
    assert refused.status == 2 and "is there already" in " ".join(refused.err.split())


def test_no_plan_has_no_card() -> None:
    ran = demo("job-card", "tansy-m080", "--want", "rotor.diameter>=400 mm")
    assert ran.status == 1 and "NO PLAN" in ran.out


def tools(*more: str) -> dict[str, Any]:
    ran = demo(*ASKED, "--tools", *more, "--json")
    assert ran.status in (0, 1, 2), ran.err
    return {"status": ran.status, "err": ran.err} if ran.status == 2 else json.loads(ran.out)["result"]


def test_the_tools_stand_once_a_stage_with_the_sizes_of_the_chosen_parts() -> None:
    found = tools()["tools"]
    pairs = [(t["stage"], t["tool"]) for t in found]
    assert len(pairs) == len(set(pairs)) and found[0]["stage"] == "make safe"
    mandrel = next(t for t in found if t["tool"] == "press, stepped mandrel just under this size")
    assert mandrel["stage"] == "fit" and {s["what"] for s in mandrel["sizes"]} == {"bearing: outside diameter"}
    page = demo(*ASKED, "--tools")
    assert "hub nut socket and long bar" in page.flowing and "MAKE SAFE" in page.lines


def test_tools_that_somebody_has_are_left_out() -> None:
    before = {t["tool"] for t in tools()["tools"]}
    after = {t["tool"] for t in tools("--have", "Torque wrench", "--have", "press")["tools"]}
    assert before - after == {"torque wrench", "press"}
    unknown = tools("--have", "torque wrnch")
    assert unknown["status"] == 2 and "torque wrench" in unknown["err"]
