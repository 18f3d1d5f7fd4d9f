"""What a verdict shows: each condition's state agrees with the verdict, whatever equal sources say."""

from __future__ import annotations

from copy import deepcopy

import pytest
from msgspec.structs import replace

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.layouts.layout import Places
from knockon.graph.model.several import Several
from knockon.graph.model.things import Fitting
from knockon.queries.fits.checking.candidates import new_parts, staying
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.evidence import Evidence, Line
from knockon.queries.fits.checking.figure_evidence import figure_evidence, said_if_together
from knockon.queries.fits.checking.joint_evidence import joint_evidence
from knockon.queries.fits.fits import judge_parts
from knockon.queries.ui.naming import Naming
from knockon.queries.ui.terminal.blocks import Heading, Para
from knockon.queries.ui.terminal.screen import render
from knockon.queries.ui.texts.fits.evidence import evidence_blocks, rests_on
from knockon.queries.ui.texts.fits.fits import fits_text
from tests.unit.small import TABLES, with_rows, world

STRADDLES = "open: straddles the limit"


def two_readings(first: str, second: str, bore: str = "20.00 mm ±0.01 mm") -> Evidence:
    """The joint of hub and axle where two drawings state the axle's seat."""
    rows = f"part,feature,diameter,source\nAXLE-20,seat,{first},book\nAXLE-20,seat,{second},other\n"
    catalogue = world(
        {
            **with_rows("sources.csv", "other,another drawing,drawing,"),
            "features/spigot.csv": rows,
            "features/register_bore.csv": f"part,feature,diameter,source\nHUB-20L,bore,{bore},book\n",
        }
    )
    places = Places(catalogue.layouts["cart axle"])
    at = next(j for j in places.joints if j.joint.joint == "hub on axle")
    hub = next(c for c in new_parts(catalogue, places, at.first) if c.number == "HUB-20L")
    axle = next(c for c in new_parts(catalogue, places, at.second) if c.number == "AXLE-20")
    return joint_evidence(Checks(catalogue, places), at, hub, axle)


@pytest.mark.parametrize(
    ("first", "second", "verdict", "states"),
    [
        ("19.95 mm ±0.01 mm", "19.96 mm ±0.01 mm", Verdict.FITS, ["yes", "yes"]),
        ("19.95 mm ±0.01 mm", "19.95 mm ±0.20 mm", Verdict.NOT_KNOWN, [STRADDLES, STRADDLES]),
        ("20.00..20.05 mm", "20.02..21 mm", Verdict.DOES_NOT_FIT, ["no", "yes"]),  # they overlap: the worse counts
        ("19.95 mm ±0.01 mm", "20.30 mm ±0.01 mm", Verdict.DISPUTED, ["disputed", "yes"]),
        ("20.20 mm ±0.01 mm", "20.30 mm ±0.01 mm", Verdict.DOES_NOT_FIT, ["no", "yes"]),
    ],
)
def test_the_state_of_a_condition_follows_the_verdict(
    first: str, second: str, verdict: Verdict, states: list[str]
) -> None:
    evidence = two_readings(first, second)
    assert evidence.verdict is verdict
    assert [line.state for line in evidence.lines] == states


def test_what_straddles_for_one_of_two_that_overlap_is_named_to_measure() -> None:
    evidence = two_readings("19.95 mm ±0.01 mm", "19.95 mm ±0.06 mm")
    assert evidence.verdict is Verdict.NOT_KNOWN
    assert evidence.to_measure == ("HUB-20L, bore: diameter", "AXLE-20, seat: diameter")


def test_a_no_says_what_is_wrong_though_sources_differ() -> None:
    (line, _) = two_readings("20.20 mm ±0.01 mm", "20.30 mm ±0.01 mm").lines
    assert line.says == "the bore is too small for the register"


def test_a_copy_of_evidence_says_the_same() -> None:
    evidence = two_readings("19.95 mm ±0.01 mm", "19.95 mm ±0.06 mm")
    again = deepcopy(evidence)
    naming = Naming(world())
    assert again == evidence and render(evidence_blocks(naming, again)) == render(evidence_blocks(naming, evidence))


# ------------------------------------------------------------------------ figures

ROOM = {
    "figures.csv": "layout,figure,is,sort,low,high,unit,compared with,says\n"
    "cart axle,room,stack,service,0 mm,0.1 mm,mm,limits,it binds\n",
    "figure_terms.csv": "layout,figure,order,position,feature,dimension,factor\n"
    "cart axle,room,1,hub,bore,diameter,1\ncart axle,room,2,axle,seat,diameter,-1\n",
}


