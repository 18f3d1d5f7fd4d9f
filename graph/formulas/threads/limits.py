"""Limits of size of screw threads by class: UN 1A to 3B, ISO metric 6g, 6H and their relatives.

Lengths in mm. The inch formulas reproduce the printed tables that were checked within 0.0001 in
(minor diameters, which the standard rounds to three decimals at larger sizes, within 0.0005 in).
The metric ones rest on the tables of tolerances beside this module.
"""

from __future__ import annotations

import math

import msgspec

from knockon.graph.formulas.interval import Interval, Value, high, low, over_corners
from knockon.graph.formulas.threads.profile import minor_diameter, pitch_diameter
from knockon.graph.quantity.thread_names import INCH, Thread
from knockon.graph.standards.tables import table

UN_SOURCE = "ASME B1.1 (formulas from memory, checked against printed rows)"
METRIC_SOURCE = "ISO 965-1, ISO 965-3 (grade 6 from the table of threadlib, other grades by factor)"

_UN_FACTOR = {"1A": 1.5, "2A": 1.0, "3A": 0.75, "1B": 1.95, "2B": 1.3, "3B": 0.975}
_GRADE_FACTOR = {3: 0.5, 4: 0.63, 5: 0.8, 6: 1.0, 7: 1.25, 8: 1.6, 9: 2.0}
_R40 = (100, 106, 112, 118, 125, 132, 140, 150, 160, 170, 180, 190, 200, 212, 224, 236, 250, 265,
        280, 300, 315, 335, 355, 375, 400, 425, 450, 475, 500, 530, 560, 600, 630, 670, 710, 750,
        800, 850, 900, 950, 1000)  # fmt: skip


class ThreadClassError(ValueError):
    """There are no limits for this class, or not for this size."""


class ThreadLimits(msgspec.Struct, frozen=True):
    """Limits of one thread in mm.

    ``minor`` is given for a female thread (its tap hole) and None for a male one. The major
    diameter of a female thread has no upper limit in the standard: ``major.high`` is infinite
    there.
    """

    thread_class: str
    external: bool
    major: Interval
    pitch: Interval
    minor: Interval | None
    allowance: float
    source: str


def thread_limits(thread: Thread, thread_class: str = "") -> ThreadLimits:
    """Limits in mm of ``thread`` in ``thread_class`` (default: the class in its designation).

    UN: 1A, 2A, 3A, 1B, 2B, 3B; engagement as the class tables assume it (one diameter for UNC and
    UNF, nine pitches for UN and UNEF). Metric: 6g, 6h, 6H, 6G and grades 3 to 9 beside 6.
    Sources: ASME B1.1, ISO 965-1 (see UN_SOURCE and METRIC_SOURCE). Raises ThreadClassError.
    """
    wanted = thread_class or thread.thread_class
    if not wanted:
        raise ThreadClassError(f"{thread.designation}: no class is given (such as 2A or 6g)")
    if thread.flank_angle != 60:
        raise ThreadClassError(f"{thread.designation}: limits are known for 60 degree threads only")
    return _un(thread, wanted.upper()) if thread.system == "inch" else _metric(thread, wanted)


def stress_area(major: Value, pitch: Value, inch: bool = False) -> Value:
    """Tensile stress area in mm2 of a male thread; sizes in mm.

    ISO 898-1: pi/4 ((d2 + d3)/2)^2 = pi/4 (d - 0.9382 P)^2; ``inch``: pi/4 (d - 0.9743 P)^2 (ASME
    B1.1). Raises ValueError where the pitch is too coarse for the diameter.
    """
    factor = 0.9743 if inch else 0.938194

    def area(d: float, p: float) -> float:
        if d <= factor * p:
            raise ValueError("the pitch is too coarse for the diameter")
        return math.pi / 4 * (d - factor * p) ** 2

    return over_corners(area, major, pitch)


def half_pitch_turns(pitch: float, other_pitch: float) -> float:
    """Turns until the lead error of two pitches (mm) has grown to half the finer pitch; infinite for equal ones.

    Definition, no source: at half a pitch crest stands against crest. The turns before two real
    threads bind are fewer, see :func:`knockon.graph.formulas.threads.profile.turns_before_binding`.
    Valid range: pitches above 0.
    """
    step = abs(pitch - other_pitch)
    return math.inf if step < 1e-6 else min(pitch, other_pitch) / 2 / step


