"""The verdict words, and how the raw outcome of a check becomes one of them."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum

import msgspec

YES, NO, STRADDLES, MISSING = 0, 1, 2, 3
"""What a condition comes to: the sizes lie inside its window, outside, across its end, or one is not recorded."""


class Verdict(StrEnum):
    """The seven verdicts. ``fits`` means that dimensions agree, never that it is safe."""

    FITS = "fits"
    FITS_WITH_WORK = "fits with work"
    FITS_ON_PAPER = "fits on paper"
    NOT_KNOWN = "not known"
    DISPUTED = "disputed"
    DO_NOT_USE = "goes together, do not use"
    DOES_NOT_FIT = "does not fit"

    @property
    def is_no(self) -> bool:
        """Whether it rules a filling out."""
        return self in (Verdict.DO_NOT_USE, Verdict.DOES_NOT_FIT)

    @property
    def is_unproven(self) -> bool:
        """Disputed, not known or fits on paper."""
        return self in (Verdict.DISPUTED, Verdict.NOT_KNOWN, Verdict.FITS_ON_PAPER)


SEVERITY = {v: i for i, v in enumerate(Verdict)}
SAFE_RANK, OTHER_RANK = 3, 4  # the weakest standing on which "fits" may rest: same number, new; worn
ON_THE_ITEM = 1


class Outcome(msgspec.Struct, frozen=True):
    """What the conditions of a check say on one choice of beliefs, before claims and standing are weighed.

    ``absent``: a feature that must be there is known absent. ``lacks``/``asked``: for the first and second side,
    whether
    a required size is missing, and whether its source says that it does not know. ``ranks``: weakest standing used.
    """

    absent: bool = False
    assembly_no: bool = False
    service_no: bool = False
    straddles: bool = False
    lacks: tuple[bool, bool] = (False, False)
    asked: tuple[bool, bool] = (False, False)
    ranks: tuple[int, int] = (0, 0)
    supporting_open: bool = False


class Judged(msgspec.Struct, frozen=True):
    """The outcomes of a check: one tuple for each choice of beliefs, with an outcome for each choice among equal
    statements
    that overlap (of which the worst counts)."""

    beliefs: tuple[tuple[Outcome, ...], ...]

    @property
    def outcomes(self) -> tuple[Outcome, ...]:
        """All outcomes, whatever is believed."""
        return tuple(o for belief in self.beliefs for o in belief)


class Weighing(msgspec.Struct, frozen=True):
    """What is weighed beside the sizes: where the joint sits, claims, which sides stay on the vehicle, a note of work,
    and whether a set, new, states the joint as made."""

    safety_critical: bool
    claimed: bool = False
    kept: tuple[bool, bool] = (False, False)
    made_to_fit: bool = False
    stated: bool = False


def settle(outcome: Outcome, weighing: Weighing) -> Verdict:
    """The verdict of one outcome: the first row of the table that holds."""
    if outcome.absent or outcome.assembly_no:
        return Verdict.DOES_NOT_FIT
    if outcome.service_no:
        return Verdict.DO_NOT_USE
    if weighing.stated:  # as of a figure: it stands where no size says otherwise
        return Verdict.FITS
    if outcome.straddles:
        return Verdict.NOT_KNOWN
    if any(outcome.lacks):
        return Verdict.FITS_ON_PAPER if weighing.claimed and not any(outcome.asked) else Verdict.NOT_KNOWN
    worst = SAFE_RANK if weighing.safety_critical else OTHER_RANK
    limits = [ON_THE_ITEM if kept else worst for kept in weighing.kept]
    good = all(rank <= limit for rank, limit in zip(outcome.ranks, limits, strict=True))
    return Verdict.FITS if good else Verdict.FITS_ON_PAPER


def worst(verdicts: Iterable[Verdict]) -> Verdict:
    """The worst of some verdicts."""
    return max(verdicts, key=SEVERITY.__getitem__)


def combine(verdicts: Iterable[Verdict]) -> Verdict:
    """One verdict from those of all beliefs: the same whatever is believed, or the worst of several noes, else
    disputed."""
    found = set(verdicts)
    if len(found) == 1 or all(v.is_no for v in found):
        return worst(found)
    return Verdict.DISPUTED


def verdict_of(judged: Judged, weighing: Weighing) -> Verdict:
    """The verdict of a check, a note of work lifting what is merely unproven away from safety-critical joints."""
    verdict = combine(worst(settle(o, weighing) for o in belief) for belief in judged.beliefs)
    lifted = (
        verdict in (Verdict.NOT_KNOWN, Verdict.FITS_ON_PAPER) and weighing.made_to_fit and not weighing.safety_critical
    )
    return Verdict.FITS_WITH_WORK if lifted else verdict


def rules_out(judged: Judged) -> bool:
    """Whether a check is a no: under every belief some outcome is one. Nothing that is weighed beside the sizes changes
    that."""
    return all(any(o.absent or o.assembly_no or o.service_no for o in belief) for belief in judged.beliefs)


def lacks_only_kept_sizes(judged: Judged, kept: tuple[bool, bool]) -> bool:
    """Whether all that is open is a size missing on a side that stays on the vehicle."""
    for outcome in judged.outcomes:
        if outcome.straddles or any(lack and not k for lack, k in zip(outcome.lacks, kept, strict=True)):
            return False
    return True
