"""Fasteners: proof loads by grade, torque and preload, stretch, slots of a castellated nut.

A torque is never proposed here: these formulas check a torque that has a source against the bolt's proof load. Lengths
in mm, forces in N, stresses in MPa, torques in N m.
"""

from __future__ import annotations

import math

import msgspec

from knockon.graph.formulas.interval import Value, low, over_corners
from knockon.graph.formulas.threads.limits import stress_area
from knockon.graph.quantity.thread_names import Thread
from knockon.graph.standards.tables import table

KSI = 6.894757293168
"""MPa in 1000 lbf/in2."""
LBF = 4.4482216152605
"""N in one pound-force."""
LBF_FT = 1.3558179483314004
"""N m in one pound-force foot."""
DRY_FACTOR = 0.2
"""K of plain dry threads. Common practice; from 0.12 (greased) to 0.3 (rough) in workshops, no source."""
REUSABLE = 0.75
"""Share of the proof load for a joint that is opened again. Text books' rule (Shigley and Mischke)."""


class GradeError(ValueError):
    """There is no such grade, or not for this size."""


class Grade(msgspec.Struct, frozen=True):
    """Strength of one grade in MPa for one range of diameters; ``source`` says where the row was read."""

    name: str
    proof: float
    tensile: float | None
    source: str


def grade(name: str, major: float) -> Grade:
    """Proof stress of a grade (``8.8``, ``SAE 5``) for a nominal diameter in mm.

    Sources: ISO 898-1 and SAE J429 as printed in the pages that each row names. Raises GradeError.
    """
    wanted = name.upper().replace("SAE", "").replace("GRADE", "").strip()
    rows = [r for r in table("bolt_grades") if r["grade"] == wanted]
    if not rows:
        known = ", ".join(dict.fromkeys(r["grade"] for r in table("bolt_grades")))
        raise GradeError(f"{name!r} is not one of the grades {known} (SAE grades are the whole numbers)")
    for row in rows:
        if float(row["over_mm"]) < major <= float(row["up_to_mm"]):
            tensile = float(row["tensile_mpa"]) if row["tensile_mpa"] else None
            return Grade(wanted, float(row["proof_mpa"]), tensile, row["source"])
    raise GradeError(f"grade {wanted} is not given for a diameter of {major:g} mm")


def area_of(thread: Thread) -> float:
    """Tensile stress area in mm2 of a thread, by the formula of its own standard.

    Valid range: threads of 60 degrees.
    """
    return low(stress_area(thread.major, thread.pitch, inch=thread.system == "inch"))


def proof_load(area: Value, proof_stress: Value) -> Value:
    """Proof load in N: stress area (mm2) x proof stress (MPa).

    Source: ISO 898-1, SAE J429 (definition).
    Valid range: 0 or more.
    """
    return area * proof_stress


def torque_for(preload: Value, major: Value, factor: Value = DRY_FACTOR) -> Value:
    """Torque in N m: K d F, for a preload in N and a nominal diameter in mm.

    Source: machine design texts (Shigley and Mischke); K lies between 0.1 and 0.3 in practice.
    """
    return factor * major * preload / 1000


def preload_of(torque: Value, major: Value, factor: Value = DRY_FACTOR) -> Value:
    """Preload in N of a torque in N m: T/(K d); inverse of :func:`torque_for`.

    Valid range: torque of 0 or more; diameter and factor above 0.
    """
    return 1000 * torque / (factor * major)


def torque_factor(major: Value, pitch: Value, thread_friction: Value, head_friction: Value) -> Value:
    """K from friction, 60 degree threads, hexagon heads (mean collar diameter 1.25 d).

    Formula: dm/(2d) (tan l + mu/cos 30)/(1 - tan l mu/cos 30) + 0.625 muc, dm = (d + d - 1.2268 P)/2 (Shigley; Jindal
    ex. 9-3).
    Valid range: diameter above the pitch, friction 0 to 0.5.
    """

    def factor(d: float, p: float, mu: float, head: float) -> float:
        mean = d - 1.2268 * p / 2
        lead, slope = p / (math.pi * mean), mu / math.cos(math.radians(30))
        return mean / (2 * d) * (lead + slope) / (1 - lead * slope) + 0.625 * head

    return over_corners(factor, major, pitch, thread_friction, head_friction)


def bolt_stress(preload: Value, external: Value, share: Value, area: Value) -> Value:
    """Stress in MPa of a preloaded bolt under an external pull: (Fi + C P)/As (Shigley).

    Valid range: forces of 0 or more below yield, share 0 to 1, area above 0.
    """
    return (preload + share * external) / area


def stretch(preload: Value, length: Value, area: Value, modulus: Value) -> Value:
    """Stretch of a bolt in mm: F L/(A E) (Hooke).

    Valid range: below yield; length, area and modulus above 0.
    """
    return preload * length / (area * modulus)


def turn_for(stretch_length: Value, pitch: Value) -> Value:
    """Turn of the nut in degrees that takes up a length: 360 x/P. Only from snug, with rigid clamped parts.

    Formula: geometry of the screw; lengths in mm.
    Valid range: pitch above 0.
    """
    return 360.0 * stretch_length / pitch


def axial_of_turn(turns: Value, pitch: Value) -> Value:
    """Axial way in mm of a number of turns; ``pitch`` in mm.

    Formula: geometry of the screw.
    Valid range: any number of turns, pitch above 0.
    """
    return turns * pitch


def slot_steps(slots: int, holes: int = 1) -> float:
    """Degrees between two positions of a castellated nut in which a split pin goes through.

    ``slots`` of the nut (4, 6, 8, 10 or 12: a pin goes in and out, so the count is even), ``holes`` through the bolt:
    1, or 2 at right angles. Geometry: 360/slots, or the greatest common divisor of that and 90.
    """
    if slots not in (4, 6, 8, 10, 12) or holes not in (1, 2):
        raise ValueError("a castellated nut has 4, 6, 8, 10 or 12 slots, and a bolt has 1 or 2 pin holes")
    step = 360 // slots
    return float(step if holes == 1 else math.gcd(step, 90))
