"""Wheels: rim diameters, bolt circles from what calipers reach, studs, room around the caliper, track.

Lengths in mm unless a name says inch.
"""

from __future__ import annotations

import math

from knockon.graph.formulas.interval import Interval, Value, high, hull, low, minimum
from knockon.graph.formulas.registry import states
from knockon.graph.quantity.thread_names import INCH

RIM_REDUCTION_IN = 0.032
"""By how much the specified diameter of a 5 degree drop-centre rim is smaller than its code, in inches."""


def nominal_rim_diameter(code: float) -> int:
    """Nominal rim diameter d of a tyre or rim code (inches) in whole mm: 10 gives 254, 15 gives 381.

    Formula: 25.4 times the code, rounded (UN Regulation 30, 2.17; from memory). Not the diameter of
    the bead seat, see :func:`specified_rim_diameter`: 330 and 329.4 are the same 13 inch wheel.
    Raises ValueError for a code outside 8..30.
    """
    _check_code(code)
    return math.floor(INCH * code + 0.5)


def specified_rim_diameter(code: float) -> float:
    """Specified diameter in mm of a 5 degree drop-centre car rim: (code - 0.032) in.

    Source: tyres.wordpress.com/2006/12/11/with-rims-inches-rules (14 gives 13.968 in). Raises
    ValueError for a code outside 8..30.
    """
    _check_code(code)
    return INCH * (code - RIM_REDUCTION_IN)


@states(units="mm count", unit="mm", source="geometry: PCD = s / sin(180/n)")
def bolt_circle(spacing: Value, holes: Value) -> Value:
    """Bolt circle diameter in mm from the distance of the centres of two neighbouring holes.

    Parameters: ``spacing`` s in mm, ``holes`` n (3 to 12). Formula: s / sin(180/n) (geometry).
    Valid range: spacing above 0, whole counts from 3 to 12 (else ValueError).
    """
    return spacing / math.sin(math.pi / _holes(holes))


@states(units="mm count", unit="mm", source="geometry: s = PCD sin(180/n)")
def adjacent_spacing(bolt_circle_diameter: Value, holes: Value) -> Value:
    """Distance of the centres of two neighbouring holes in mm; inverse of :func:`bolt_circle`.

    Valid range: circle above 0, whole counts from 3 to 12 (else ValueError); both in mm.
    """
    return bolt_circle_diameter * math.sin(math.pi / _holes(holes))


def chord_circle(chord: Value, holes: int, steps: int) -> Value:
    """Bolt circle in mm from the centre distance of two holes that are ``steps`` apart (1 neighbouring, 2 skip one).

    Formula: c / sin(180 steps/n) (geometry). ``steps`` from 1 to n/2.
    """
    _holes(holes)
    if not 1 <= steps <= holes / 2:
        raise ValueError(f"{steps} steps do not lie across {holes} holes")
    return chord / math.sin(math.pi * steps / holes)


def centre_distance(over_outside: Value, hole: Value) -> Value:
    """Centre distance in mm from the distance over the outer edges of two equal holes or studs.

    Geometry.
    Valid range: distance above the hole.
    """
    return over_outside - hole


def centre_distance_between(between_inside: Value, hole: Value) -> Value:
    """Centre distance in mm from the distance between the inner edges of two equal holes (or studs).

    Geometry.
    """
    return between_inside + hole


@states(units="mm", unit="mm", source="geometry: what stands beyond the seat, at most the thread in the nut")
def stud_engagement(stand_out: Value, seat_thickness: Value, nut_thread: Value) -> Value:
    """Length of stud in the nut's thread, in mm.

    Parameters: ``stand_out`` of the stud from the hub face, ``seat_thickness`` from that face to
    where the nut's thread starts (wheel, spacer, and how far the seat stands off), ``nut_thread``
    length of the thread in the nut. Formula: what of the stud is left, at most the nut's thread
    (geometry). At or below zero the nut does not catch.
    """
    return minimum(stand_out - seat_thickness, nut_thread)


def barrel_room(barrel_radius: Value, caliper_reach: Value, weights: Value = 0.0) -> Value:
    """Radial room in mm between rim barrel and caliper.

    Parameters: inner radius of the barrel at the caliper, radial reach of the caliper from the
    axle, thickness of what is stuck inside the barrel. Formula: barrel - weights - reach
    (geometry).
    """
    return barrel_radius - weights - caliper_reach


def face_room(dish_depth: Value, caliper_face: Value, spacer: Value = 0.0) -> Value:
    """Axial room in mm between the inside of the wheel's dish and the caliper's outboard face.

    Parameters: depth of the dish inboard of the wheel's mounting face where the caliper passes
    (positive away from the caliper), how far the caliper stands outboard of that face, thickness of
    a spacer. Formula: dish - face + spacer.
    """
    return dish_depth - caliper_face + spacer


@states(units="mm", unit="mm", source="geometry: both wheels move outward by face change + spacer - offset change")
def track_change(face_change: Value, offset_change: Value, spacer: Value = 0.0) -> Value:
    """Change of track in mm over the axle.

    Parameters: ``face_change`` by how much the mounting faces moved outboard on one side,
    ``offset_change`` of the wheels (more offset draws the wheel in), ``spacer``. Formula: 2 (face +
    spacer - offset) (geometry).
    Valid range: any sign.
    """
    return 2 * (face_change - offset_change + spacer)


def wrong_circle_error(first: Value, second: Value) -> Value:
    """Radial error in mm of each stud when a wheel of one bolt circle is put on another: half the difference.

    Geometry.
    Valid range: circles above 0.
    """
    return (first - second) / 2


def agreeing_circle(readings: list[Interval]) -> Interval | None:
    """The part that all readings of one bolt circle share, or None where they contradict each other.

    All in mm. Geometry of intervals.
    """
    lower, upper = max(r.low for r in readings), min(r.high for r in readings)
    return Interval(lower, upper) if lower <= upper else None


def circles_within(bolt_circle_diameter: Value, candidates: list[float]) -> list[float]:
    """Those of the candidate bolt circles (mm) that a measured one leaves possible.

    Geometry of intervals.
    Valid range: circles above 0.
    """
    span = hull(bolt_circle_diameter)
    return [c for c in candidates if low(span) <= c <= high(span)]


def _holes(holes: Value) -> int:
    count = low(holes)
    if count != high(holes) or count != int(count) or not 3 <= count <= 12:
        raise ValueError(f"{holes} is not a number of holes (a whole number from 3 to 12)")
    return int(count)


def _check_code(code: float) -> None:
    if not 8 <= code <= 30:
        raise ValueError(f"a rim code of {code:g} is outside 8 to 30 inches")
