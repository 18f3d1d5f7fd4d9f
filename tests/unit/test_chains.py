"""Number chains: claims with conditions, ends, loops; never a source of sizes, never a support of a joint."""

from __future__ import annotations

from pathlib import Path

import pytest

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.records import records_from_text
from knockon.queries.fits.fits import judge_parts
from knockon.queries.fits.number_chains import chain_of, loops, superseding
from knockon.queries.fits.part import show_part
from knockon.queries.fits.partners import partners_of
from knockon.queries.intake.check import check_records
from tests.unit.small import TABLES, folder_of, world

ROWS = {
    "claims.csv": TABLES["claims.csv"]
    + "HUB-?,superseded by,,HUB-25L,then also change the axle,stall\n"
    + "HUB-?,superseded by,,HUB-25R,then also change the axle,stall\n"
    + "HUB-25L,superseded by,,HUB-20L,,book\n"
}
LOOP = {"claims.csv": ROWS["claims.csv"] + "HUB-20L,superseded by,,HUB-?,,stall\n"}


@pytest.fixture(scope="module")
def chained() -> Catalogue:
    return world(ROWS)


def test_a_chain_is_told_link_by_link_with_its_conditions_and_ends(chained: Catalogue) -> None:
    chain = chain_of(chained, "HUB-?")
    assert [(s.part, s.by, s.condition, s.standing) for s in chain.newer] == [
        ("HUB-?", "HUB-25L", "then also change the axle", "seller"),
        ("HUB-?", "HUB-25R", "then also change the axle", "seller"),
        ("HUB-25L", "HUB-20L", "", "drawing"),
    ]
    assert (chain.ends, chain.offered) == (("HUB-20L", "HUB-25R"), ("HUB-25R",))
    assert [s.part for s in chain_of(chained, "HUB-20L").older] == ["HUB-25L", "HUB-?"]
    assert superseding(chained, "HUB-?") == ("HUB-25L", "HUB-25R")


def test_a_loop_is_found_and_names_no_newest_number() -> None:
    looped = world(LOOP)
    assert loops(looped) == (("HUB-20L", "HUB-?", "HUB-25L", "HUB-20L"),)
    chain = chain_of(looped, "HUB-25L")
    assert [(s.by, s.back) for s in chain.newer] == [("HUB-20L", False), ("HUB-?", False), ("HUB-25L", True),
                                                      ("HUB-25R", False)]  # fmt: skip
    assert chain.ends == ("HUB-25R",)
    assert not loops(world(ROWS))


def test_check_names_the_loop_and_keeps_its_rows(tmp_path: Path) -> None:
    folder = folder_of(tmp_path)
    (folder / "claims.csv").write_text(LOOP["claims.csv"], encoding="utf-8")
    found = [f for f in check_records(folder).findings if "leads back to itself" in f.problem]
    assert [(f.file, f.set_aside) for f in found] == [("claims.csv", False)]


def test_no_size_no_claim_and_no_verdict_goes_by_way_of_a_chain(chained: Catalogue) -> None:
    plain = world()
    assert chained.features == plain.features
    for pair in (("HUB-?", "AXLE-25"), ("HUB-20L", "AXLE-20"), ("HUB-25L", "CAP-1"), ("HUB-?", "STUD-1")):
        ours, theirs = judge_parts(chained, pair), judge_parts(plain, pair)
        assert (ours.verdict, ours.joints) == (theirs.verdict, theirs.joints)


def test_answers_say_that_a_number_is_superseded(chained: Catalogue) -> None:
    assert [s.by for s in judge_parts(chained, ["HUB-?", "AXLE-25"]).superseded] == ["HUB-25L", "HUB-25R"]
    assert show_part(chained, "HUB-?").chain == chain_of(chained, "HUB-?")
    assert not [c for c in show_part(chained, "HUB-?").claims if "superseded" in c]
    answer = partners_of(chained, "AXLE-25")
    assert {p.number: p.superseded_by for j in answer.joints for p in j.partners}["HUB-?"] == ("HUB-25L", "HUB-25R")
    assert partners_of(chained, "HUB-25L").superseded_by == ("HUB-20L",)


def test_a_successor_that_nobody_recorded_is_a_finding() -> None:
    records = records_from_text(
        {**TABLES, "claims.csv": TABLES["claims.csv"] + "HUB-?,superseded by,,NO-SUCH,,stall\n"}
    )
    assert [f.column for f in records.findings if f.set_aside] == ["other part"]
