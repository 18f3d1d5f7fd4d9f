"""The first page of ``knockon swap``: one screen, each line once under what forces it, and the rest on demand."""

from __future__ import annotations

import os
import pty
import re
import shlex
import subprocess
import sys
from collections import Counter

import pytest

from tests.commands.running import FULL, SWAP, demo, full, pasted, run

ORDER = "ORDER LIST, BOTH SIDES"
LINE = re.compile(r"(\d+)(?: \+ (\d+))? ([A-Z]+-\d+[A-Z]?(?:/R)?) ")


def test_the_demo_swap_stands_on_one_screen() -> None:
    lines = demo(*SWAP).lines
    order = [ORDER, *demo(*SWAP).section(ORDER)]
    assert len(lines) <= 60
    assert max(map(len, lines)) <= 100
    assert len(lines) - len(order) <= 27  # blank lines and the way on are counted too


def test_every_number_of_the_order_stands_on_it_once_with_its_quantity() -> None:
    groups = full(demo(*SWAP, "--json").out)["result"]["plan"]["groups"]
    wanted = Counter({x["number"]: x["quantity"] for g in groups for x in g["lines"]})
    found: Counter[str] = Counter()
    text = " ".join(line.strip() for line in demo(*SWAP).section(ORDER))
    for one, other, number in LINE.findall(text):
        if other:
            found[number.removesuffix("/R")] += int(one)
            found[number.removesuffix("L/R") + "R"] += int(other)
        else:
            found[number] += int(one)
    assert found == wanted


def test_one_number_that_is_used_once_at_two_places_is_told_once_with_both_its_quantities() -> None:
    order = " ".join(demo("swap", "tansy-mk-b", "--want", "wheel=MAPLE-901").section(ORDER))
    assert order.count("ALDER-135") == 1 and "4 ALDER-135 swivel tab washer" in order


def test_each_line_stands_under_the_one_that_forces_it() -> None:
    depth: dict[str, int] = {}
    above: dict[str, str] = {}
    at: list[tuple[int, str]] = []
    for line in demo(*SWAP).section(ORDER):
        match = LINE.search(line)
        if match is None or line.strip().startswith("+"):
            continue
        number, indent = match[3].removesuffix("/R"), len(line) - len(line.lstrip())
        at = [(i, n) for i, n in at if i < indent]
        above[number], depth[number] = at[-1][1] if at else "", indent
        at.append((indent, number))
    assert above["ALDER-213"] == "ALDER-201L"  # the bearings because of the knuckle
    assert above["ROWAN-201"] == "ALDER-213"  # the outer joint because of the bearings
    assert above["ROWAN-252"] == "ROWAN-201"  # the nut because of the joint
    assert above["ROWAN-241"] == "LARCH-201"  # the flange because of the rotor
    assert above["LARCH-201"] == ""


def test_what_is_dangerous_stands_before_the_verdict_and_what_to_do_next_at_the_end() -> None:
    ran = demo(*SWAP)
    assert ran.out.index("DO NOT DRIVE") < ran.out.index("It can be done") < ran.out.index(ORDER)
    assert "ALDER-339" in ran.out[: ran.out.index("It can be done")]
    ways = [line.removeprefix("next: ").strip() for line in ran.lines[-4:]]
    assert ways.pop(2) == "knockon order tansy-m080 --want rotor=LARCH-201"
    assert [w.rpartition("--")[2] for w in ways] == ['why "hub nut"', "measure", "full"]
    assert all(w.startswith("knockon swap tansy-m080 --want rotor=LARCH-201 --") for w in ways)


def test_what_was_asked_for_is_told_so_however_its_place_is_typed() -> None:
    typed = demo("swap", "tansy-m080", "--want", "Rotor = LARCH-201")
    assert [line for line in typed.lines if "LARCH-201" in line and "asked for" in line]


