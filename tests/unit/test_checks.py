"""Checks between candidates: claims, kept sides, notes of work, what is remembered, what a vehicle as made has."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place, Places
from knockon.graph.model.things import Fitting
from knockon.queries.fits.checking.candidates import Candidate, new_parts, staying
from knockon.queries.fits.checking.checks import Checks, JointResult
from tests.unit.small import AXLE, LEFT, TABLES, with_rows, world


def checks_of(catalogue: Catalogue) -> Checks:
    return Checks(catalogue, Places(catalogue.layouts["cart axle"]))


def candidate(checks: Checks, place: Place, number: str, stays: bool = False) -> Candidate:
    found = [c for c in new_parts(checks.catalogue, checks.places, place) if c.number == number]
    return replace(found[0], stays=stays)


def joint(checks: Checks, hub: str, axle: str, stays: tuple[bool, bool] = (False, False)) -> JointResult:
    at = next(j for j in checks.places.joints if j.joint.joint == "hub on axle" and j.side == "left")
    return checks.joint(at, candidate(checks, LEFT, hub, stays[0]), candidate(checks, AXLE, axle, stays[1]))


def test_sizes_decide() -> None:
    checks = checks_of(world())
    assert joint(checks, "HUB-20L", "AXLE-20").verdict is Verdict.FITS
    assert joint(checks, "HUB-20L", "AXLE-25").verdict is Verdict.DOES_NOT_FIT
    assert joint(checks, "HUB-25L", "AXLE-20").verdict is Verdict.DO_NOT_USE
    assert joint(checks, "PAIR-25", "AXLE-25").verdict is Verdict.FITS


def test_what_is_kept_is_on_paper_until_it_is_read() -> None:
    checks = checks_of(world())
    assert joint(checks, "HUB-20L", "AXLE-20", (False, True)).verdict is Verdict.FITS_ON_PAPER
    assert joint(checks, "HUB-20L", "AXLE-25", (False, True)).verdict is Verdict.DOES_NOT_FIT


@pytest.mark.parametrize(
    ("source", "verdict"),
    [("survey", Verdict.FITS), ("N1", Verdict.FITS_ON_PAPER), ("stall", Verdict.FITS_ON_PAPER)],
)
def test_what_is_said_of_an_item_computes_and_its_source_says_how_much_it_proves(source: str, verdict: Verdict) -> None:
    """The number's drawing says 20 mm, on which this hub does not go."""
    rows = with_rows("features/spigot.csv", f"odd-axle,seat,25.00 mm,{source}")
    bores = {"features/register_bore.csv": "part,feature,diameter,source\nHUB-25L,bore,25 mm,book\n"}
    checks = checks_of(world(rows | bores))
    at = next(j for j in checks.places.joints if j.joint.joint == "hub on axle" and j.side == "left")
    fitting = Fitting("axle", item="odd-axle")
    kept = next(staying(checks.catalogue, AXLE, fitting))
    assert checks.joint(at, candidate(checks, LEFT, "HUB-25L"), kept).verdict is verdict


@pytest.mark.parametrize(
    ("of", "verdict"), [("odd-axle", Verdict.FITS), ("AXLE-20", Verdict.FITS_ON_PAPER)], ids=["of it", "of its number"]
)
def test_what_was_read_on_another_thing_of_its_number_proves_nothing_of_this_one(of: str, verdict: Verdict) -> None:
    checks = checks_of(world(with_rows("features/spigot.csv", f"{of},seat,20.00 mm,survey")))
    at = next(j for j in checks.places.joints if j.joint.joint == "hub on axle" and j.side == "left")
    kept = next(staying(checks.catalogue, AXLE, Fitting("axle", item="odd-axle")))
    assert checks.joint(at, candidate(checks, LEFT, "HUB-20L"), kept).verdict is verdict


def test_an_unknown_part_counts_first_unless_only_what_stays_is_unmeasured() -> None:
    checks = checks_of(world())
    new = joint(checks, "HUB-?", "AXLE-25")
    assert (new.verdict, new.counts_first) == (Verdict.NOT_KNOWN, True)
    kept = joint(checks, "HUB-?", "AXLE-25", (True, False))
    assert (kept.verdict, kept.counts_first) == (Verdict.NOT_KNOWN, False)


