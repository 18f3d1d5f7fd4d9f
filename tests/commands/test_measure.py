"""``knockon measure``: the fewest readings that decide a plan, each with its tool, turning value and what to type."""

from __future__ import annotations

import json
import shlex
from pathlib import Path

import pytest

from knockon.queries.plan.swap import Turns
from knockon.queries.ui.commands.plan import swap
from tests.commands.running import run
from tests.unit.small import TABLES, folder_of

SAME = "HUB-20X,hub 20 improved,drive flange,either,no,,,book\n"
WISH = ("--want", "hub=HUB-20X")


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A cart whose hubs shall be others that suit its axle, if the axle is what its number says."""
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    own = folder_of(tmp_path / "own")
    (own / "parts.csv").write_text(TABLES["parts.csv"] + SAME, encoding="utf-8")
    bores = TABLES["features/register_bore.csv"] + "HUB-20X,bore,20.05 mm ±0.01 mm,book\n"
    (own / "features/register_bore.csv").write_text(bores, encoding="utf-8")
    return own


def unfolded(page: str) -> str:
    """A page with the commands in it as a shell reads them."""
    return " ".join(page.replace("\\\n", " ").split())


def asked(folder: Path, *words: str) -> dict:  # type: ignore[type-arg]
    ran = run("--json", *words[:1], "--records", str(folder), *words[1:])
    assert ran.out, ran.err
    found: dict = json.loads(ran.out)  # type: ignore[type-arg]
    return {**found["result"], "status": ran.status}


def test_the_reading_its_tool_and_where_it_turns_the_plan(folder: Path) -> None:
    """The bore is 20.04 to 20.06 mm, the play 0 to 0.15 mm, the caliper off by 0.02 mm either way: the axle may read
    19.93 to 20.02 mm; then it is not known, which is worse than a new axle."""
    (one,) = asked(folder, "measure", "my-cart", *WISH)["readings"]
    assert (one["what"], one["tool"], one["within"], one["unit"]) == ("axle, seat: diameter", "caliper", 0.02, "mm")
    assert one["expected"] == ["20 mm"] and one["decides"] == ["hubs"] and one["checks"] == ["hub on axle"]
    assert [(t["value"], t["unit"], t["holds"]) for t in one["turning"]] == [(20.02, "mm", True), (19.93, "mm", True)]
    assert all(set(t["then"]) >= {"axle"} or set(t["then"]) >= {"left hub"} for t in one["turning"])


def test_what_the_page_says_to_type_can_be_typed(folder: Path) -> None:
    ran = run("measure", "--records", str(folder), "my-cart", *WISH)
    assert "The plan turns at 20.02 mm (there it still holds) or 19.93 mm (there it still holds)." in ran.flowing
    (line,) = [line for line in ran.out.replace("\\\n", " ").splitlines() if line.strip().startswith("Type: ")]
    words = shlex.split(line.strip().removeprefix("Type: "))[1:]
    assert words[-3:] == ["measured", "my-cart", "axle, seat: diameter"]
    typed = run(*words, "20.00 mm")
    assert typed.status == 0, typed.err
    assert asked(folder, "measure", "my-cart", *WISH).get("readings", []) == []
    assert "Nothing is left to measure" in run("measure", "--records", str(folder), "my-cart", *WISH).flowing


def test_a_reading_past_the_turning_value_does_turn_the_plan(folder: Path) -> None:
    for value, same in (("20.02 mm", True), ("20.021 mm", False), ("19.93 mm", True), ("19.929 mm", False)):
        plan = asked(folder, "measured", "my-cart", "axle, diameter", value, "--tool", "caliper", *WISH)["plan"]
        assert ("places" not in plan) is same, (value, plan)
        assert run("measured", "--records", str(folder), "my-cart", "axle, diameter", "--withdraw").status == 0


def test_a_reading_says_where_it_would_turn_the_plan(folder: Path) -> None:
    plan = asked(folder, "measured", "my-cart", "axle, diameter", "20.00 mm ±0.01 mm", *WISH)["plan"]
    (turns,) = plan["turns"]
    assert [(t["value"], t["holds"]) for t in turns["turning"]] == [(20.03, True), (19.92, True)]


def test_in_inches_it_turns_in_inches(folder: Path) -> None:
    plan = asked(folder, "measured", "my-cart", "axle, diameter", "0.7874 in ±0.01 mm", *WISH)["plan"]
    (turns,) = plan["turns"]
    assert [(round(t["value"] * 25400, 2), t["unit"]) for t in turns["turning"]] == [(20030, "in"), (19920, "in")]


def test_the_first_page_of_a_swap_shows_them_in_short(folder: Path) -> None:
    for more in ((), ("--turning",)):
        (first,) = asked(folder, "swap", "my-cart", *WISH, *more)["measure_first"]
        assert [t["value"] for t in first["turning"]] == [20.02, 19.93]
        page = run("swap", "--records", str(folder), "my-cart", *WISH, *more).flowing
        expected = "1. axle, seat: diameter. Expect 20 mm (0.787 in). The plan turns beyond 20.02"
        assert f"{expected} or 19.93 mm." in page


def test_a_swap_among_many_parts_says_that_they_are_left_out(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(swap, "FIRST_PAGE", Turns(5, 3))
    found = asked(folder, "swap", "my-cart", *WISH)
    assert "turning" not in found["measure_first"][0] and found["turning_left_out"] > 3
    assert "Turning values are left out" in run("swap", "--records", str(folder), "my-cart", *WISH).flowing
    with_values = asked(folder, "swap", "my-cart", *WISH, "--turning")
    assert with_values["measure_first"][0]["turning"] and not with_values.get("turning_left_out")


def test_what_is_not_shown_is_not_worked_out(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("knockon.queries.plan.swap.with_turning", None)
    assert run("swap", "--records", str(folder), "my-cart", *WISH, "--why").status in (0, 1)


def test_where_nothing_is_expected_the_readings_that_keep_the_plan_are_shown(folder: Path) -> None:
    """The bore is 20.04 to 20.06 mm, the play 0 to 0.15 mm, the caliper off by 0.02 mm either way: outside 19.87 to
    20.08 mm the hub surely does not fit. Inside it may not be known, nor is anything of a new axle of its number."""
    seats = folder / "features/spigot.csv"
    lines = seats.read_text(encoding="utf-8").splitlines()
    seats.write_text("\n".join(x for x in lines if not x.startswith("AXLE-20,")) + "\n", encoding="utf-8")
    (one,) = asked(folder, "measure", "my-cart", *WISH)["readings"]
    assert not one["expected"] and one["turns"]["is_"] == "range"
    assert [(k["low"], k["high"], k["unit"]) for k in one["turns"]["between"]] == [(19.87, 20.08, "mm")]
    said = "Nothing is expected. Readings that keep the plan: 19.87 to 20.08 mm."
    assert said in run("measure", "--records", str(folder), "my-cart", *WISH).flowing


def test_each_line_of_measure_first_says_what_to_type(folder: Path) -> None:
    ran = run("swap", "--records", str(folder), "my-cart", *WISH, "--measure")
    assert f"Type: knockon --records {folder} measured my-cart 'axle, seat: diameter'" in unfolded(ran.out)


def test_no_plan_and_no_wish(folder: Path) -> None:
    ran = run("measure", "--records", str(folder), "my-cart", *WISH, "--avoid", "HUB-20X")
    assert ran.status in (1, 2)
    assert run("measure", "--records", str(folder), "my-cart").status == 2