def room(*seats: tuple[str, str], bore: str = "20.05 mm") -> Evidence:
    """The stack of hub and axle; ``seats``: size and source of the axle's seat."""
    rows = "".join(f"AXLE-20,seat,{size},{source}\n" for size, source in seats)
    catalogue = world(
        {
            **ROOM,
            **with_rows("sources.csv", "other,another drawing,drawing,"),
            "features/spigot.csv": "part,feature,diameter,source\n" + rows,
            "features/register_bore.csv": f"part,feature,diameter,source\nHUB-20L,bore,{bore},book\n",
        }
    )
    places = Places(catalogue.layouts["cart axle"])
    chosen = {p: next(c for c in new_parts(catalogue, places, p) if c.number in ("HUB-20L", "AXLE-20"))
              for p in places.figures[0].places}  # fmt: skip
    return figure_evidence(Checks(catalogue, places), places.figures[0], chosen, None)


@pytest.mark.parametrize(
    ("seats", "verdict", "state", "to_measure"),
    [
        ([("20.00 mm ±0.01 mm", "book")], Verdict.FITS, "yes", ()),
        ([("20.00 mm ±0.20 mm", "book")], Verdict.NOT_KNOWN, STRADDLES, ("AXLE-20, seat: diameter",)),
        ([("", "book")], Verdict.NOT_KNOWN, "open: not recorded", ("AXLE-20, seat: diameter",)),
        ([("20.02 mm", "book"), ("20.30 mm", "other")], Verdict.DISPUTED, "disputed", ()),
        ([("20.20 mm", "book"), ("20.30 mm", "other")], Verdict.DO_NOT_USE, "no", ()),
    ],
)
def test_the_state_of_a_figure_and_what_to_measure(
    seats: list[tuple[str, str]], verdict: Verdict, state: str, to_measure: tuple[str, ...]
) -> None:
    """A sum that straddles names the sizes that are not exact; the others cannot close it."""
    evidence = room(*seats)
    assert (evidence.verdict, evidence.lines[0].state, evidence.to_measure) == (verdict, state, to_measure)


def test_what_comes_of_a_no_of_a_figure_is_told_as_if_only_where_two_of_its_own_parts_do_not_go_together() -> None:
    line = Line("x", "assembly", "required", "no", 0, 0, 1, 2, -1, "mm", "made up", "from memory", "it rubs", ())
    figure = Evidence(
        "gap", "stack", Verdict.DO_NOT_USE, True, Several("ABC"), "", ("A", "B", "C"), (), (line,), (), "", False
    )
    joint = replace(figure, check="joint", kind="joint")
    for things, sort, state, is_if in (
        (("A", "B"), "assembly", "no", True),
        (("B", "D"), "assembly", "no", False),
        (("A", "B"), "service", "no", False),
        (("A", "B"), "assembly", "yes", False),
    ):
        other = replace(joint, things=things, lines=(replace(line, sort=sort, state=state),))
        said = said_if_together(figure, [other]).lines[0].says
        assert said == ("if they went together, it rubs" if is_if else "it rubs")
    assert said_if_together(figure, []) == figure


def test_hands_are_told_in_one_word_only_where_their_numbers_differ_in_the_last_letter() -> None:
    rows = "N-12,a,drive flange,left,no,N-35,,book\nN-35,a,drive flange,right,no,N-12,,book\n"
    naming = Naming(world({"parts.csv": TABLES["parts.csv"] + rows}))
    assert naming.hands(["N-12", "N-35"]) == naming.hands(["N-35", "N-12"]) == "N-12 and N-35"
    assert naming.hands(["HUB-20R", "CAP-1", "HUB-20L"]) == "HUB-20L/R, CAP-1"


def test_what_is_said_of_a_thing_computes_and_what_its_number_says_is_told_beside() -> None:
    catalogue = world(with_rows("features/spigot.csv", "odd-axle,seat,19.8 mm,stall"))
    places = Places(catalogue.layouts["cart axle"])
    at = next(j for j in places.joints if j.joint.joint == "hub on axle")
    hub = next(c for c in new_parts(catalogue, places, at.first) if c.number == "HUB-20L")
    axle = next(staying(catalogue, at.second, Fitting("axle", item="odd-axle")))
    evidence = joint_evidence(Checks(catalogue, places), at, hub, axle)
    said = [(v.written, v.standing, v.computes, v.of_number) for v in evidence.lines[0].values if v.of == "odd-axle"]
    assert said == [("19.8 mm", "seller", True, False), ("20 mm", "drawing", False, True)]
    assert evidence.weakest == "seller"
    told = [b.text for b in rests_on(Naming(catalogue), evidence, True) if isinstance(b, Para)]
    assert any(t.startswith("Also stated of its number, not used: ") and "20 mm" in t for t in told), told