CLAIMS = {
    "goes with": "HUB-?,goes with,,AXLE-25,,stall",
    "goes with, the other way round": "AXLE-25,goes with,,HUB-?,,stall",
    "listed for the vehicle as made": "HUB-?,listed for,big-cart,,,stall",
    "same as a part that is listed": "HUB-?,same as,,HUB-25L,,stall",
}


@pytest.mark.parametrize("claim", CLAIMS)
def test_a_claim_supports_what_has_no_sizes(claim: str) -> None:
    rows = [CLAIMS[claim]] + (["HUB-25L,listed for,big-cart,,,book"] if "same as" in claim else [])
    checks = checks_of(world(with_rows("claims.csv", *rows)))
    result = joint(checks, "HUB-?", "AXLE-25")
    assert (result.verdict, result.weighing.claimed, result.counts_first) == (Verdict.FITS_ON_PAPER, True, False)
    assert joint(checks, "HUB-?", "AXLE-20").verdict is Verdict.NOT_KNOWN  # another axle than the one as made


IDENTITIES = {
    "as it is written": ["HUB-?,same as,,HUB-25L,,stall"],
    "the other way round": ["HUB-25L,same as,,HUB-?,,stall"],
    "through a third": ["HUB-?,same as,,GREASE,,stall", "GREASE,same as,,HUB-25L,,N1"],
    "through a third, both ways": ["GREASE,same as,,HUB-?,,stall", "GREASE,same as,,HUB-25L,,N1"],
    "in a ring": ["HUB-?,same as,,GREASE,,N1", "GREASE,same as,,HUB-25L,,N1", "HUB-25L,same as,,HUB-?,,stall"],
}


@pytest.mark.parametrize("way", IDENTITIES)
def test_what_is_claimed_of_a_part_is_claimed_of_all_that_are_said_to_be_the_same(way: str) -> None:
    checks = checks_of(world(with_rows("claims.csv", *IDENTITIES[way], "HUB-25L,goes with,,AXLE-25,,book")))
    assert joint(checks, "HUB-?", "AXLE-25").verdict is Verdict.FITS_ON_PAPER
    assert joint(checks, "HUB-?", "AXLE-20").verdict is Verdict.NOT_KNOWN
    assert joint(checks, "HUB-25L", "AXLE-20").verdict is Verdict.DO_NOT_USE  # its own size stands


def test_the_claims_that_stand_in_are_told_with_their_sources() -> None:
    rows = ["HUB-25L,same as,,HUB-?,,stall", "HUB-25L,goes with,,AXLE-25,,book", "HUB-25L,listed for,big-cart,,,book"]
    checks = checks_of(world(with_rows("claims.csv", *rows)))
    said = checks.claims.said(candidate(checks, LEFT, "HUB-?"), candidate(checks, AXLE, "AXLE-25"))
    assert [(c.part, c.claim, c.vehicle or c.other_part, c.source) for c in said] == [
        ("HUB-25L", "same as", "HUB-?", "stall"), ("HUB-25L", "goes with", "AXLE-25", "book"),
    ]  # fmt: skip
    assert checks.claims.said(candidate(checks, LEFT, "HUB-?"), candidate(checks, AXLE, "AXLE-20")) == ()


def test_a_claim_never_overrules_a_size() -> None:
    checks = checks_of(world(with_rows("claims.csv", "HUB-20L,goes with,,AXLE-25,,book")))
    assert joint(checks, "HUB-20L", "AXLE-25").verdict is Verdict.DOES_NOT_FIT


def test_no_size_is_taken_over_through_same_as() -> None:
    checks = checks_of(world(with_rows("claims.csv", "HUB-?,same as,,HUB-25L,,stall")))
    assert checks.catalogue.features_of("HUB-?") == {}
    assert joint(checks, "HUB-?", "AXLE-25").verdict is Verdict.NOT_KNOWN


