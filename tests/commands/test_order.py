"""``knockon order`` as a user runs it: the demo's orders under each condition, letters, sheets, mistakes."""

from __future__ import annotations

import csv
import json
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from knockon.queries.ui.command_line import knockon

ASKED = ("order", "tansy-m080", "--want", "rotor=LARCH-201")


def ran(*words: str) -> tuple[int, str]:
    """Exit status and what is printed."""
    result = CliRunner().invoke(knockon, [*words])
    return result.exit_code, result.output


def answer(*words: str) -> dict[str, Any]:
    """The answer as JSON."""
    status, printed = ran("--json", *ASKED, *words)
    assert status == 0, printed
    found: dict[str, Any] = json.loads(printed)["result"]
    return found


def kits(order: dict[str, Any]) -> list[str]:
    """The kits of an order."""
    return [line["kit"] for line in order["lines"] if line.get("kit")]


@pytest.mark.parametrize(
    ("accept", "total", "bought", "kit", "below"),
    [
        ((), "1688.40", ["K4"], "K1", "1151.60"),
        (("unproven=2",), "1636.80", ["K1", "K4"], "", ""),
        (("changes=1", "unproven=1"), "1640.40", ["K4"], "", ""),
        (("changes=1", "unproven=3"), "1588.80", ["K1", "K4"], "", ""),
    ],
)
def test_the_demo_under_each_condition(
    accept: tuple[str, ...], total: str, bought: list[str], kit: str, below: str
) -> None:
    """The totals were added up by hand from the demo's price lists."""
    found = answer(*(word for a in accept for word in ("--accept", a)))
    cheapest = found["orders"][0]
    assert (cheapest["name"], cheapest["total"], cheapest["parcels"], cheapest["optimal"]) == (
        "cheapest", total, 4, True,
    )  # fmt: skip
    assert kits(cheapest) == bought
    assert cheapest["surcharges"] == ("0.00" if "K1" in bought else "150.00")
    fewest = next(o for o in found["orders"] if o["name"] == "fewest parcels")
    assert fewest["parcels"] == 4  # every supply needs all four suppliers
    if kit:
        rival = next(r for r in found["rivals"] if r["kit"] == kit)
        assert (rival["bought"], rival["below"], rival["total"]) == (True, below, "1726.80")
    if accept == ("unproven=2",):
        loose = next(r for r in found["rivals"] if r["kit"] == "K1")
        assert (loose["bought"], loose["total"]) == (False, "1668.40")


def test_the_first_page_says_what_to_do_and_ends_with_what_is_next() -> None:
    status, printed = ran(*ASKED)
    assert status == 0
    lines = printed.splitlines()
    assert lines[2].startswith("Ask the questions below, then order 37 lines from 4 suppliers for 1688.40.")
    assert "K1 from Dunmallow Spares wins if it costs less than 1151.60." in printed
    assert [line for line in lines if line.startswith("next:")] == [
        "next: knockon swap tansy-m080 --want rotor=LARCH-201 --measure"
    ]
    assert max(map(len, lines)) <= 100
    assert printed == ran(*ASKED)[1]


def test_a_letter_asks_exactly_what_is_not_known() -> None:
    status, printed = ran(*ASKED, "--accept", "unproven=2", "--letter", "dunmallow spares")
    assert status == 0
    assert 'What does "all fittings" in your kit K1 contain, and how many of each?' in printed
    assert "LARCH-203L caliper, slot: please measure the bridge radius." in printed
    assert "Do you have enough of these, and when can you send them: HAZEL-201, LARCH-206L/R?" in printed
    assert "pattern" not in printed


def test_sheets_for_each_supplier(tmp_path: Path) -> None:
    folder = tmp_path / "sheets"
    status, printed = ran(*ASKED, "--sheets", str(folder))
    assert status == 0, printed
    names = ["dunmallow-spares", "fennick-oyle", "kettlewray-brake-works", "sorrelby-axle-shop"]
    assert sorted(p.name for p in folder.iterdir()) == sorted(f"{n}.{e}" for n in names for e in ("csv", "txt", "xlsx"))
    with (folder / "fennick-oyle.csv").open(encoding="utf-8", newline="") as stream:
        rows = list(csv.DictReader(stream))
    assert [(r["part or kit"], r["quantity"], r["price"], r["amount"]) for r in rows if r["part or kit"] == "K4"] == [
        ("K4", "1", "88.00", "88.00")
    ]
    from python_calamine import CalamineWorkbook

    book = CalamineWorkbook.from_path(str(folder / "fennick-oyle.xlsx"))
    assert book.sheet_names == ["order", "letter"]
    assert len(book.get_sheet_by_name("order").to_python()) == len(rows) + 1
    again = tmp_path / "again"
    assert ran(*ASKED, "--sheets", str(again))[0] == 0
    for file in folder.iterdir():
        assert file.read_bytes() == (again / file.name).read_bytes()
    status, printed = ran(*ASKED, "--sheets", str(folder))
    assert status == 2
    assert "already exists" in printed


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("order", "tansy-m080"), "Say what you want"),
        ((*ASKED, "--accept", "price=1"), "Write changes=1 or unproven=1"),
        ((*ASKED, "--letter", "nobody"), "nobody is not in this order. Its suppliers: Dunmallow Spares"),
    ],
)
def test_mistakes(words: tuple[str, ...], said: str) -> None:
    result = CliRunner().invoke(knockon, [*words])
    assert said in " ".join((result.output + str(result.exception)).split())
    assert result.exit_code != 0
