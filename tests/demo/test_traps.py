"""What is built into the demo world to catch a careless answer: none of it ever fits, each for its own reason."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from knockon.graph.judge.verdicts import SEVERITY, Verdict
from knockon.graph.model.layouts.layout import Place
from knockon.queries.fits.checking.candidates import Candidate, new_parts
from knockon.queries.fits.fits import judge_parts
from knockon.queries.fits.partners import partners_of
from tests.demo.demo import (
    AS_FOUND,
    Row,
    check_of,
    checks,
    demo,
    figure_on,
    figures,
    judged,
    kitted,
    rows_of,
    standing_in,
    swapped,
    with_tables,
    written,
)

NO, UNUSABLE, UNKNOWN = Verdict.DOES_NOT_FIT, Verdict.DO_NOT_USE, Verdict.NOT_KNOWN
PAPER = Verdict.FITS_ON_PAPER
TRAPS = [
    # (what it is, parts, on which vehicle, the check that catches it, its verdict)
    ("right count, wrong pitch", "ROWAN-301 ROWAN-241", "", "flange on stub", UNUSABLE),
    ("right count, wrong pitch", "ROWAN-201 ROWAN-941", "", "flange on stub", UNUSABLE),
    ("stub too short", "ROWAN-901", "tansy-mk-b", "nut fully on", UNUSABLE),
    ("stub too short", "ROWAN-901", "tansy-mk-b", "pin hole beyond the bottom of the slots", UNUSABLE),
    ("stub too short", "ROWAN-901 ROWAN-241", "", "spline engagement, stub length", UNUSABLE),
    ("near-miss thread", "ROWAN-352 ROWAN-201", "", "hub nut on stub", UNUSABLE),
    ("near-miss thread", "THORN-131 ALDER-339", "", "lower pin nut on pin", UNUSABLE),
    ("near-miss thread", "LARCH-207 ALDER-301L", "", "caliper bolt in lug", UNUSABLE),
    ("near-miss thread", "HAZEL-211 LARCH-303L", "", "hose in caliper", UNUSABLE),
    ("near-miss thread", "ALDER-336 ALDER-201L", "", "upper dome nut in knuckle", UNUSABLE),
    ("near-miss thread, other way", "ROWAN-252 ROWAN-301", "", "hub nut on stub", NO),
    ("near-miss thread, other way", "THORN-331 ALDER-139", "", "lower pin nut on pin", NO),
    ("near-miss thread, other way", "LARCH-307 ALDER-201L", "", "caliper bolt in lug", NO),
    ("near-miss thread, other way", "HAZEL-311 LARCH-203L", "", "hose in caliper", NO),
    ("spacer of other bearings", "ALDER-911 ALDER-212", "", "spacer by inner bearing", UNUSABLE),
    ("spacer of other bearings", "ALDER-211 ALDER-912", "", "spacer by outer bearing", UNUSABLE),
    ("spacer of other bearings", "ALDER-911 ALDER-212", "tansy-mk-b", "bearing float", UNUSABLE),
    ("spacer of other bearings", "ALDER-211 ALDER-912", "tansy-mk-b", "bearing float", UNUSABLE),
    ("hybrid flange, blocked elsewhere", "ROWAN-942", "tansy-mk-a", "outer seal on boss", NO),
    ("hybrid flange, blocked elsewhere", "ROWAN-942", "tansy-mk-a", "nut fully on", UNUSABLE),
    ("two outer seals in the set", "ALDER-922", "tansy-mk-b", "dust lip on slinger", NO),
    ("two outer seals in the set", "ALDER-922 ALDER-201L", "", "dust lip on slinger", NO),
    ("hat too deep", "LARCH-901 LARCH-203L", "", "rotor in caliper", UNUSABLE),
    ("pair of two left hands", "LARCH-903 ALDER-201R", "", "caliper on lugs", PAPER),
    ("screw of another system", "LARCH-902 ROWAN-241", "", "rotor screw in flange", UNUSABLE),
    ("screw with another head", "LARCH-902 LARCH-201", "", "rotor screw in rotor", UNUSABLE),
    ("right ends, too short", "HAZEL-111 LARCH-203L", "", "hose reaches caliper", UNUSABLE),
    ("right length, wrong end", "HAZEL-911 LARCH-203L", "", "hose in caliper", NO),
    ("washer of another system", "HAZEL-312 HAZEL-211", "", "hose washer on hose", UNUSABLE),
    ("4x100 on 4x101.6", "MAPLE-301 ROWAN-241", "", "wheel on flange", UNUSABLE),
    ("wheel and spacer, stud too short", "MAPLE-901 MAPLE-911 ROWAN-160", "", "wheel stud engagement", UNUSABLE),
    ("wheel and spacer, still fouls", "MAPLE-901 MAPLE-911", "tansy-mk-b", "wheel to caliper, radial", UNUSABLE),
    ("wheel without spacer", "MAPLE-901", "tansy-mk-b", "wheel to caliper, face", UNUSABLE),
    ("residual valve on discs", "HAZEL-101 LARCH-203L", "", "residual pressure at the front brakes", UNUSABLE),
    ("rear cylinders left", "HAZEL-131", "tansy-mk-b", "front share of braking", UNUSABLE),
    ("pin of another taper", "ALDER-332 ALDER-152", "", "lower pin in arm", UNUSABLE),
    ("pin of another taper", "ALDER-339 ALDER-152", "", "lower pin in arm", UNUSABLE),
    ("unknown sizes", "ROWAN-902 ROWAN-241", "", "flange on stub", UNKNOWN),
    ("unknown sizes", "ROWAN-902", "tansy-mk-b", "nut fully on", UNKNOWN),
    ("welded knuckle without paper", "ALDER-905 LARCH-203L", "", "caliper on lugs", UNKNOWN),
    ("taper '?'", "ALDER-931 ALDER-152", "", "lower pin in arm", UNKNOWN),
    ("taper '?'", "ALDER-931 ALDER-351", "", "upper pin in arm", UNKNOWN),
    ("steering arm of another pitch", "ALDER-341L ALDER-201L", "", "arm on knuckle", NO),
]


@pytest.mark.parametrize(
    ("parts", "on", "check", "verdict"), [t[1:] for t in TRAPS], ids=[f"{t[0]}: {t[1]}" for t in TRAPS]
)
def test_a_trap_never_fits(parts: str, on: str, check: str, verdict: Verdict) -> None:
    answer = judged(*parts.split(), on=on)
    assert check_of(answer, check).verdict is verdict
    assert answer.verdict not in (None, Verdict.FITS, Verdict.FITS_WITH_WORK)
    assert SEVERITY[answer.verdict] >= SEVERITY[verdict]  # the worst counts


@pytest.mark.parametrize(("parts", "check"), [(t[1], t[3]) for t in TRAPS if len(t[1].split()) == 2 and not t[2]])
def test_a_trap_is_no_partner_that_fits(parts: str, check: str) -> None:
    one, other = parts.split()
    for a, b in ((one, other), (other, one)):
        found = [
            p.verdict for j in partners_of(demo(), a).joints if j.joint == check for p in j.partners if p.number == b
        ]
        assert Verdict.FITS not in found


def test_no_pattern_part_is_in_the_plan() -> None:
    """What only a seller describes is not chosen where the maker's own is to be had, cheaper as it may be."""
    answer = swapped(AS_FOUND, "rotor=LARCH-201")
    assert answer.plan is not None
    bought = {line.number for g in answer.plan.groups for line in g.lines}
    assert not {n for n in bought if n.partition("-")[2].startswith("9")}


