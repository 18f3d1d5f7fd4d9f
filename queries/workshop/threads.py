"""Threads: sizes by designation and class, and what happens when one is screwed into another."""

from __future__ import annotations

import math

from knockon.graph.formulas.threads.fasteners import area_of
from knockon.graph.formulas.threads.limits import (
    METRIC_SOURCE,
    UN_SOURCE,
    crest_overlap,
    half_pitch_turns,
    thread_limits,
)
from knockon.graph.formulas.threads.pairs import (
    BINDS,
    DROPS_THROUGH,
    RUNS_LOOSE,
    SAME,
    WILL_NOT_START,
    ThreadMeeting,
    meet,
)
from knockon.graph.formulas.threads.profile import minor_diameter, pitch_diameter
from knockon.graph.quantity.thread_names import Thread, parse_thread
from knockon.queries.workshop.answer import Amount, Calculation, amount
from knockon.queries.workshop.vehicle import VEHICLE_SHORT_CAUTIONS

PROFILE = "ASME B1.1 and ISO 68-1, basic profile (60 degrees)"
_CLASSES = {True: {"inch": "2A", "metric": "6g"}, False: {"inch": "2B", "metric": "6H"}}


def sizes(designation: str, thread_class: str = "") -> Calculation:
    """Basic sizes in mm, stress area in mm2 and limits of a thread.

    Without a class the usual pair (2A and 2B, 6g and 6H) is given.
    Raises ThreadNameError, ThreadClassError.
    """
    thread = parse_thread(designation)
    wanted = thread_class or thread.thread_class
    classes = [wanted] if wanted else [_CLASSES[external][thread.system] for external in (True, False)]
    results = [
        amount("major diameter", thread.major, "mm", "basic"),
        amount("pitch", thread.pitch, "mm", f"{thread.per_inch:.4g} per inch"),
        amount("pitch diameter", pitch_diameter(thread.major, thread.pitch, thread.flank_angle), "mm", "basic"),
    ]
    if thread.flank_angle == 60:
        results += [
            amount("minor diameter, female", minor_diameter(thread.major, thread.pitch), "mm", "basic"),
            amount("stress area", area_of(thread), "mm2"),
        ]
        for name in classes:
            results += _limits(thread, name)
    return Calculation(
        subject="thread",
        question=f"How big is {thread.designation}?",
        given=(),
        results=tuple(results),
        says=() if thread.flank_angle == 60 else ("Limits and stress area are known for 60 degree threads only.",),
        sources=(PROFILE, UN_SOURCE if thread.system == "inch" else METRIC_SOURCE),
        cautions=("Take no torque from here. Use the manual's.", *VEHICLE_SHORT_CAUTIONS),
    )


def pair(male: str, female: str, engaged: float | None = None) -> Calculation:
    """What happens when ``male`` is screwed into ``female``; ``engaged`` is the female's length in mm.

    Raises ThreadNameError; ValueError for flanks other than 60 degrees.
    """
    bolt, nut = parse_thread(male), parse_thread(female)
    found = meet(bolt, nut, engaged)
    back = meet(nut, bolt)
    results = [
        amount("difference of major diameters", bolt.major - nut.major, "mm", "male less female"),
        amount("difference of pitch", bolt.pitch - nut.pitch, "mm", "male less female"),
        amount("clearance of pitch diameters", found.clearance, "mm", "below zero: does not start"),
        amount("flank overlap", found.overlap, "mm", "on the diameter"),
        amount("share of the full height", found.share, "%"),
    ]
    if math.isfinite(found.turns):
        results.append(amount("turns before it binds", found.turns, "turns", f"of {found.full_turns:.1f} engaged"))
    crests = half_pitch_turns(bolt.pitch, nut.pitch)
    if math.isfinite(crests):
        results.append(amount("turns to half a pitch", crests, "turns", "of lead error: crest on crest"))
    results += _real_overlap(bolt, nut)
    return Calculation(
        subject="threads",
        question=f"What happens when {bolt.designation} is screwed into {nut.designation}?",
        given=(),
        results=tuple(results),
        says=tuple(_says(found, back)),
        assumptions=("basic sizes. Real threads differ within their classes",)
        + (("female thread one diameter long",) if engaged is None else ()),
        sources=(f"slack on the flanks over the difference of pitch. {PROFILE}",),
        cautions=(
            "Two threads that go together are one thread only if a thread gauge says so.",
            *VEHICLE_SHORT_CAUTIONS,
        ),
        good=found.sort == SAME,
    )


def _limits(thread: Thread, thread_class: str) -> list[Amount]:
    found = thread_limits(thread, thread_class)
    results = [amount(f"pitch diameter {thread_class}", found.pitch, "mm")]
    if found.external:
        results.insert(0, amount(f"major diameter {thread_class}", found.major, "mm"))
    if found.minor is not None:
        results.append(amount(f"minor diameter {thread_class}", found.minor, "mm", "the tap hole"))
    return results


def _real_overlap(bolt: Thread, nut: Thread) -> list[Amount]:
    """The overlap within the usual classes, where both threads have them."""
    try:
        male = thread_limits(bolt, _CLASSES[True][bolt.system])
        female = thread_limits(nut, _CLASSES[False][nut.system])
    except ValueError:
        return []
    return [
        amount(
            "flank overlap within classes",
            crest_overlap(male, female),
            "mm",
            f"on the radius, {male.thread_class} in {female.thread_class}",
        )
    ]


def _says(found: ThreadMeeting, back: ThreadMeeting) -> list[str]:
    lines = {
        SAME: "The same thread.",
        WILL_NOT_START: "It does not start.",
        DROPS_THROUGH: "It drops through without touching.",
        BINDS: f"It starts and binds after about {_turns(found.turns)}: it feels tight and is not home.",
        RUNS_LOOSE: "It runs the whole way with nothing to feel, and holds by a part of the flanks only.",
    }
    says = [lines[found.sort]]
    if found.sort in (BINDS, RUNS_LOOSE):
        says.append(f"The flanks overlap by {found.share:.0f} % of their height. Do not use.")
    if found.sort == WILL_NOT_START and back.sort in (BINDS, RUNS_LOOSE):
        says.append("The other way round it does start: male and female changed over would be the trap.")
    return says


def _turns(turns: float) -> str:
    return f"{turns:.0f} turns" if turns >= 1.5 else f"{turns:.1f} of a turn"
