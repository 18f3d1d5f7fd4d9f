"""From the outcome of a check to its word: the first row of the table that holds."""

from __future__ import annotations

import pytest

from knockon.graph.judge.verdicts import (
    SEVERITY,
    Judged,
    Outcome,
    Verdict,
    Weighing,
    combine,
    lacks_only_kept_sizes,
    settle,
    verdict_of,
    worst,
)

CRITICAL, OTHER = Weighing(True), Weighing(False)
GOOD = Outcome(ranks=(2, 3))


@pytest.mark.parametrize(
    ("outcome", "verdict"),
    [
        (Outcome(absent=True, service_no=True), Verdict.DOES_NOT_FIT),
        (Outcome(assembly_no=True, service_no=True, straddles=True), Verdict.DOES_NOT_FIT),
        (Outcome(service_no=True, straddles=True, lacks=(True, True)), Verdict.DO_NOT_USE),
        (Outcome(straddles=True), Verdict.NOT_KNOWN),
        (Outcome(lacks=(True, False)), Verdict.NOT_KNOWN),
        (Outcome(supporting_open=True, ranks=(2, 2)), Verdict.FITS),
        (GOOD, Verdict.FITS),
    ],
)
def test_the_first_row_that_holds_decides(outcome: Outcome, verdict: Verdict) -> None:
    assert settle(outcome, CRITICAL) is verdict


@pytest.mark.parametrize(("rank", "critical", "other"), [(3, True, True), (4, False, True), (5, False, False)])
def test_how_good_the_evidence_must_be(rank: int, critical: bool, other: bool) -> None:
    for weighing, good in ((CRITICAL, critical), (OTHER, other)):
        for ranks in ((rank, 2), (2, rank)):
            assert settle(Outcome(ranks=ranks), weighing) is (Verdict.FITS if good else Verdict.FITS_ON_PAPER)


def test_on_a_kept_side_only_a_reading_on_the_item_counts() -> None:
    kept = Weighing(True, kept=(True, False))
    assert settle(Outcome(ranks=(2, 2)), kept) is Verdict.FITS_ON_PAPER
    assert settle(Outcome(ranks=(1, 2)), kept) is Verdict.FITS
    assert settle(Outcome(service_no=True, ranks=(6, 6)), kept) is Verdict.DO_NOT_USE  # a no counts all the same


def test_a_claim_stands_in_for_what_is_missing_and_for_nothing_else() -> None:
    claimed = Weighing(True, claimed=True)
    assert settle(Outcome(lacks=(True, True)), claimed) is Verdict.FITS_ON_PAPER
    assert settle(Outcome(lacks=(True, False), asked=(True, False)), claimed) is Verdict.NOT_KNOWN
    assert settle(Outcome(straddles=True), claimed) is Verdict.NOT_KNOWN
    assert settle(Outcome(service_no=True), claimed) is Verdict.DO_NOT_USE


def test_the_order_of_severity() -> None:
    assert sorted(Verdict, key=SEVERITY.__getitem__, reverse=True)[:5] == [
        *(Verdict.DOES_NOT_FIT, Verdict.DO_NOT_USE, Verdict.DISPUTED, Verdict.NOT_KNOWN, Verdict.FITS_ON_PAPER),
    ]
    assert worst([Verdict.FITS, Verdict.NOT_KNOWN, Verdict.FITS_ON_PAPER]) is Verdict.NOT_KNOWN


def test_beliefs_agree_or_it_is_disputed() -> None:
    assert combine([Verdict.FITS, Verdict.FITS]) is Verdict.FITS
    assert combine([Verdict.FITS, Verdict.DO_NOT_USE]) is Verdict.DISPUTED
    assert combine([Verdict.FITS, Verdict.FITS_ON_PAPER]) is Verdict.DISPUTED
    assert combine([Verdict.DO_NOT_USE, Verdict.DOES_NOT_FIT]) is Verdict.DOES_NOT_FIT


def test_within_one_belief_the_worst_counts() -> None:
    judged = Judged(((GOOD, Outcome(straddles=True)),))
    assert verdict_of(judged, CRITICAL) is Verdict.NOT_KNOWN
    torn = Judged(((GOOD,), (Outcome(service_no=True),)))
    assert verdict_of(torn, CRITICAL) is Verdict.DISPUTED


def test_a_note_of_work_lifts_only_what_is_unproven_and_nothing_critical() -> None:
    for outcome in (Outcome(lacks=(True, False)), Outcome(ranks=(6, 6))):
        judged = Judged(((outcome,),))
        assert verdict_of(judged, Weighing(False, made_to_fit=True)) is Verdict.FITS_WITH_WORK
        assert verdict_of(judged, Weighing(True, made_to_fit=True)).is_unproven
    assert verdict_of(Judged(((Outcome(lacks=(True, False)),),)), OTHER) is Verdict.NOT_KNOWN  # nobody noted any work
    no = Judged(((Outcome(service_no=True),),))
    assert verdict_of(no, Weighing(False, made_to_fit=True)) is Verdict.DO_NOT_USE
    fits = Judged(((GOOD,),))
    assert verdict_of(fits, Weighing(False, made_to_fit=True)) is Verdict.FITS
    torn = Judged(((GOOD,), (Outcome(service_no=True),)))
    assert verdict_of(torn, Weighing(False, made_to_fit=True)) is Verdict.DISPUTED


def test_what_only_kept_sizes_leave_open() -> None:
    assert lacks_only_kept_sizes(Judged(((Outcome(lacks=(True, False)),),)), (True, False))
    assert not lacks_only_kept_sizes(Judged(((Outcome(lacks=(True, True)),),)), (True, False))
    assert not lacks_only_kept_sizes(Judged(((Outcome(lacks=(True, False), straddles=True),),)), (True, False))


def test_words_for_people() -> None:
    assert str(Verdict.DO_NOT_USE) == "goes together, do not use"
    assert [v for v in Verdict if v.is_no] == [Verdict.DO_NOT_USE, Verdict.DOES_NOT_FIT]
    assert [v for v in Verdict if v.is_unproven] == [Verdict.FITS_ON_PAPER, Verdict.NOT_KNOWN, Verdict.DISPUTED]
