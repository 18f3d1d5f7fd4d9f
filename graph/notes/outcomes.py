"""What a note says came of the work, in the order in which notes are shown: failures first."""

from __future__ import annotations

MADE_TO_FIT = "made to fit"
OUTCOME_ORDER = {"failed": 0, "measured": 1, MADE_TO_FIT: 2, "worked": 3, "told": 4}


def outcome_rank(outcome: str) -> int:
    """Where notes of an outcome stand, failures first; what says none is told as hearsay is."""
    return OUTCOME_ORDER.get(outcome, OUTCOME_ORDER["told"])
