"""``knockon goods-in`` as a user runs it: what to check, what readings say, accepting, rejecting, asking, going on."""

from __future__ import annotations

import json
import shutil
from pathlib import Path
from typing import Any

import jsonschema  # type: ignore[import-untyped]
import pytest

from knockon.graph.jobs.store import read_job
from knockon.queries.job.goods_in import GoodsIn
from knockon.queries.ui.document import read, written
from tests.commands.running import Ran, run
from tests.commands.test_order_of_plan import BY, asked, cheapest, order
from tests.commands.test_order_of_plan import cart as cart

ROOT = Path(__file__).parents[2]
PLAN = ("--plan", "New brakes")


@pytest.fixture
def placed(cart: Path) -> Path:
    assert order(cart, *PLAN, "--place", "cheapest", *BY).status == 0
    return cart


@pytest.fixture(scope="module")
def discs(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's plan, ordered."""
    folder = tmp_path_factory.mktemp("discs") / "records"
    shutil.copytree(ROOT / "data_demo", folder)
    made = order(folder, "tansy-m080", "--want", "rotor=LARCH-201", "--plan", "discs", "--place", "cheapest", *BY)
    assert made.status == 0, made.err
    return folder


def goods(folder: Path, *words: str) -> Ran:
    return run("--records", str(folder), "goods-in", *words)


def card(folder: Path, plan: str = "New brakes") -> dict[str, Any]:
    ran = run("--records", str(folder), "--json", "goods-in", "--plan", plan)
    assert ran.status in (0, 1), ran.err
    found: dict[str, Any] = json.loads(ran.out)["result"]
    return found


def lines(found: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {x["line"]["part"]: x for parcel in found["parcels"] for x in parcel["lines"]}


def test_accepting_in_parts_until_all_is_here(placed: Path) -> None:
    some = goods(placed, *PLAN, "--accept", "n1", "--quantity", "5", *BY)
    assert some.status == 1 and "Accepted: 5 N1 from Ash." in some.lines
    stand = lines(card(placed))["N1"]["line"]
    assert (stand["accepted"], stand["outstanding"]) == (5, 3)
    too_many = goods(placed, *PLAN, "--accept", "N1", "--quantity", "4", *BY)
    assert too_many.status == 2 and "3 are still to come" in " ".join(too_many.err.split())
    for part in ("N1", "R1"):
        assert goods(placed, *PLAN, "--accept", part, *BY).status == 1
    last = goods(placed, *PLAN, "--accept", "C1", *BY)
    assert last.status == 0 and "Everything that was ordered is accepted." in last.flowing
    assert "job-card" in last.lines[-2] + last.lines[-1] + last.flowing


def test_rejecting_prints_the_text_to_the_seller_and_the_order_goes_on(placed: Path) -> None:
    silent = goods(placed, *PLAN, "--reject", "R1", "--quantity", "1", *BY)
    assert silent.status == 2 and "say why" in silent.err
    ran = goods(placed, *PLAN, "--reject", "R1", "--quantity", "1", "--why", "Cracked at the hub.", *BY)
    assert ran.status == 1
    assert "To Ash: I cannot use 1 of R1" in ran.flowing and "Cracked at the hub." in ran.lines
    assert cheapest(asked(placed)) == [("Beech", "R1", 1)]
    assert lines(card(placed))["R1"]["line"]["why"] == ["Cracked at the hub."]


def test_a_word_can_be_corrected(placed: Path) -> None:
    goods(placed, *PLAN, "--accept", "R1", *BY)
    goods(placed, *PLAN, "--reject", "R1", "--quantity", "1", "--why", "bent", *BY)
    stand = lines(card(placed))["R1"]["line"]
    assert (stand["accepted"], stand["rejected"], stand.get("outstanding", 0)) == (1, 1, 0)
    goods(placed, *PLAN, "--accept", "R1", *BY)
    stand = lines(card(placed))["R1"]["line"]
    assert (stand["accepted"], stand.get("rejected", 0)) == (2, 0)
    assert cheapest(asked(placed)) == []


def test_asking_keeps_a_part_outstanding(placed: Path) -> None:
    ran = goods(placed, *PLAN, "--ask", "C1", "--why", "Which hand is it?", *BY)
    assert "I have a question" in ran.flowing and "Please answer before I fit it." in ran.lines
    stand = lines(card(placed))["C1"]["line"]
    assert (stand["asked"], stand["outstanding"]) == (2, 2)


def test_what_is_missing_from_the_card(placed: Path) -> None:
    assert "was not ordered" in goods(placed, *PLAN, "--accept", "R9", *BY).err
    assert "was not ordered from Beech" in " ".join(
        goods(placed, *PLAN, "--accept", "R1", "--from", "Beech", *BY).err.split()
    )
    assert goods(placed, *PLAN, "--accept", "R1").status == 2
    assert goods(placed, *PLAN, "--accept", "R1", "--reject", "C1", *BY).status == 2
    assert goods(placed, *PLAN, "--quantity", "2", *BY).status == 2
    assert goods(placed, "--plan", "nothing").status == 2
    assert not read_job(placed, "New brakes").received


def test_nothing_comes_where_nothing_was_ordered(cart: Path) -> None:
    refused = goods(cart, *PLAN)
    assert refused.status == 2 and "nothing was ordered" in refused.err


def test_the_demo_says_what_to_check_on_one_screen(discs: Path) -> None:
    page = goods(discs, "--plan", "discs")
    assert page.status == 1 and len(page.lines) < 60
    assert "0 of 89 parts accepted, 89 outstanding, 0 rejected." in page.lines
    found = card(discs, "discs")
    by_part = lines(found)
    left = by_part["LARCH-203L"]
    assert left["hand"] == "left" and left["hand_sign"]
    assert sum(x["line"]["ordered"] for x in by_part.values()) == 89
    assert any(x.get("sizes") for x in by_part.values())
    for check in found["bench"]:
        assert check["verdict"] != "does not fit" and check["places"]


def test_limits_of_a_size_decide_what_a_reading_says(discs: Path) -> None:
    """Each size with two limits: a reading in the middle is accepted, one well outside refused."""
    found = card(discs, "discs")
    sizes = [
        (part, s)
        for part, line in sorted(lines(found).items())
        for s in line.get("sizes", ())
        if s.get("low") is not None
        and s.get("high") is not None
        and s.get("unit") == "mm"
        and s["high"] - s["low"] > 0.2
    ]
    assert sizes
    part, size = sizes[0]
    name = f"{size['feature']}: {size['dimension']}"
    outside = f"{name} = {size['high'] + 1:.3f} mm ±0.01 mm"
    refused = goods(discs, "--plan", "discs", "--accept", part, "--reading", outside, *BY)
    assert refused.status == 2 and "outside the limits" in " ".join(refused.err.split())
    inside = f"{name} = {(size['low'] + size['high']) / 2:.3f} mm ±0.01 mm"
    taken = goods(discs, "--plan", "discs", "--accept", part, "--quantity", "1", "--reading", inside, *BY)
    assert taken.status == 1 and "accept. It lies within the limits" in taken.flowing
    assert lines(card(discs, "discs"))[part]["line"]["readings"] == [inside]


def test_the_answer_is_of_its_published_schema_and_is_read_back_to_the_byte(discs: Path) -> None:
    """Also of a schema that forbids what it does not name."""
    text = run("--records", str(discs), "--json", "goods-in", "--plan", "discs").out
    schema = json.loads((ROOT / "docs" / "answers" / "goods-in.json").read_text(encoding="utf-8"))
    for part in schema["$defs"].values():
        if "properties" in part:
            part["additionalProperties"] = False
    jsonschema.validate(json.loads(text), schema, cls=jsonschema.Draft202012Validator)
    assert written(read(text.encode(), GoodsIn)) == text.encode()


def test_the_page_to_print_has_the_same_bytes_twice_and_is_never_written_over(discs: Path, tmp_path: Path) -> None:
    one, other = tmp_path / "a.pdf", tmp_path / "b.pdf"
    for file in (one, other):
        assert goods(discs, "--plan", "discs", "--print", str(file)).status == 1
    assert one.read_bytes() == other.read_bytes() and one.read_bytes().startswith(b"%PDF")
    refused = goods(discs, "--plan", "discs", "--print", str(one))
    assert refused.status == 2 and "is there already" in " ".join(refused.err.split())


def test_look_alikes_are_named_with_what_tells_them_apart(discs: Path) -> None:
    alike = {part: x["look_alikes"] for part, x in lines(card(discs, "discs")).items() if x.get("look_alikes")}
    assert alike
    for part, others in alike.items():
        for other in others:
            assert other["part"] != part
            assert bool(other.get("differs")) == other["told_apart"]
