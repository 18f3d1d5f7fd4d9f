"""``knockon order --plan`` as a user runs it: keeping a request, placing its order, what is outstanding, going on."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from knockon.graph.jobs.events import Received
from knockon.graph.jobs.store import add_event, read_job
from tests.commands.running import Ran, demo, run
from tests.unit.test_order import csv, tables

BY = ("--by", "m080")
OFFERS = ("Ash,R1,20", "Ash,C1,50", "Ash,N1,1", "Beech,R1,26", "Beech,N2,1.5")


@pytest.fixture
def cart(tmp_path: Path) -> Path:
    for name, text in tables(offers=csv("supplier,part,price", *OFFERS)).items():
        (tmp_path / name).write_text(text, encoding="utf-8")
    made = order(tmp_path, "mine", "--renew", "rotor", "--plan", "New brakes", *BY)
    assert made.status == 0, made.err
    return tmp_path


def order(folder: Path, *words: str) -> Ran:
    return run("--records", str(folder), "order", *words)


def asked(folder: Path, *words: str) -> dict[str, Any]:
    ran = run("--records", str(folder), "--json", "order", "--plan", "new brakes", *words)
    assert ran.status in (0, 1), ran.err
    found: dict[str, Any] = json.loads(ran.out)["result"]
    return found


def cheapest(found: dict[str, Any]) -> list[tuple[str, str, int]]:
    return [(x["supplier"], x.get("part") or x["kit"], x["quantity"]) for x in found["orders"][0]["lines"]]


def came(folder: Path, part: str, n: int, verdict: str) -> None:
    add_event(folder, "New brakes", Received("m080", "2026-01-01T00:00:00Z", part, n, verdict, "Ash", why="cracked"))


def test_the_request_is_kept_and_asked_again_by_its_name(cart: Path) -> None:
    assert cheapest(asked(cart)) == [("Ash", "C1", 2), ("Ash", "N1", 8), ("Ash", "R1", 2)]
    page = order(cart, "--plan", "NEW BRAKES")
    assert "Plan New brakes." in page.lines
    assert "--plan 'New brakes' --place 'cheapest' --by INITIALS" in page.flowing
    assert order(cart, "--plan", "old brakes").status == 2


def test_a_placed_order_is_outstanding_and_is_not_bought_again(cart: Path) -> None:
    placed = order(cart, "--plan", "New brakes", "--place", "cheapest", *BY)
    assert placed.status == 0 and "Placed: the cheapest order of plan New brakes, 153.00." in placed.lines
    (event,) = read_job(cart, "New brakes").orders
    assert event.chosen == {"rotor": "R1", "caliper": "C1", "wheel nut": "N1"} and event.total == "153.00"
    found = asked(cart)
    assert cheapest(found) == [] and found["orders"][0]["total"] == "0.00"
    assert {x["part"]: x["outstanding"] for x in found["of_plan"]["stands"]} == {"R1": 2, "C1": 2, "N1": 8}
    page = order(cart, "--plan", "New brakes")
    assert "Nothing more to buy. Wait for the parcels, and take each one in." in page.lines
    assert "The cheapest order is the same today: 153.00." in page.lines
    again = order(cart, "--plan", "New brakes", "--place", "cheapest", *BY)
    assert again.status == 2 and "nothing to place" in again.err


def test_a_rejected_part_is_bought_elsewhere(cart: Path) -> None:
    order(cart, "--plan", "New brakes", "--place", "cheapest", *BY)
    came(cart, "R1", 1, "accept")
    came(cart, "R1", 1, "reject")
    found = asked(cart)
    assert cheapest(found) == [("Beech", "R1", 1)]  # one at 26 and 3 postage; Ash is not asked for another one
    assert found["orders"][0]["total"] == "29.00" and not found["of_plan"]["holds"]
    page = order(cart, "--plan", "New brakes")
    assert "What was ordered does not supply the plan any more, so the rest is planned anew." in page.lines
    assert order(cart, "--plan", "New brakes", "--place", "cheapest", *BY).status == 0
    assert cheapest(asked(cart)) == []


def test_a_part_that_nobody_else_sells_changes_the_plan_and_the_rest_is_left_over(cart: Path) -> None:
    order(cart, "--plan", "New brakes", "--place", "cheapest", *BY)
    came(cart, "N1", 5, "accept")
    came(cart, "N1", 3, "reject")
    found = asked(cart)
    assert cheapest(found) == [("Beech", "N2", 8)] and not found["of_plan"].get("instead")
    assert [(x["part"], x["quantity"]) for x in found["orders"][0]["left_over"]] == [("N1", 5)]


def test_what_nobody_else_sells_and_no_plan_does_without_comes_from_the_same_supplier(cart: Path) -> None:
    order(cart, "--plan", "New brakes", "--place", "cheapest", *BY)
    came(cart, "C1", 1, "reject")
    found = asked(cart)
    assert cheapest(found) == [("Ash", "C1", 1)] and found["of_plan"]["same_again"]


def test_what_the_order_would_be_today(cart: Path) -> None:
    order(cart, "--plan", "New brakes", "--place", "cheapest", *BY)
    offers = csv("supplier,part,price", *OFFERS).replace("Ash,C1,50", "Ash,C1,45")
    (cart / "offers.csv").write_text(offers, encoding="utf-8")
    page = order(cart, "--plan", "New brakes")
    assert "The cheapest order was 153.00. Today it is 143.00." in page.lines
    assert "C1 from Ash: 50.00 each then, 45.00 today." in page.flowing


def test_a_corrected_request_is_planned_anew_with_what_is_there(cart: Path) -> None:
    order(cart, "--plan", "New brakes", "--place", "cheapest", *BY)
    assert order(cart, "mine", "--want", "rotor=R2", "--plan", "New brakes", *BY).status == 1  # nobody sells R2
    found = asked(cart)
    assert cheapest(found) == [] and found["not_sold"] == ["R2"]
    assert {"part": "R1", "quantity": 2} in found["orders"][0]["left_over"]


def test_mistakes(cart: Path) -> None:
    assert "--by" in order(cart, "--plan", "New brakes", "--place", "cheapest").err
    assert order(cart, "mine", "--renew", "rotor", "--place", "cheapest").status == 2
    assert order(cart, "--plan", "New brakes", "--avoid", "Ash").status == 2
    assert order(cart).status == 2
    refused = demo("order", "tansy-m080", "--want", "rotor=LARCH-201", "--plan", "discs", *BY)
    assert refused.status == 2 and "demo" in refused.err
