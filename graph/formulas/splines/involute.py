"""Involute splines: how two of them meet, and how a worn one is measured.

The diameters that the standards give are in :mod:`knockon.graph.formulas.splines.standards`. Lengths
in mm, angles in degrees.
"""

from __future__ import annotations

import math

import msgspec

from knockon.graph.formulas.interval import Value, high, low, over_corners
from knockon.graph.formulas.registry import states

WILL_NOT_ENTER = "will not enter"
DROPS_THROUGH = "drops through"
TIPS_ONLY = "enters, but only the tips overlap"
RIGHT = "right"
OPEN = "not known from these sizes"

SAME_MODULE = 0.002
"""Modules closer than this (mm) are one pitch written in two units."""

_HALF = 0.5


@states(units="mm", unit="mm", source="geometry: half the difference of the two diameters")
def tooth_overlap(male_major: Value, female_minor: Value) -> Value:
    """How far the male teeth reach between the female teeth, in mm of radius.

    Below zero they pass without touching.
    Parameters: male major and female minor diameter in mm. Formula: half their difference.
    """
    return _HALF * (male_major - female_minor)


def overlap_in_words(male_major: Value, female_minor: Value) -> str:
    """Whether the teeth pass each other, in words; blank where they reach each other. Diameters in mm.

    Geometry.
    Valid range: diameters above 0.
    """
    return "would drop through: the teeth do not touch" if high(tooth_overlap(male_major, female_minor)) < 0 else ""


@states(units="mm", unit="mm", source="geometry: half the difference of the two diameters")
def tooth_depth(female_major: Value, female_minor: Value) -> Value:
    """The depth of the female spaces in mm of radius.

    Parameters: female major and minor diameter in mm. Formula: half their difference.
    Valid range: diameters above 0, the major not below the minor.
    """
    return _HALF * (female_major - female_minor)


@states(
    units="mm count",
    unit="mm",
    source="geometry: flat jaws across an odd count touch one tip and the edge between two, D (1 + cos(180/N))/2",
)
def flat_jaw_reading(major_diameter: Value, teeth: Value) -> Value:
    """What flat caliper jaws show across a male spline, in mm: less than its major diameter where the count is odd.

    Parameters: ``major_diameter`` D in mm, ``teeth`` N (a whole number, 3 or more). Formula: even
    counts D; odd counts D (1 + cos(180/N))/2, because one jaw rests on a tip and the other on the
    two tips opposite (geometry). Raises ValueError for a count that is no whole number from 3 up.
    """
    return major_diameter * _jaw_factor(teeth)


@states(units="mm count", unit="mm", source="geometry: the inverse of flat_jaw_reading")
def major_from_flat_jaws(reading: Value, teeth: Value) -> Value:
    """Major diameter in mm of a male spline from what flat caliper jaws show; inverse of :func:`flat_jaw_reading`.

    Valid range: reading above 0, whole counts from 3 up (else ValueError).
    """
    return reading / _jaw_factor(teeth)


def involute(angle: float) -> float:
    """The involute function tan(a) - a of an angle in degrees from 0 up to (not including) 90; result in radians.

    Source: definition of the involute function.
    """
    radians = math.radians(angle)
    return math.tan(radians) - radians


def angle_of_involute(value: float) -> float:
    """The angle in degrees whose involute is ``value`` (0 or more); inverse of :func:`involute`, to 1e-12 degrees."""
    if value < 0:
        raise ValueError("an involute below zero has no angle")
    lower, upper = 0.0, 89.999
    for _ in range(80):
        half = (lower + upper) / 2
        lower, upper = (half, upper) if involute(half) < value else (lower, half)
    return (lower + upper) / 2


def tooth_over_pins(teeth: int, module: float, pressure_angle: float, pin: float, thickness: Value) -> Value:
    """Measurement over two pins of a male spline, in mm.

    Parameters: ``module`` in mm (25.4 / diametral pitch), ``pressure_angle`` in degrees, ``pin``
    diameter in mm, ``thickness`` of the teeth on the pitch circle in mm. Formula: inv(a) = t/D +
    inv(phi) + d/Db - pi/N, then Db/cos(a) + d for even counts, Db cos(90/N)/cos(a) + d for odd ones
    (ANSI B92.1 appendix; from memory).
    Valid range: pins that rest on the flanks (else ValueError), pressure angle 14 to 50 degrees.
    """
    d, base, phi = _circles(teeth, module, pressure_angle)

    def over(t: float) -> float:
        value = t / d + phi + pin / base - math.pi / teeth
        if value < 0:
            raise ValueError("these pins are too small to rest on the flanks")
        angle = angle_of_involute(value)
        return base * _odd(teeth) / math.cos(math.radians(angle)) + pin

    return over_corners(over, thickness)


