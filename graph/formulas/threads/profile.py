"""Screw threads: the basic profile, and what happens when two different threads meet.

Symbols: d or D major diameter, d2 or D2 pitch diameter, d1 or D1 minor diameter (capitals: the
female thread), P pitch, all in mm; H the height of the sharp triangle.
"""

from __future__ import annotations

import math

from knockon.graph.formulas.interval import Interval, Value, as_interval, hull
from knockon.graph.formulas.registry import states

TRIANGLE_60 = math.sqrt(3) / 2
"""H/P of the 60 degree profile."""
PITCH_DEPTH_60 = 0.75 * TRIANGLE_60
"""(d - d2)/P of the 60 degree profile: 3 sqrt(3)/8."""
THREAD_DEPTH_60 = 1.25 * TRIANGLE_60
"""(D - D1)/P of the 60 degree profile: 5 sqrt(3)/8."""
PITCH_DEPTH_30 = 0.5
"""(d - d2)/P of the 30 degree trapezoidal profile."""
PITCH_DEPTH_55 = 0.640327
"""(d - d2)/P of the 55 degree profile (BS 84), whose crests and roots are rounded."""
_TAN_HALF_ANGLE = math.tan(math.radians(30))


@states(
    units="mm mm deg",
    unit="mm",
    source="ASME B1.1 and ISO 68-1, basic profile: d2 = d - 0.75 H, H = sqrt(3)/2 P. "
    "BS 84, from memory: d2 = d - 0.640327 P. ISO 2904 (DIN 103), from memory: d2 = d - 0.5 P",
)
def pitch_diameter(major: Value, pitch: Value, flank_angle: Value = 60) -> Value:
    """Basic pitch diameter in mm.

    Parameters: ``major`` diameter d and ``pitch`` P in mm, both positive; ``flank_angle`` between
    the two flanks in degrees, 60 (UN, ISO metric), 55 (Whitworth form; its constant is from
    memory) or 30 (trapezoidal; from memory). Formula: d2 = d - 0.75 H with H = sqrt(3)/2 P (ASME
    B1.1, ISO 68-1); 55 degrees: d2 = d - 0.640327 P (BS 84); 30 degrees: d2 = d - 0.5 P (ISO 2904,
    DIN 103). Raises ValueError for any other angle, and for an interval of angles.
    """
    return major - _pitch_depth(flank_angle) * pitch


@states(
    units="mm",
    unit="mm",
    source="ASME B1.1 and ISO 68-1, basic profile: D1 = D - 1.25 H, H = sqrt(3)/2 P",
)
def minor_diameter(major: Value, pitch: Value) -> Value:
    """Basic minor diameter D1 of the female thread in mm, 60 degree profile.

    Parameters: ``major`` diameter D and ``pitch`` P in mm. Formula: D1 = D - 1.25 H (ASME B1.1, ISO
    68-1).
    Valid range: diameter above 1.0825 times the pitch.
    """
    return major - THREAD_DEPTH_60 * pitch


@states(units="mm", unit="mm", source="ASME B1.1 and ISO 68-1, basic profile: D2 - d2")
def pitch_diameter_clearance(male_major: Value, male_pitch: Value, female_major: Value, female_pitch: Value) -> Value:
    """Female less male pitch diameter, D2 - d2, in mm.

    Below zero the male thread is too big to start.

    Parameters in mm, 60 degree profile. Formula: the difference of two basic pitch diameters (ASME
    B1.1, ISO 68-1).
    Valid range: sizes above 0.
    """
    return female_major - male_major + PITCH_DEPTH_60 * (male_pitch - female_pitch)


@states(units="mm", unit="mm", source="ASME B1.1 and ISO 68-1, basic profile: d - D1")
def flank_overlap(male_major: Value, male_pitch: Value, female_major: Value, female_pitch: Value) -> Value:
    """Male major less female minor diameter, d - D1, in mm on the diameter.

    At or below zero the male thread drops through.

    Parameters in mm, 60 degree profile; ``male_pitch`` is taken for the sake of one argument list
    for any two threads and changes nothing. Formula: d - (D - 1.25 H) (ASME B1.1, ISO 68-1).
    """
    del male_pitch
    return male_major - female_major + THREAD_DEPTH_60 * female_pitch


@states(units="mm", unit="%", source="ASME B1.1 and ISO 68-1, basic profile: (d - D1)/(D - D1)")
def flank_overlap_share(male_major: Value, male_pitch: Value, female_major: Value, female_pitch: Value) -> Value:
    """Flank overlap in per cent of the female thread's full height; 100 for two equal threads.

    Parameters in mm, 60 degree profile; ``male_pitch`` changes nothing (see :func:`flank_overlap`).
    Formula: (d - D1)/(D - D1), written as 1 + (d - D)/(1.25 H) so that each argument occurs once
    (ASME B1.1, ISO 68-1).
    Valid range: female pitch above 0.
    """
    del male_pitch
    return 100.0 * (1.0 + (male_major - female_major) / (THREAD_DEPTH_60 * female_pitch))


@states(
    units="mm",
    unit="turns",
    source="slack on the flanks over the difference of pitch: (D2 - d2) tan 30 / |p - P|. "
    "Basic profiles of ASME B1.1 and ISO 68-1",
)
def turns_before_binding(male_major: Value, male_pitch: Value, female_major: Value, female_pitch: Value) -> Value:
    """Turns until the lead error has used up the axial slack between the flanks.

    Parameters in mm, 60 degree profile, basic sizes: real threads lie within their tolerances, so
    this is a guide. Formula: slack = (D2 - d2) tan 30; turns = slack / |difference of pitch|.
    Infinite for equal pitches, 0 where the male thread does not start (D2 < d2).
    """
    step = male_pitch - female_pitch
    play = female_major - male_major
    if not isinstance(step, Interval) and not isinstance(play, Interval):
        return _turns(play, step)
    sides = [_turns_of_side(as_interval(play), side) for side in _sides(as_interval(step))]
    return hull(*sides)


def _pitch_depth(flank_angle: Value) -> float:
    angle = as_interval(flank_angle)
    depths = {60: PITCH_DEPTH_60, 55: PITCH_DEPTH_55, 30: PITCH_DEPTH_30}
    if angle.low == angle.high and angle.low in depths:
        return depths[int(angle.low)]
    raise ValueError(f"a flank angle of {angle.low:g} to {angle.high:g} degrees is none of 60, 55 and 30")


def _turns(play: float, step: float) -> float:
    clearance = play + PITCH_DEPTH_60 * step
    if clearance < 0:
        return 0.0
    # Two pitches that differ by less than a millionth of a millimetre are one pitch written in two units.
    return math.inf if abs(step) < 1e-6 else clearance * _TAN_HALF_ANGLE / abs(step)


def _sides(step: Interval) -> list[Interval]:
    """The difference of pitch below zero, and above zero: the turns are monotone in each."""
    sides = []
    if step.low <= 0:
        sides.append(Interval(step.low, min(step.high, 0.0)))
    if step.high >= 0:
        sides.append(Interval(max(step.low, 0.0), step.high))
    return sides


def _turns_of_side(play: Interval, step: Interval) -> Interval:
    corners = [_turns(p, s) for p in (play.low, play.high) for s in (step.low, step.high)]
    return Interval(min(corners), max(corners))


__all__ = [
    "PITCH_DEPTH_30",
    "PITCH_DEPTH_55",
    "PITCH_DEPTH_60",
    "THREAD_DEPTH_60",
    "flank_overlap",
    "flank_overlap_share",
    "minor_diameter",
    "pitch_diameter",
    "pitch_diameter_clearance",
    "turns_before_binding",
]
