"""Superseded numbers, hands and pairs in what is ordered: said where the line stands, and judged by sizes alone."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from knockon.graph.records import records_from_text
from knockon.queries.fits.number_chains import chains_of
from knockon.queries.plan.kit import check_kit
from tests.commands.running import full, run
from tests.unit.test_ready_made import CAR, PARTS

CLAIMS = """part,claim,vehicle,other part,text,source
J-25,superseded by,,J-26,from 1962 on,book
J-26,superseded by,,J-27,,book
F-25,superseded by,,F-26,,book
F-25,superseded by,,F-27,,book
N-18,superseded by,,N-19,,book
B-28,superseded by,,B-29,,book
B-29,superseded by,,B-28,,book
"""
MORE = """J-26,outer joint,outer joint,either,no,book
J-27,outer joint,outer joint,either,no,book
F-26,flange,drive flange,either,no,book
F-27,flange,drive flange,either,no,book
N-19,nut,hub nut,either,no,book
B-29,bearing,wheel bearing,either,no,book
C-L,caliper,caliper,left,no,book
C-R,caliper,caliper,right,no,book
"""
MIRRORS = {"part": "mirror of", "C-L": "C-R", "C-R": "C-L"}
OFFERED = ("R-120", "J-25", "F-25", "F-26", "B-28")
TABLES = {
    **CAR,
    "parts.csv": "".join(f"{line},{MIRRORS.get(line.split(',')[0], '')}\n" for line in (PARTS + MORE).splitlines()),
    # what is newer has sizes of its own, and other ones
    "features/bolt_circle.csv": CAR["features/bolt_circle.csv"]
    + "F-26,rotor circle,4,90 mm,book\nF-27,rotor circle,4,90 mm,book\n",
    "features/journal.csv": CAR["features/journal.csv"] + "J-26,journal,40 mm,book\nJ-27,journal,40 mm,book\n",
    "features/rolling_bearing.csv": CAR["features/rolling_bearing.csv"] + "B-29,bearing,ball,35 mm,52 mm,book\n",
    "features/nut.csv": CAR["features/nut.csv"] + "N-19,nut,M30x2,16 mm,book\n",
    "claims.csv": CLAIMS,
    "suppliers.csv": "supplier,title,postage\nShop,a shop,5\n",
    "offers.csv": "supplier,part,price\n" + "".join(f"Shop,{n},10\n" for n in OFFERED),
}
WANT = ("--want", "rotor=R-120")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("chains")
    for name, text in TABLES.items():
        path = made / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return made


@pytest.mark.parametrize("question", ["swap", "order"])
def test_an_order_says_of_each_superseded_number_what_it_is_now(folder: Path, question: str) -> None:
    said = run("--records", str(folder), question, "mine", *WANT).flowing
    assert "J-25 is said to be superseded: now J-26 (from 1962 on). The chain ends at J-27. Nobody offers J-27." in said
    assert "knockon tell-apart J-25 J-27" in said
    assert "F-25 is said to have become F-26 and F-27. Look whether you need all of them." in said
    assert "Nobody offers F-27." in said and "Nobody offers F-26" not in said
    assert "B-28 is said to be superseded: now B-29. These numbers lead back to each other" in said
    assert "N-18 is said" not in said  # it is on the vehicle and goes


@pytest.mark.parametrize("option", ["--why", "--evidence", "--full"])
def test_the_whole_chain_is_shown_on_demand(folder: Path, option: str) -> None:
    said = run("--records", str(folder), "swap", "mine", *WANT, option).flowing
    assert "SUPERSEDED NUMBERS" in said and "J-26 is superseded by" in said


def test_a_chain_takes_over_no_size_and_changes_no_plan(folder: Path, tmp_path: Path) -> None:
    """The same records without the claims give the same order."""
    for name, text in {**TABLES, "claims.csv": CLAIMS.splitlines()[0] + "\n"}.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    plans = [
        full(run("--records", str(where), "swap", "mine", *WANT, "--json").out)["result"]["plan"]
        for where in (folder, tmp_path)
    ]
    with_claims, without = (dict(plan) for plan in plans)
    assert [c["part"] for c in with_claims.pop("superseded")] == ["B-28", "F-25", "J-25"]
    assert without.pop("superseded") == []
    assert with_claims["filled"] == without["filled"] and with_claims["costs"] == without["costs"]


def test_only_what_is_said_to_be_superseded_has_a_chain() -> None:
    catalogue = records_from_text(TABLES).catalogue
    found = chains_of(catalogue, ["J-27", "J-26", "R-120", "F-25", "J-26"])
    assert [(c.part, [s.by for s in c.direct], c.chain.ends) for c in found] == [
        ("F-25", ["F-26", "F-27"], ("F-26", "F-27")),
        ("J-26", ["J-27"], ("J-27",)),
    ]


@pytest.mark.parametrize(
    ("kit", "one_sided"),
    [
        ("C-L x2", [("caliper", "left", 2)]),
        ("C-R x2, R-120 x2", [("caliper", "right", 2)]),
        ("C-L, C-R", []),
        ("C-L", []),
        ("C-L x2, C-1", []),
        ("R-120 x2", []),
    ],
)
def test_a_kit_with_two_of_one_side_is_told(folder: Path, kit: str, one_sided: list[tuple[str, str, int]]) -> None:
    catalogue = records_from_text(TABLES).catalogue
    answer = check_kit(catalogue, kit, "mine", want=("rotor=R-120",))
    assert [(o.part_type, o.hand, o.quantity) for o in answer.one_sided] == one_sided
    ran = run("--records", str(folder), "kit", kit, "--for", "mine", *WANT)
    assert ("A pair is one left and one right." in ran.flowing) is bool(one_sided)
    told = json.loads(run("--records", str(folder), "kit", kit, "--for", "mine", *WANT, "--json").out)
    assert len(told["result"]["one_sided"]) == len(one_sided)


def test_how_to_see_the_hand_is_shown_on_demand(folder: Path) -> None:
    wish = ("--want", "left caliper=C-L")
    said = run("--records", str(folder), "swap", "mine", *wish, "--evidence")
    assert said.status in (0, 1), said.err
    assert "LEFT OR RIGHT" in said.flowing and "Caliper: How to see its hand" in said.flowing
    assert "LEFT OR RIGHT" not in run("--records", str(folder), "swap", "mine", *WANT, "--evidence").flowing
