"""Fasteners: what a torque that has a source does to a bolt. Never a torque of our own."""

from __future__ import annotations

from knockon.graph.formulas import fasteners as formulas
from knockon.graph.formulas.thread_names import parse_thread
from knockon.graph.interval import Interval, Value, as_interval, high, low
from knockon.queries.answers import SHORT_CAUTIONS
from knockon.queries.workshop.answer import COMMON_PRACTICE, Calculation, amount, influences

DRY = Interval(0.15, 0.25)
"""K of threads as they come: 0.2 give or take a quarter. Common practice, no source."""

_NOT_A_TORQUE = "This checks a stated torque. It proposes none: the manual's torque stands."


class NoSourceError(ValueError):
    """A torque without a source is not used."""


def check_torque(thread: str, grade: str, torque: Value, source: str, factor: Value = DRY) -> Calculation:
    """Preload of a stated torque (N m) against the proof load of the bolt.

    ``source`` says where the torque is printed and must not be empty. ``factor`` is K of T = K d F. Raises
    NoSourceError, ThreadNameError, GradeError.
    """
    if not source.strip():
        raise NoSourceError("say where this torque is printed: a torque without a source is not used")
    bolt = parse_thread(thread)
    quality = formulas.grade(grade, bolt.major)
    area = formulas.area_of(bolt)
    proof = low(formulas.proof_load(area, quality.proof))

    def share_of(t: Value, k: Value) -> Value:
        return 100 / proof * formulas.preload_of(t, bolt.major, k)

    inputs = {"torque": torque, "factor K": factor}
    share = share_of(*inputs.values())
    return Calculation(
        subject="bolt",
        question=f"What does this torque do to a bolt {bolt.designation} of grade {quality.name}?",
        given=(
            amount("torque", torque, "N m", source),
            amount("factor K", factor, "", "assumption"),
            amount("stress area", area, "mm2"),
            amount("proof stress", quality.proof, "MPa", quality.source),
        ),
        results=(
            amount("preload", formulas.preload_of(torque, bolt.major, factor), "N"),
            amount("proof load", proof, "N"),
            amount("share of the proof load", share, "%"),
        ),
        says=(_says(share),),
        influences=influences(share_of, inputs),
        assumptions=("plain threads and faces as they come; oil, plating and locking threads change K",),
        sources=("T = K d F; proof load = stress area x proof stress", f"K 0.15 to 0.25 as found: {COMMON_PRACTICE}"),
        cautions=(_NOT_A_TORQUE, "The grade must be marked on the head.", *SHORT_CAUTIONS),
        good=high(share) <= 100,
    )


def proof(thread: str, grade: str) -> Calculation:
    """Proof load of a bolt by grade. Raises ThreadNameError, GradeError."""
    bolt = parse_thread(thread)
    quality = formulas.grade(grade, bolt.major)
    area = formulas.area_of(bolt)
    results = [
        amount("stress area", area, "mm2"),
        amount("proof stress", quality.proof, "MPa"),
        amount("proof load", formulas.proof_load(area, quality.proof), "N"),
    ]
    if quality.tensile:
        results.append(amount("tensile strength", quality.tensile, "MPa"))
    return Calculation(
        subject="proof load",
        question=f"What does a bolt {bolt.designation} of grade {quality.name} carry?",
        given=(),
        results=tuple(results),
        sources=(quality.source, "stress area: ISO 898-1, ASME B1.1"),
        cautions=("No torque follows from this: use the manual's.", *SHORT_CAUTIONS),
    )


def next_slot(slots: int, pitch: float, holes: int = 1, past: Value = 0.0) -> Calculation:
    """How far a castellated nut goes on to the next slot, from the place where the stated torque is reached.

    ``past``: degrees that the pin hole already lies beyond a slot, if seen. ``pitch`` in mm. Raises ValueError.
    """
    step = formulas.slot_steps(slots, holes)
    onward = Interval(0.0, step) if high(past) == 0 else as_interval(step - past)
    return Calculation(
        subject="next slot",
        question="How far does the nut go on to the next slot?",
        given=(amount("slots", slots, ""), amount("pin holes", holes, ""), amount("pitch", pitch, "mm")),
        results=(
            amount("slots come round every", step, "deg"),
            amount("the nut goes on by", onward, "deg", "at most one step"),
            amount("that is along the thread", formulas.axial_of_turn(onward * (1 / 360), pitch), "mm"),
        ),
        says=("Only ever forward to the next slot, never back.",),
        sources=(f"geometry; only forward: {COMMON_PRACTICE}",),
        cautions=(
            "A new split pin, always.",
            "Where the manual sets a bearing's float, its own rule stands.",
            *SHORT_CAUTIONS,
        ),
    )


def _says(share: Value) -> str:
    span = as_interval(share)
    if span.low > 100:
        return "Above the proof load for every K taken: the torque, the grade or the thread is wrong. Check the source."
    if span.high > 100:
        return "May reach above the proof load with slippery threads: check the grade and what the source says of oil."
    return f"Between {span.low:.0f} and {span.high:.0f} % of the proof load."