def test_a_kit_without_spacer_is_short_of_it() -> None:
    lacking = {line.number: (line.quantity, has) for g in kitted("K1", AS_FOUND, "rotor=LARCH-201").groups
               for line, has in g.lines if has < line.quantity}  # fmt: skip
    assert lacking["ALDER-212"] == (2, 0)
    assert lacking["ROWAN-251"] == (2, 1)
    assert lacking["LARCH-202"] == (8, 4)


def test_without_the_collar_the_nut_bottoms_on_the_shank() -> None:
    standing = standing_in(checks(), "tansy-mk-b")
    left_out = {p: c for p, c in standing.items() if p.position != "hub collar"}
    evidence = figure_on(checks(), figures(checks(), "nut seat beyond thread start")[0], left_out, "tansy-mk-b")
    assert evidence.verdict is UNUSABLE
    assert evidence.lines[0].margin == pytest.approx(-0.043 * 25.4, abs=0.001)
    assert "plain shank" in evidence.lines[0].says


def test_bearings_of_loose_tolerance_are_never_a_tick() -> None:
    """The assembled width may vary by more than the float window: sizes rule out, they never prove."""
    window = next(f for f in demo().layouts["tansy front axle"].figures if f.figure == "bearing float")
    assert window.method and window.high == pytest.approx(0.10)
    for bearings, spacer in (("ALDER-211", "ALDER-212"), ("ALDER-911", "ALDER-912")):
        evidence = check_of(judged(bearings, spacer, on="tansy-mk-b"), "bearing float")
        assert evidence.verdict is PAPER
        assert "dial gauge" in evidence.method