def _un(thread: Thread, klass: str) -> ThreadLimits:
    if klass not in _UN_FACTOR:
        raise ThreadClassError(f"{klass!r} is not one of {', '.join(_UN_FACTOR)}")
    d, p = thread.major / INCH, thread.pitch / INCH
    engagement = d if thread.series in ("UNC", "UNF") else 9 * p
    basis = 0.0015 * math.cbrt(d) + 0.0015 * math.sqrt(engagement) + 0.015 * math.pow(p, 2 / 3)
    tolerance = _UN_FACTOR[klass] * basis
    pitch = low(pitch_diameter(d, p))
    if klass.endswith("A"):
        allowance = 0.3 * basis if klass in ("1A", "2A") else 0.0
        major_tolerance = (0.090 if klass == "1A" else 0.060) * math.pow(p, 2 / 3)
        return ThreadLimits(
            thread_class=klass,
            external=True,
            major=_inch_window(d - allowance, -major_tolerance),
            pitch=_inch_window(pitch - allowance, -tolerance),
            minor=None,
            allowance=allowance * INCH,
            source=UN_SOURCE,
        )
    return ThreadLimits(
        thread_class=klass,
        external=False,
        major=Interval(thread.major, math.inf),
        pitch=_inch_window(pitch, tolerance),
        minor=_inch_window(low(minor_diameter(d, p)), _un_minor_tolerance(d, p, klass)),
        allowance=0.0,
        source=UN_SOURCE,
    )


def _un_minor_tolerance(d: float, p: float, klass: str) -> float:
    """Tolerance of the internal minor diameter in inches (ASME B1.1, from memory)."""
    coarse = 0.25 * p - 0.4 * p * p if p <= 0.25 else 0.15 * p
    if klass == "3B":
        fine = 0.05 * math.pow(p, 2 / 3) + 0.03 * p / d - 0.002
        least = 0.12 * p if p >= 1 / 12 else 0.23 * p - 1.5 * p * p
        return max(min(fine, 0.394 * p), least)
    if d < 0.25:
        return max(min(0.05 * math.pow(p, 2 / 3) + 0.03 * p / d - 0.002, 0.394 * p), coarse)
    return coarse


def _inch_window(basis: float, change: float) -> Interval:
    ends = sorted((basis * INCH, (basis + change) * INCH))
    return Interval(ends[0], ends[1])


def _metric(thread: Thread, klass: str) -> ThreadLimits:
    external = klass[-1].islower()
    parts = (klass[:2], klass[2:] or klass[:2])
    (pitch_grade, position), (crest_grade, other) = ((int(p[0]), p[1]) for p in parts)
    if position != other or position not in "ghGH" or not {pitch_grade, crest_grade} <= set(_GRADE_FACTOR):
        raise ThreadClassError(f"{klass!r}: no class of a metric thread, such as 6g or 6H, is that")
    row = _pitch_row(thread)
    shift = float(row["g"]) / 1000 if position in "gG" else 0.0
    column = "external_6" if external else "internal_6"
    pitch_tolerance = _graded(_pitch_diameter_row(thread)[column], pitch_grade)
    pitch = low(pitch_diameter(thread.major, thread.pitch))
    if external:
        crest = _graded(row["major_6"], crest_grade)
        top = thread.major - shift
        return ThreadLimits(
            thread_class=klass,
            external=True,
            major=Interval(top - crest, top),
            pitch=Interval(pitch - shift - pitch_tolerance, pitch - shift),
            minor=None,
            allowance=shift,
            source=METRIC_SOURCE,
        )
    if not row["minor_6"]:
        raise ThreadClassError(f"no tolerance of the minor diameter is known for pitch {row['pitch']}")
    bottom = low(minor_diameter(thread.major, thread.pitch)) + shift
    return ThreadLimits(
        thread_class=klass,
        external=False,
        major=Interval(thread.major + shift, math.inf),
        pitch=Interval(pitch + shift, pitch + shift + pitch_tolerance),
        minor=Interval(bottom, bottom + _graded(row["minor_6"], crest_grade)),
        allowance=-shift,
        source=METRIC_SOURCE,
    )


def _pitch_row(thread: Thread) -> dict[str, str]:
    for row in table("metric_tolerances"):
        if math.isclose(float(row["pitch"]), thread.pitch, abs_tol=1e-9):
            return row
    raise ThreadClassError(f"{thread.designation}: no tolerances are known for this pitch")


def _pitch_diameter_row(thread: Thread) -> dict[str, str]:
    for row in table("metric_pitch_diameters"):
        inside = float(row["over"]) < thread.major <= float(row["up_to"])
        if inside and math.isclose(float(row["pitch"]), thread.pitch, abs_tol=1e-9):
            return row
    raise ThreadClassError(f"{thread.designation}: no tolerances are known for this diameter and pitch")


def _graded(cell: str, grade: int) -> float:
    """A grade 6 tolerance in um as another grade in mm, rounded to the R 40 series as the standard does."""
    value = float(cell) * _GRADE_FACTOR[grade]
    if grade == 6:
        return value / 1000
    scale = 10.0 ** (math.floor(math.log10(value)) - 2)
    return min(_R40, key=lambda r: abs(r * scale - value)) * scale / 1000


def crest_overlap(male: ThreadLimits, female: ThreadLimits) -> Interval:
    """Radial overlap of the flanks in mm with real limits: half of male major less female minor diameter.

    Raises ThreadClassError unless ``male`` is a bolt's limits and ``female`` a nut's.
    Geometry.
    """
    if not male.external or female.minor is None:
        raise ThreadClassError("the first must be a male thread's limits, the second a female's")
    minor = female.minor
    return Interval((male.major.low - high(minor)) / 2, (male.major.high - low(minor)) / 2)
