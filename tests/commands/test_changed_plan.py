"""``knockon changed --plan`` as a user runs it: what hits a named plan, its order, kits and card, since it was made."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import jsonschema  # type: ignore[import-untyped]
import pytest

from knockon.graph.jobs.store import read_job
from knockon.queries.job.plan_changed import PlanChangedAnswer
from knockon.queries.ui.document import read, written
from tests.commands.running import Ran, run
from tests.commands.test_order_of_plan import BY, OFFERS, order
from tests.commands.test_order_of_plan import cart as cart
from tests.unit.test_order import csv, tables

ROOT = Path(__file__).parents[2]
PLAN = ("--plan", "New brakes")


def changed(folder: Path, *words: str) -> Ran:
    return run("--records", str(folder), "changed", *words)


def told(folder: Path, *words: str) -> dict[str, Any]:
    ran = changed(folder, *PLAN, *words, "--json")
    assert ran.status in (0, 1), ran.err
    found: dict[str, Any] = json.loads(ran.out)["result"]
    return found


def offers(folder: Path, *rows: str) -> None:
    (folder / "offers.csv").write_text(csv("supplier,part,price", *rows), encoding="utf-8")


def test_nothing_changed(cart: Path) -> None:
    ran = changed(cart, *PLAN)
    assert ran.status == 0 and "Nothing changed for this plan." in ran.lines
    assert told(cart)["planned"] == [True, True]


def test_a_dearer_offer_is_a_remark_and_hits_nothing(cart: Path) -> None:
    """Two rotors at 21 instead of 20: 155 instead of 153."""
    offers(cart, "Ash,R1,21", *OFFERS[1:])
    ran = changed(cart, *PLAN)
    assert ran.status == 1 and "Nothing hits the plan." in ran.flowing
    assert "The cheapest order costs 155.00 instead of 153.00." in ran.flowing
    assert told(cart)["total"] == {"what": "", "before": "153.00", "after": "155.00"}


def test_what_nobody_sells_any_more_hits_it(cart: Path) -> None:
    offers(cart, *(o for o in OFFERS if ",C1," not in o))
    ran = changed(cart, *PLAN)
    assert ran.status == 1 and "1 change hits the plan." in ran.flowing
    assert "No order supplies every line any more. The cheapest one cost 153.00." in ran.flowing


def test_another_number_on_the_list_hits_it(cart: Path) -> None:
    """R1 is not sold any more and R2 is: the plan takes R2, which suits as well."""
    offers(cart, "Ash,R2,20", *(o for o in OFFERS if ",R1," not in o))
    found = told(cart)
    assert [(x["number"], x["before"], x["after"]) for x in found["lines"]] == [("R1", 2, 0), ("R2", 0, 2)]
    ran = changed(cart, *PLAN)
    assert "R2 r2: 2 needed, none before." in ran.flowing and "R1 r1: not needed any more." in ran.flowing
    assert "rotor: R2" not in ran.flowing, "said once"


def test_what_was_ordered_and_cannot_be_planned_any_more(cart: Path) -> None:
    """The number that was ordered went from the records."""
    assert order(cart, *PLAN, "--place", "cheapest", *BY).status == 0
    parts = (cart / "parts.csv").read_text(encoding="utf-8")
    (cart / "parts.csv").write_text(parts.replace("R1,r1", "R9,r9"), encoding="utf-8")
    offers(cart, *(o.replace("R1", "R9") for o in OFFERS))
    ran = changed(cart, *PLAN)
    assert ran.status == 1 and "NO PLAN with the parts that you ordered." in ran.flowing


def test_the_placed_order_as_it_would_be_today(cart: Path) -> None:
    assert order(cart, *PLAN, "--place", "cheapest", *BY).status == 0
    offers(cart, "Ash,R1,22", *OFFERS[1:])
    ran = changed(cart, *PLAN)
    assert "The order that you placed would cost 157.00 today. It cost 153.00." in ran.flowing
    assert "Ash sells R1 for 22.00 now. You paid 20.00." in ran.flowing


def test_a_kit_that_holds_more_of_the_plan_is_a_remark(cart: Path) -> None:
    (cart / "kits.csv").write_text(csv("kit,is,supplier,price", "pair,kit,Ash,500"), encoding="utf-8")
    (cart / "kit_lines.csv").write_text(csv("kit,part,quantity", "pair,C1,2"), encoding="utf-8")
    found = told(cart)
    assert [k["kit"] for k in found["kits"]] == ["pair"]
    assert {g["what"]: (g["before"], g["after"]) for g in found["kits"][0]["groups"]}["caliper"][0] == ""
    assert "Nothing hits the plan." in changed(cart, *PLAN).flowing


def test_older_records_are_compared_where_they_are_named(cart: Path, tmp_path: Path) -> None:
    older = tmp_path / "older"
    older.mkdir()
    for name, text in tables(offers=csv("supplier,part,price", "Ash,R1,10", *OFFERS[1:])).items():
        (older / name).write_text(text, encoding="utf-8")
    ran = changed(cart, str(older), *PLAN)
    assert "Compared with older records." in ran.flowing
    assert "The cheapest order costs 153.00 instead of 133.00." in ran.flowing


def test_from_now_on_begins_anew(cart: Path) -> None:
    offers(cart, "Ash,R1,21", *OFFERS[1:])
    ran = changed(cart, *PLAN, "--from-now", *BY)
    assert ran.status == 1 and "Today's answers are kept." in ran.flowing
    assert changed(cart, *PLAN).status == 0
    kept = read_job(cart, "New brakes").answered
    assert kept is not None and kept.total == "155.00" and kept.by == "m080"


def test_a_plan_of_which_no_answers_were_kept(cart: Path) -> None:
    """As those that an earlier version wrote: nothing is compared with nothing."""
    for file in (cart / "jobs").glob("*.json"):
        if json.loads(file.read_text(encoding="utf-8"))["event"] == "answered":
            file.unlink()
    ran = changed(cart, *PLAN)
    assert ran.status == 2 and "no answers of plan New brakes were kept" in " ".join(ran.err.split())
    assert changed(cart, *PLAN, "--from-now", *BY).status == 0
    assert changed(cart, *PLAN).status == 0


@pytest.mark.parametrize(
    "words", [(), ("--plan", "New brakes", "--from-now"), ("--plan", "New brakes", "--for", "mine", "--want", "x=R1")]
)
def test_words_that_do_not_go_together(cart: Path, words: tuple[str, ...]) -> None:
    assert changed(cart, *words).status == 2


def test_an_unknown_plan_is_named_with_the_nearest(cart: Path) -> None:
    ran = changed(cart, "--plan", "New brake")
    assert ran.status == 2 and "New brakes" in ran.err


def test_a_reading_hits_the_demo_plan_and_its_card(tmp_path: Path) -> None:
    """The invented world: the left steering arm is read as the other one, whose bolts do not meet the knuckle."""
    folder = tmp_path / "records"
    shutil.copytree(ROOT / "data_demo", folder)
    made = order(folder, "tansy-m080", "--want", "rotor=LARCH-201", *PLAN, *BY)
    assert made.status == 0, made.err
    read_it = ("tansy-m080", "left steering arm, bolts: bolt pitch", "60.0 mm", *BY)
    assert run("--records", str(folder), "measured", *read_it).status == 0
    found = told(folder)
    assert [x["what"] for x in found["wrong"]] == ["arm on knuckle, left steering arm, left knuckle"]
    assert found["lines"] == [{"number": "ALDER-141L", "before": 0, "after": 1}]
    assert [x["what"] for x in found["steps"] if x["before"]] == ["left steering arm looked at"]
    ran = changed(folder, *PLAN)
    assert ran.lines.index("WHAT HITS IT") < ran.lines.index("REMARKS")
    whole = changed(folder, *PLAN, "--json").out
    schema = json.loads((ROOT / "docs" / "answers" / "changed-plan.json").read_text(encoding="utf-8"))
    jsonschema.validate(json.loads(whole), schema)
    assert written(read(whole, PlanChangedAnswer)).decode() == whole