def test_a_matched_set_states_its_float_while_it_is_new() -> None:
    new = standing_in(checks(), "tansy-mk-b")
    at = figures(checks(), "bearing float")[0]
    bought = {p: c for p in at.places for c in [new[p]]}
    for place in at.places:
        found = [c for c in checks_candidates(place) if c.number == "ALDER-213"]
        bought[place] = found[0] if found else new[place]
    assert figure_on(checks(), at, bought, "tansy-mk-b").verdict is Verdict.FITS
    used = {p: replace(c, stays=c.number == "ALDER-213") for p, c in bought.items()}
    assert figure_on(checks(), at, used, "tansy-mk-b").verdict is PAPER


def checks_candidates(place: Place) -> list[Candidate]:
    return list(new_parts(demo(), checks().places, place))


def test_the_exchange_surcharge_is_due_where_no_old_part_is_handed_in() -> None:
    def price(vehicle: str) -> tuple[float, float]:
        answer = swapped(vehicle, "caliper=LARCH-203L", "rotor=LARCH-201")
        assert answer.plan is not None
        line = next(x for g in answer.plan.groups if (g.group, g.hand) == ("caliper", "left") for x in g.lines)
        assert line.offer is not None
        return line.offer.price, line.offer.surcharge

    assert price(AS_FOUND) == (187.0, 75.0)
    assert price("tansy-mk-c") == (112.0, 0.0)  # it has calipers to hand in


def test_two_notes_that_seem_to_contradict_are_both_right() -> None:
    """Clear with 4.7 mm; scraped with weights inside the rim: a condition with a reading explains both."""
    bare = check_of(judged("MAPLE-101", "LARCH-203L"), "wheel to caliper, radial")
    assert bare.verdict is Verdict.FITS
    assert bare.lines[0].low == pytest.approx(4.7)
    assert set(bare.notes) == {"N04", "N05"}
    change = next(c for c in swapped(AS_FOUND, "rotor=LARCH-201").changes if c.place == "left wheel")
    weighted = next(e for e in change.evidence if e.check == "wheel to caliper, radial")
    assert weighted.verdict is UNUSABLE
    assert [weighted.lines[0].low, weighted.lines[0].high] == pytest.approx([0.2, 1.2])
    assert set(weighted.notes) == {"N04", "N05"}


# -------------------------------------------------- the two true contradictions


def spacer_lengths(standing: str) -> list[Row]:
    """The sources with the note that measured 12.2 mm put at this standing."""
    rows = rows_of("sources.csv")
    return [{**r, "standing": standing} if r["source"] == "N03" else r for r in rows]


def test_better_evidence_computes_and_the_other_reading_is_shown() -> None:
    evidence = check_of(judged("ALDER-212", "ALDER-211", on="tansy-mk-b"), "bearing float")
    values = {v.source: (v.written, v.computes) for v in evidence.lines[0].values if v.of == "ALDER-212"}
    assert values["N03"] == ("12.2 mm", False)
    assert values["quillmere-drawings"][1] is True
    assert {"N02", "N03"} <= set(evidence.notes)


def test_equal_evidence_that_contradicts_is_not_averaged() -> None:
    world = with_tables({"sources.csv": written(spacer_lengths("drawing"))})
    found = [v for f in world.features["ALDER-212"].values() for v in f.dimensions.get("length", ()) if v.rank == 2]
    assert len({v.low for v in found}) == 2
    evidence = check_of(judge_parts(world, ["ALDER-212", "ALDER-211"], on="tansy-mk-b"), "bearing float")
    assert evidence.verdict is Verdict.DISPUTED


def test_a_use_report_does_not_outweigh_a_taper() -> None:
    evidence = check_of(judged("ALDER-332", "ALDER-152"), "lower pin in arm")
    assert evidence.verdict is UNUSABLE
    assert evidence.notes == ("N07", "N06")  # failures first
