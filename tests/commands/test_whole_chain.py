"""The whole job as a user does it: a vehicle of one's own, measured, planned, ordered, taken in with a part refused,
put together with gates that cannot be skipped, closed, recorded, noted; and the vehicle asked again."""

from __future__ import annotations

import json
import shlex
from pathlib import Path
from typing import Any

import pytest

from tests.commands.running import Ran, run
from tests.docs.following import follow

BY = ("--by", "m1")
SUPPLIERS = "supplier,title,postage\nMill,the mill,5.00\nForge,the forge,4.00\n"
OFFERS = """supplier,part,price,stock
Mill,R-120,40.00,9
Mill,F-25,30.00,9
Mill,J-25,50.00,9
Forge,J-25,58.00,9
Mill,B-28,6.00,20
Forge,N-20,3.00,9
"""


@pytest.fixture
def mine(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The records that docs/start.md makes, with two suppliers."""
    monkeypatch.chdir(tmp_path)
    follow(tmp_path, lambda command: run(*shlex.split(command)[1:]))
    folder = tmp_path / "mine"
    (folder / "suppliers.csv").write_text(SUPPLIERS, encoding="utf-8")
    (folder / "offers.csv").write_text(OFFERS, encoding="utf-8")
    return folder


def ask(folder: Path, *words: str) -> Ran:
    return run("--records", str(folder), *words)


def told(folder: Path, *words: str) -> dict[str, Any]:
    ran = ask(folder, "--json", *words)
    assert ran.out, ran.err
    found = json.loads(ran.out)["result"]
    assert isinstance(found, dict)
    return found


def done(ran: Ran) -> Ran:
    assert ran.status in (0, 1) and not ran.err, (ran.status, ran.err)
    return ran


def test_from_an_empty_folder_to_a_finished_corner(mine: Path) -> None:
    swap = told(mine, "swap", "mine", "--want", "rotor=R-120")
    assert swap["plan"] is not None
    read = ask(mine, "measured", "mine", "left drive flange, stud holes: diameter", "12.7 mm", *BY)
    assert read.status == 0, read.err

    done(ask(mine, "order", "mine", "--want", "rotor=R-120", "--plan", "Bigger", *BY))
    placed = done(ask(mine, "order", "--plan", "Bigger", "--place", "cheapest", *BY))
    assert placed.lines[1] == "Placed: the cheapest order of plan Bigger, 279.00."

    refused = done(ask(mine, "goods-in", "--plan", "Bigger", "--reject", "J-25", "--why", "threads damaged", *BY))
    assert "To Mill: I cannot use 2 of J-25 outer joint that you sent." in refused.lines
    for number in ("R-120", "F-25", "B-28", "N-20"):
        done(ask(mine, "goods-in", "--plan", "Bigger", "--accept", number, *BY))
    again = told(mine, "order", "--plan", "Bigger")
    (cheapest,) = [o for o in again["orders"] if o["name"] == "cheapest"]
    assert [(x["supplier"], x["part"], x["quantity"]) for x in cheapest["lines"]] == [("Forge", "J-25", 2)]
    done(ask(mine, "order", "--plan", "Bigger", "--place", "cheapest", *BY))
    done(ask(mine, "goods-in", "--plan", "Bigger", "--accept", "J-25", *BY))
    assert told(mine, "order", "--plan", "Bigger")["orders"][0]["lines"] == []

    card = told(mine, "job-card", "--plan", "Bigger")
    assert card["no_step"] == []
    gate = "left collar on" if "left collar on" in card["open_gates"] else card["open_gates"][-1]
    names = [f"{x['side']} {x['step']}".strip() for x in card["lines"]]
    ticks = [word for name in names if name != gate for word in ("--tick", name)]
    skipped = ask(mine, "job-card", "--plan", "Bigger", *ticks, *BY)
    closed = ask(mine, "job-card", "--plan", "Bigger", "--close", *BY, "--checked-by", "m2")
    assert skipped.status == closed.status == 2 and gate in " ".join(skipped.err.split())
    assert ask(mine, "record", "--plan", "Bigger", "--write", *BY).status == 2
    done(ask(mine, "job-card", "--plan", "Bigger", *ticks, "--tick", gate, *BY))
    done(ask(mine, "job-card", "--plan", "Bigger", "--close", *BY, "--checked-by", "m2"))

    written = done(ask(mine, "record", "--plan", "Bigger", "--write", "--note", *BY))
    assert written.status == 0
    assert "J-25" in ask(mine, "record", "--plan", "Bigger", "--full").out
    assert ask(mine, "record", "--plan", "Bigger", "--write", *BY).status == 2
    assert "R-120" in done(ask(mine, "note", "list")).out

    after = told(mine, "swap", "mine", "--want", "rotor=R-120")
    assert {g["group"] for g in after["plan"]["groups"]} <= {"wheel studs"}
    assert ask(mine, "check").status == 0