@pytest.mark.parametrize(
    ("option", "heading"),
    [
        ("--why", "WHY"),
        ("--measure", "MEASURE BEFORE YOU ORDER"),
        ("--evidence", "UNPROVEN CHECKS"),
        ("--notes", "WHAT MEMBERS FOUND"),
        ("--others", "OTHER PLANS, WITH TRADE-OFFS"),
    ],
)
def test_each_part_of_the_long_answer_can_be_had_by_itself(option: str, heading: str) -> None:
    part = demo(*SWAP, option)
    assert part.section(heading) == demo(*FULL).section(heading)
    assert ORDER not in part.out
    assert "DO NOT DRIVE" in part.out and "Geometry only." in part.out


def test_why_of_one_position_tells_the_chain_that_leads_to_it() -> None:
    heads = [line for line in demo(*SWAP, "--why", "hub nut").lines if re.match(r"\d+\. ", line)]
    assert [h.split(": ")[0].split(". ")[1] for h in heads] == [
        "knuckle",
        "bearings with spacer",
        "outer joints",
        "hub nuts",
    ]
    assert "Because of the outer joints, hub nut on stub" in demo(*SWAP, "--why", "hub nut").flowing


def test_why_of_what_stays_says_what_becomes_of_it() -> None:
    assert "wheel MAPLE-101: kept after work" in demo(*SWAP, "--why", "wheel").flowing


def test_why_of_a_name_that_is_no_position_offers_the_nearest() -> None:
    ran = run(*SWAP, "--why", "hub nutt")
    assert ran.status == 2
    assert "no position 'hub nutt'" in ran.err and "hub nut" in ran.err


def test_where_nothing_fits_the_page_says_why_and_what_would_open_it() -> None:
    ran = demo(*SWAP, "--keep", "hub nut")
    assert ran.status == 1
    assert len(ran.lines) <= 60
    assert "NO PLAN" in ran.out and "WHAT WOULD HELP" in ran.out
    assert ran.lines[-1].endswith("--keep 'hub nut' --full")


def test_where_nothing_fits_what_to_drop_can_be_pasted() -> None:
    first, full = pasted(demo(*SWAP, "--keep", "lower ball pin"))
    assert first == 'knockon swap tansy-m080 --want "rotor=LARCH-201"'
    assert full.endswith("--keep 'lower ball pin' --full")
    assert run(*shlex.split(first)[1:]).status == 0


def test_a_page_of_unknowns_names_them_and_shows_the_way_to_them() -> None:
    ran = demo("swap", "tansy-mk-b", "--want", "master cylinder=HAZEL-301")
    assert "Not known: lock tab on caliper; shield screw in knuckle; shakeproof on hose; 5 more checks." in ran.flowing
    assert pasted(ran)[0].endswith("--evidence")


def test_both_pages_count_what_one_look_shows_once() -> None:
    (heading,) = [line for line in demo(*SWAP).lines if line.startswith("MEASURE FIRST")]
    listed = [
        line for line in demo(*SWAP, "--measure").section("MEASURE BEFORE YOU ORDER") if re.match(r"\d+\. ", line)
    ]
    assert heading == f"MEASURE FIRST, 5 OF {len(listed)}"


def on_a_terminal(*arguments: str) -> str:
    """What a command writes to a terminal of 24 lines; the pager marks what it shows."""
    master, slave = pty.openpty()
    pager = f"{sys.executable} -c \"import sys; print('PAGED'); sys.stdout.write(sys.stdin.read())\""
    environment = {**os.environ, "PAGER": pager, "LINES": "24", "COLUMNS": "100", "TERM": "dumb"}
    with subprocess.Popen(
        [sys.executable, "-m", "knockon", *arguments], stdout=slave, stderr=slave, stdin=slave, env=environment
    ) as process:
        os.close(slave)
        found = b""
        while True:
            try:
                piece = os.read(master, 65_536)
            except OSError:
                break
            if not piece:
                break
            found += piece
        process.wait()
    os.close(master)
    return found.decode().replace("\r\n", "\n")


def test_what_is_longer_than_the_terminal_goes_to_the_pager_unless_it_must_not() -> None:
    assert on_a_terminal("part", "ALDER-132").startswith("PAGED")
    assert not on_a_terminal("part", "ALDER-132", "--no-pager").startswith("PAGED")
    assert not on_a_terminal("list", "vehicles").startswith("PAGED")