def test_a_claim_about_another_number_is_told_with_what_says_that_they_are_the_same() -> None:
    rows = ("HUB-25L,same as,,HUB-?,,stall", "HUB-25L,goes with,,AXLE-25,,book")
    catalogue = world(with_rows("claims.csv", *rows))
    places = Places(catalogue.layouts["cart axle"])
    at = next(j for j in places.joints if j.joint.joint == "hub on axle")
    hub = next(c for c in new_parts(catalogue, places, at.first) if c.number == "HUB-?")
    axle = next(c for c in new_parts(catalogue, places, at.second) if c.number == "AXLE-25")
    evidence = joint_evidence(Checks(catalogue, places), at, hub, axle)
    assert [(c.part, c.claim, c.about, c.standing) for c in evidence.claims] == [
        ("HUB-25L", "same as", "HUB-?", "seller"), ("HUB-25L", "goes with", "AXLE-25", "drawing"),
    ]  # fmt: skip
    told = [b.text for b in rests_on(Naming(catalogue), evidence, True) if isinstance(b, Para)]
    assert any("HUB-25L is the same as HUB-?, by stall (seller); " in t for t in told), told


CLAIMED = {
    "HUB-?,goes with,,AXLE-25,,book": "HUB-? goes with AXLE-25, by book (drawing).",
    "HUB-?,listed for,big-cart,,,stall": "HUB-? is listed for big-cart, by stall (seller).",
}


@pytest.mark.parametrize("row", CLAIMED)
def test_a_claim_is_told_with_who_makes_it(row: str) -> None:
    catalogue = world(with_rows("claims.csv", row))
    places = Places(catalogue.layouts["cart axle"])
    at = next(j for j in places.joints if j.joint.joint == "hub on axle")
    hub = next(c for c in new_parts(catalogue, places, at.first) if c.number == "HUB-?")
    axle = next(c for c in new_parts(catalogue, places, at.second) if c.number == "AXLE-25")
    evidence = joint_evidence(Checks(catalogue, places), at, hub, axle)
    told = [b.text for b in rests_on(Naming(catalogue), evidence, True) if isinstance(b, Para)]
    assert f"Claim: {CLAIMED[row]}" in told


def test_of_members_of_a_set_the_set_is_told_where_nothing_else_is_claimed() -> None:
    catalogue = world({"claims.csv": "part,claim,vehicle,other part,text,source\n"})
    places = Places(catalogue.layouts["cart axle"])
    at = next(j for j in places.joints if j.joint.joint == "cap on hub")
    cap, hub = (
        next(c for c in new_parts(catalogue, places, p) if c.number == "PAIR-25") for p in (at.first, at.second)
    )
    evidence = joint_evidence(Checks(catalogue, places), at, cap, hub)
    told = [b.text for b in rests_on(Naming(catalogue), evidence, True) if isinstance(b, Para)]
    assert "Claim: sold as one set." in told


@pytest.mark.parametrize("worst", [Verdict.NOT_KNOWN, Verdict.FITS_ON_PAPER, Verdict.DISPUTED])
@pytest.mark.parametrize("better", [Verdict.FITS, Verdict.FITS_WITH_WORK])
def test_of_many_checks_only_those_of_the_worst_verdict_stand_in_full(worst: Verdict, better: Verdict) -> None:
    catalogue = world()
    answer = judge_parts(catalogue, ["HUB-25L", "AXLE-25"])
    (joint,) = answer.joints
    verdicts = {f"check {i}": worst if i < 2 else better for i in range(9)}
    joints = tuple(replace(joint, check=name, verdict=verdict) for name, verdict in verdicts.items())
    blocks = fits_text(catalogue, replace(answer, verdict=worst, joints=joints))
    text = [b.text for b in blocks if isinstance(b, Para | Heading)]
    brief = text.index("Other checks, in brief")
    inline = {name for name in verdicts for line in text[brief:] if line.startswith(f"{name}: {verdicts[name]}. ")}
    assert inline == {name for name, verdict in verdicts.items() if verdict is better}