def test_a_set_supports_its_own_members() -> None:
    catalogue = world({"claims.csv": "part,claim,vehicle,other part,text,source\n"})
    checks = checks_of(catalogue)
    at = next(j for j in checks.places.joints if j.joint.joint == "cap on hub" and j.side == "left")
    pair = [candidate(checks, p, "PAIR-25") for p in (at.first, at.second)]
    assert checks.joint(at, pair[0], pair[1]).verdict is Verdict.FITS_ON_PAPER
    assert checks.joint(at, candidate(checks, at.first, "CAP-1"), pair[1]).verdict is Verdict.NOT_KNOWN


def test_a_members_note_of_work_lifts_a_joint_that_is_not_critical() -> None:
    note = "N2,2021,m2,needed filing,CAP-1;HUB-25L,cap on hub,made to fit,N1"
    header = "note,date,member,text,parts,joint,outcome,source,work done\n"
    notes = header + note + ",filed the rim\n"
    empty = "part,claim,vehicle,other part,text,source\n"
    another = with_rows("parts.csv", "CAP-2,another cap,hub washer or collar,either,yes,,,book")
    checks = checks_of(world({"notes.csv": notes, "claims.csv": empty, **another}))
    at = next(j for j in checks.places.joints if j.joint.joint == "cap on hub" and j.side == "left")
    cap = candidate(checks, at.first, "CAP-1")
    unnamed = candidate(checks, at.first, "CAP-2")
    assert checks.joint(at, unnamed, candidate(checks, at.second, "HUB-25L")).verdict is Verdict.NOT_KNOWN
    assert checks.joint(at, cap, candidate(checks, at.second, "HUB-25L")).verdict is Verdict.FITS_WITH_WORK
    assert checks.joint(at, cap, candidate(checks, at.second, "HUB-20L")).verdict is Verdict.NOT_KNOWN
    critical = TABLES["joints.csv"].replace("other reached,owns", "other reached,owns,safety critical")
    critical = critical.replace("hub,rim,fitting place,,,", "hub,rim,fitting place,,,,yes")
    checks = checks_of(world({"notes.csv": notes, "claims.csv": empty, "joints.csv": critical}))
    at = next(j for j in checks.places.joints if j.joint.joint == "cap on hub" and j.side == "left")
    pair = [candidate(checks, at.first, "CAP-1"), candidate(checks, at.second, "HUB-25L")]
    assert checks.joint(at, pair[0], pair[1]).verdict is Verdict.NOT_KNOWN


def test_a_note_of_work_on_parts_that_meet_at_one_joint_need_not_name_it() -> None:
    note = "N2,2021,m2,needed filing,CAP-1;HUB-25L,,made to fit,N1,filed the rim\n"
    header = "note,date,member,text,parts,joint,outcome,source,work done\n"
    empty = "part,claim,vehicle,other part,text,source\n"
    checks = checks_of(world({"notes.csv": header + note, "claims.csv": empty}))
    at = next(j for j in checks.places.joints if j.joint.joint == "cap on hub" and j.side == "left")
    pair = [candidate(checks, at.first, "CAP-1"), candidate(checks, at.second, "HUB-25L")]
    assert checks.joint(at, pair[0], pair[1]).verdict is Verdict.FITS_WITH_WORK


def test_equal_interfaces_are_one_class() -> None:
    checks = checks_of(world())
    rule = checks.catalogue.vocabulary.rules["register"]
    things = ("HUB-25L", "HUB-25R", "PAIR-25/hub/left")
    left, right, pair = (checks.interface_class(rule, rule.ends[0], t, "bore") for t in things)
    assert left == right == pair != checks.interface_class(rule, rule.ends[0], "HUB-20L", "bore")


def test_judging_all_pairs_first_changes_nothing() -> None:
    one, other = checks_of(world()), checks_of(world())
    at = other.places.joints[0]
    hubs = [c.thing for c in new_parts(other.catalogue, other.places, LEFT)]
    other.judge_all(at, hubs, ["AXLE-20", "AXLE-25"])
    for hub in ("HUB-20L", "HUB-25L", "HUB-?", "PAIR-25"):
        for axle in ("AXLE-20", "AXLE-25"):
            assert joint(one, hub, axle) == joint(other, hub, axle)
