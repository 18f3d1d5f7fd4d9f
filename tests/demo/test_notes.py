"""What members found stands beside the verdict that it is about, and beside no other."""

from __future__ import annotations

import pytest
from msgspec.structs import replace

from knockon.graph.judge.verdicts import Verdict
from knockon.queries.ui.terminal.blocks import Para
from knockon.queries.ui.texts.club.notes import note_blocks
from tests.demo.demo import AS_FOUND, check_of, demo, judged, swapped

NO, UNUSABLE, PAPER, FITS = Verdict.DOES_NOT_FIT, Verdict.DO_NOT_USE, Verdict.FITS_ON_PAPER, Verdict.FITS
ABOUT = [
    # (note, parts, on which vehicle, check, verdict from the sizes)
    ("N04", "MAPLE-101 LARCH-203L", "", "wheel to caliper, radial", FITS),
    ("N05", "MAPLE-101 LARCH-203R", "", "wheel to caliper, radial", FITS),
    ("N07", "ALDER-332 ALDER-152", "", "lower pin in arm", UNUSABLE),
    ("N08", "ROWAN-352 ROWAN-201", "", "hub nut on stub", UNUSABLE),
    ("N09", "ALDER-922 ALDER-223", "", "dust lip on slinger", NO),
    ("N10", "LARCH-901 LARCH-203L", "", "rotor in caliper", UNUSABLE),
    ("N11", "ALDER-911 ALDER-212", "", "spacer by inner bearing", UNUSABLE),
    ("N11", "ALDER-911 ALDER-912", "", "spacer by inner bearing", PAPER),
    ("N12", "HAZEL-111 LARCH-203L", "", "hose reaches caliper", UNUSABLE),
    ("N13", "HAZEL-911 LARCH-203L", "", "hose in caliper", NO),
    ("N14", "LARCH-903 ALDER-201L", "", "caliper on lugs", PAPER),
    ("N15", "HAZEL-101 LARCH-203L", "", "residual pressure at the front brakes", UNUSABLE),
    ("N16", "HAZEL-131", "tansy-mk-b", "front share of braking", UNUSABLE),
    ("N17", "ALDER-144 ALDER-141L", "", "track rod end in arm", FITS),
    ("N18", "ALDER-141L ALDER-201L", "", "arm on knuckle", FITS),
    ("N18", "ALDER-141R ALDER-201R", "", "arm on knuckle", FITS),
    ("N19", "ROWAN-301 ROWAN-241", "", "flange on stub", UNUSABLE),
    ("N20", "ROWAN-901", "tansy-mk-b", "nut fully on", UNUSABLE),
]


@pytest.mark.parametrize(("note", "parts", "on", "check", "verdict"), ABOUT)
def test_a_note_stands_beside_the_verdict_that_it_is_about(
    note: str, parts: str, on: str, check: str, verdict: Verdict
) -> None:
    evidence = check_of(judged(*parts.split(), on=on), check)
    assert evidence.verdict is verdict
    assert note in evidence.notes
    outcome = demo().notes[note].outcome
    assert (outcome == "failed") <= evidence.verdict.is_no or note == "N05" or note == "N14"


@pytest.mark.parametrize(
    ("note", "parts", "check"),
    [
        ("N13", "HAZEL-911 LARCH-303L", "hose in caliper"),  # speaks of the caliper that has a 3/8-24 port
        ("N19", "ROWAN-201 ROWAN-241", "flange on stub"),  # speaks of another joint with that flange
        ("N08", "ROWAN-252 ROWAN-201", "hub nut on stub"),  # of another nut on that stub
        ("N12", "HAZEL-211 LARCH-203L", "hose reaches caliper"),
        ("N06", "ALDER-332 ALDER-352", "lower pin in arm"),
        ("N11", "ALDER-211 ALDER-212", "spacer by inner bearing"),
    ],
)
def test_a_note_on_other_parts_stays_away(note: str, parts: str, check: str) -> None:
    assert note not in check_of(judged(*parts.split()), check).notes


def test_failures_stand_first() -> None:
    order = {"failed": 0, "measured": 1, "made to fit": 2, "worked": 3, "told": 4}
    for _, parts, on, _, _ in ABOUT:
        for evidence in (*judged(*parts.split(), on=on).joints, *judged(*parts.split(), on=on).figures):
            ranks = [order[demo().notes[n].outcome] for n in evidence.notes]
            assert ranks == sorted(ranks)


def test_what_failed_is_told_before_what_worked_and_hearsay_last() -> None:
    """Also where the notes were written down the other way round."""
    outcomes = ("told", "worked", "made to fit", "measured", "failed")
    failed = demo().notes["N14"]
    notes = {f"Z{i}": replace(failed, note=f"Z{i}", outcome=o) for i, o in enumerate(outcomes)}
    club = replace(demo(), notes={**demo().notes, **notes})
    told = [b.text for b in note_blocks(club, (), beside=notes) if isinstance(b, Para)]
    assert [text[:2] for text in told] == ["Z4", "Z3", "Z2", "Z1", "Z0"]


def test_a_note_is_no_size() -> None:
    """A stub that "looks the same length" has no length."""
    stub = demo().features["ROWAN-902"]["stub end"]
    assert not [s for s in stub.dimensions.get("length", ()) if s.low is not None]
    assert "N23" in check_of(judged(["ROWAN-902", "ROWAN-241"][0], "ROWAN-241"), "flange on stub").notes


def test_work_lifts_only_what_a_named_member_made_fit_and_nothing_critical() -> None:
    note = demo().notes["N25"]
    assert note.outcome == "made to fit" and note.member and note.work_done
    evidence = check_of(judged("HAZEL-243", "HAZEL-101"), "limiter in rear line")
    assert evidence.safety_critical and evidence.verdict.is_unproven


def test_the_plan_shows_what_others_found() -> None:
    answer = swapped(AS_FOUND, "rotor=LARCH-201")
    assert answer.plan is not None
    beside = {n for e in (*answer.plan.unproven, *answer.stops) for n in e.notes}
    beside |= {n for c in answer.changes for e in (*c.evidence, *c.also) for n in e.notes}
    beside |= {n for c in answer.changes if c.reason for s in c.reason.steps if s.evidence for n in s.evidence.notes}
    assert beside >= {"N04", "N05", "N12", "N15", "N16", "N17", "N18"}
