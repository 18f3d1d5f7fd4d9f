"""What happens when a male thread is put into a female one: judged on basic profiles, 60 degrees."""

from __future__ import annotations

import msgspec

from knockon.graph.formulas.interval import Value, low, middle
from knockon.graph.formulas.threads.profile import (
    flank_overlap,
    flank_overlap_share,
    pitch_diameter_clearance,
    turns_before_binding,
)
from knockon.graph.quantity.thread_names import Thread

SAME = "same thread"
WILL_NOT_START = "will not start"
DROPS_THROUGH = "drops through"
BINDS = "starts and binds"
RUNS_LOOSE = "runs the whole way, loose"

SAME_PITCH = 0.002
"""Pitches closer than this (mm) are one pitch written in two units."""
SAME_MAJOR = 0.05
"""Major diameters closer than this (mm) are one diameter: the allowance of a class is of this size."""


class ThreadMeeting(msgspec.Struct, frozen=True):
    """A male thread in a female one.

    ``sort`` is one of the five above; ``clearance`` the difference of the pitch diameters and
    ``overlap`` of the flanks in mm on the diameter, ``share`` that overlap in per cent of the full
    height; ``turns`` until the pitches bind (infinite for equal ones); ``full_turns`` those that a
    nut of one diameter has.
    """

    sort: str
    clearance: float
    overlap: float
    share: float
    turns: float
    full_turns: float


def meet(male: Thread, female: Thread, engaged: float | None = None) -> ThreadMeeting:
    """What happens when ``male`` is screwed into ``female``.

    ``engaged`` is the length of the female thread in mm; default one major diameter (common
    practice for a nut). Method: slack on the flanks over the difference of pitch (see
    :func:`knockon.graph.formulas.threads.profile.turns_before_binding`). It binds where that happens within
    the engaged length, and else runs the whole way. A left-hand thread does not start in a
    right-hand one. Raises ValueError for flanks other than 60 degrees: they need a thread gauge.
    """
    if male.flank_angle != 60 or female.flank_angle != 60:
        raise ValueError("only 60 degree threads are compared. Use a thread gauge for other flanks")
    sizes = (male.major, male.pitch, female.major, female.pitch)
    clearance, overlap = low(pitch_diameter_clearance(*sizes)), low(flank_overlap(*sizes))
    turns = low(turns_before_binding(*sizes))
    full_turns = (female.major if engaged is None else engaged) / female.pitch
    return ThreadMeeting(
        sort=_sort(male, female, clearance, overlap, turns < full_turns),
        clearance=clearance,
        overlap=overlap,
        share=low(flank_overlap_share(*sizes)),
        turns=turns,
        full_turns=full_turns,
    )


def meeting_in_words(male_major: Value, male_pitch: Value, female_major: Value, female_pitch: Value) -> str:
    """What happens when one thread is screwed into another, in words: ``would start and bind after about 5 turns``.

    Parameters in mm, 60 degree profile; the middle of each is taken, and a female thread one diameter long. Method: as
    :func:`meet`, slack on the flanks over the difference of pitch (ASME B1.1, ISO 68-1).
    Valid range: sizes above 0.
    """
    male = Thread(designation="", system="", major=middle(male_major), pitch=middle(male_pitch))
    female = Thread(designation="", system="", major=middle(female_major), pitch=middle(female_pitch))
    found = meet(male, female)
    turns = f"about {found.turns:.0f} turns" if found.turns >= 1.5 else f"{found.turns:.1f} of a turn"
    held = f", on {found.share:.0f} % of the flanks' height" if found.share < 100 else ""
    return {
        SAME: "one thread",
        WILL_NOT_START: "would not start",
        DROPS_THROUGH: "would drop through",
        BINDS: f"would start and bind after {turns}{held}",
        RUNS_LOOSE: f"would run the whole way, loose{held}",
    }[found.sort]


def _sort(male: Thread, female: Thread, clearance: float, overlap: float, binds: bool) -> str:
    if male.left_hand != female.left_hand:
        return WILL_NOT_START
    same_pitch = abs(male.pitch - female.pitch) < SAME_PITCH
    if same_pitch and abs(male.major - female.major) < SAME_MAJOR:
        return SAME
    if clearance < 0:
        return WILL_NOT_START
    if overlap <= 0:
        return DROPS_THROUGH
    return BINDS if binds else RUNS_LOOSE
