"""Fasteners: what a torque that has a source does to a bolt. Never a torque of our own."""

from __future__ import annotations

from collections.abc import Callable

import msgspec

from knockon.graph.formulas.interval import Interval, Value, as_interval, high, low
from knockon.graph.formulas.press_fits import STEEL_MODULUS
from knockon.graph.formulas.threads import fasteners as formulas
from knockon.graph.quantity.thread_names import Thread, parse_thread
from knockon.queries.workshop.answer import COMMON_PRACTICE, Amount, Calculation, amount, influences
from knockon.queries.workshop.vehicle import VEHICLE_SHORT_CAUTIONS

DRY = Interval(0.15, 0.25)
"""K of threads as they come: 0.2 give or take a quarter. Common practice, no source."""

_JOINT_SOURCE = "stretch F L/(A E) (Hooke), rigid clamped parts. Stress (F + C P)/A (Shigley)"
_NOT_A_TORQUE = "This checks a stated torque. It proposes none: the manual's torque stands."


class NoSourceError(ValueError):
    """A torque without a source is not used."""


class Joint(msgspec.Struct, frozen=True):
    """What is clamped: its length in mm, a pull from outside in N, and the share of that which the bolt takes."""

    length: Value | None = None
    pull: Value | None = None
    share: Value = 1.0


BARE = Joint()
"""Nothing known of what is clamped."""


def factor_from_friction(thread: str, thread_friction: Value, head_friction: Value) -> Value:
    """K of T = K d F (no unit) from the friction in the thread and under a hexagon head. Raises ThreadNameError."""
    bolt = parse_thread(thread)
    return formulas.torque_factor(bolt.major, bolt.pitch, thread_friction, head_friction)


def check_torque(
    thread: str, grade: str, torque: Value, source: str, factor: Value = DRY, joint: Joint = BARE
) -> Calculation:
    """Preload of a stated torque (N m) against the proof load of the bolt.

    ``source`` says where the torque is printed and must not be empty. ``factor`` is K of T = K d F. Raises
    NoSourceError, ThreadNameError, GradeError.
    """
    bolt = parse_thread(thread)

    def preload(t: Value, k: Value) -> Value:
        return formulas.preload_of(t, bolt.major, k)

    inputs = {"torque": torque, "factor K": factor}
    stated = _Stated(amount("torque", torque, "N m", source), inputs, preload)
    return _checked(bolt, grade, source, stated, joint)


def check_preload(
    thread: str, grade: str, preload: Value, source: str, factor: Value = DRY, joint: Joint = BARE
) -> Calculation:
    """A stated preload (N) against the proof load, and the torque that would go with it, to hold against the manual's.

    ``source`` says where the preload is printed and must not be empty. Raises NoSourceError, ThreadNameError,
    GradeError.
    """
    bolt = parse_thread(thread)
    torque = amount(
        "torque that goes with it", formulas.torque_for(preload, bolt.major, factor), "N m", "to compare, not to use"
    )
    given = amount("preload", preload, "N", source)
    return _checked(bolt, grade, source, _Stated(given, {"preload": preload}, lambda f: f, (torque,)), joint)


class _Stated(msgspec.Struct, frozen=True):
    """A torque or a preload as it is printed, by name the inputs from which ``preload_of`` gives the preload in N, and
    what goes with it."""

    given: Amount
    inputs: dict[str, Value]
    preload_of: Callable[..., Value]
    more: tuple[Amount, ...] = ()


def _checked(bolt: Thread, grade: str, source: str, stated: _Stated, joint: Joint) -> Calculation:
    """The share of the proof load that a preload takes."""
    if not source.strip():
        raise NoSourceError("say where this is printed: a torque or preload without a source is not used")
    quality = formulas.grade(grade, bolt.major)
    area = formulas.area_of(bolt)
    proof_load = low(formulas.proof_load(area, quality.proof))

    def share_of(*values: Value) -> Value:
        return 100 / proof_load * stated.preload_of(*values)

    inputs = stated.inputs
    share, preload = share_of(*inputs.values()), stated.preload_of(*inputs.values())
    factor = (amount("factor K", inputs["factor K"], "", "assumption"),) if "factor K" in inputs else ()
    return Calculation(
        subject="bolt",
        question=f"What does this do to a bolt {bolt.designation} of grade {quality.name}?",
        given=(
            stated.given,
            *factor,
            amount("stress area", area, "mm2"),
            amount("proof stress", quality.proof, "MPa", quality.source),
        ),
        results=(
            amount("preload", preload, "N"),
            amount("proof load", proof_load, "N"),
            amount("share of the proof load", share, "%"),
            *stated.more,
            *_in_the_joint(bolt, area, preload, joint),
        ),
        says=(_says(share),),
        influences=influences(share_of, inputs),
        assumptions=("plain threads and faces as they come. Oil, plating and locking threads change K",),
        sources=(
            "T = K d F. Proof load = stress area x proof stress",
            f"K 0.15 to 0.25 as found: {COMMON_PRACTICE}",
            *(() if joint.length is None and joint.pull is None else (_JOINT_SOURCE,)),
        ),
        cautions=(_NOT_A_TORQUE, "The grade must be marked on the head.", *VEHICLE_SHORT_CAUTIONS),
        good=high(share) <= 100,
    )


def _in_the_joint(bolt: Thread, area: float, preload: Value, joint: Joint) -> tuple[Amount, ...]:
    """Stretch and turn from snug over a clamped length, and the stress under a pull from outside."""
    found: list[Amount] = []
    if joint.length is not None:
        longer = formulas.stretch(preload, joint.length, area, STEEL_MODULUS)
        found += [
            amount("stretch of the bolt", longer, "mm", "steel, the whole length of the thread's stress area"),
            amount("turn from snug", formulas.turn_for(longer, bolt.pitch), "deg", "rigid clamped parts"),
        ]
    if joint.pull is not None:
        stress = formulas.bolt_stress(preload, joint.pull, joint.share, area)
        found.append(amount("stress under that pull", stress, "MPa", "compare with the proof stress"))
    return tuple(found)


def proof(thread: str, grade: str) -> Calculation:
    """Proof load in N of a bolt by grade. Raises ThreadNameError, GradeError."""
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
        cautions=("No torque follows from this: use the manual's.", *VEHICLE_SHORT_CAUTIONS),
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
        sources=(f"geometry. Only forward: {COMMON_PRACTICE}",),
        cautions=(
            "A new split pin, always.",
            "Where the manual sets a bearing's float, its own rule stands.",
            *VEHICLE_SHORT_CAUTIONS,
        ),
    )


def _says(share: Value) -> str:
    span = as_interval(share)
    if span.low > 100:
        return "Above the proof load for every K taken: the torque, the grade or the thread is wrong. Check the source."
    if span.high > 100:
        return "May reach above the proof load with slippery threads: check the grade and what the source says of oil."
    if f"{span.low:.0f}" == f"{span.high:.0f}":
        return f"Takes {span.low:.0f} % of the proof load."
    return f"Between {span.low:.0f} and {span.high:.0f} % of the proof load."