def thickness_from_pins(teeth: int, module: float, pressure_angle: float, pin: float, measured: Value) -> Value:
    """Tooth thickness on the pitch circle in mm from a measurement over two pins; inverse of :func:`tooth_over_pins`.

    Raises ValueError where the measurement is too small for the pins to rest on the flanks.
    """
    d, base, phi = _circles(teeth, module, pressure_angle)

    def thickness(m: float) -> float:
        cosine = base * _odd(teeth) / (m - pin)
        if not 0 < cosine <= 1:
            raise ValueError("over these pins the measurement lies inside the base circle")
        angle = math.degrees(math.acos(cosine))
        return d * (involute(angle) - phi - pin / base + math.pi / teeth)

    return over_corners(thickness, measured)


def space_between_pins(teeth: int, module: float, pressure_angle: float, pin: float, width: Value) -> Value:
    """Measurement between two pins of a female spline, in mm; ``width`` is the space width on the pitch circle.

    Formula: inv(a) = s/D + inv(phi) - d/Db, then Db/cos(a) - d for even counts, Db cos(90/N)/cos(a)
    - d for odd ones (ANSI B92.1 appendix; from memory). Raises ValueError where the pins are too
    big to lie in the spaces.
    """
    d, base, phi = _circles(teeth, module, pressure_angle)

    def between(s: float) -> float:
        value = s / d + phi - pin / base
        if value < 0:
            raise ValueError("these pins are too big for the spaces")
        angle = math.radians(angle_of_involute(value))
        return base * _odd(teeth) / math.cos(angle) - pin

    return over_corners(between, width)


class SplineEnd(msgspec.Struct, frozen=True):
    """One half of a spline joint: ``tip`` is a male's major and a female's minor diameter, ``root`` a female's major.

    ``root`` is not used of a male. Sizes in mm, ``pressure_angle`` in degrees.
    """

    teeth: int
    module: float
    pressure_angle: float
    tip: Value
    root: Value | None = None


class SplineMeeting(msgspec.Struct, frozen=True):
    """A male spline in a female one: ``sort`` is one of the five above, ``overlap`` and ``depth`` in mm of radius."""

    sort: str
    differs: tuple[str, ...]
    clearance: Value | None
    overlap: Value
    depth: Value | None


def meet(male: SplineEnd, female: SplineEnd) -> SplineMeeting:
    """What happens when ``male`` is pushed into ``female``.

    Will not enter: its major diameter is above the female's. Drops through: its major diameter is
    below the female's minor. Right: tooth count, module and pressure angle agree. Else only the
    tips overlap. Where intervals leave two of these possible, the sort is :data:`OPEN`.
    Source: geometry of the diameters; counts, modules and angles equal by ANSI B92.1 and ISO 4156.
    """
    overlap = tooth_overlap(male.tip, female.tip)
    clearance = None if female.root is None else female.root - male.tip
    depth = None if female.root is None else tooth_depth(female.root, female.tip)
    differs = tuple(_differences(male, female))
    return SplineMeeting(
        sort=_sort(clearance, overlap, differs),
        differs=differs,
        clearance=clearance,
        overlap=overlap,
        depth=depth,
    )


def _differences(male: SplineEnd, female: SplineEnd) -> list[str]:
    found = []
    if male.teeth != female.teeth:
        found.append("tooth count")
    if abs(male.module - female.module) > SAME_MODULE:
        found.append("pitch")
    if abs(male.pressure_angle - female.pressure_angle) > 0.1:
        found.append("pressure angle")
    return found


def _sort(clearance: Value | None, overlap: Value, differs: tuple[str, ...]) -> str:
    if clearance is not None and high(clearance) < 0:
        return WILL_NOT_ENTER
    if high(overlap) <= 0:
        return DROPS_THROUGH
    if low(overlap) <= 0 or (clearance is not None and low(clearance) < 0):
        return OPEN
    return TIPS_ONLY if differs else RIGHT


def _circles(teeth: int, module: float, pressure_angle: float) -> tuple[float, float, float]:
    """Pitch diameter, base diameter, involute of the pressure angle."""
    if not 14 <= pressure_angle <= 50:
        raise ValueError(
            f"a pressure angle of {pressure_angle:g} degrees is outside 14 to 50 (30, 37.5 and 45 are usual)"
        )
    d = teeth * module
    return d, d * math.cos(math.radians(pressure_angle)), involute(pressure_angle)


def _odd(teeth: int) -> float:
    return math.cos(math.pi / 2 / teeth) if teeth % 2 else 1.0


def _jaw_factor(teeth: Value) -> float:
    count = low(teeth)
    if count != high(teeth) or count != int(count) or count < 3:
        raise ValueError(f"{teeth} is not a tooth count (a whole number, 3 or more)")
    return (1 + math.cos(math.pi / count)) / 2 if int(count) % 2 else 1.0
