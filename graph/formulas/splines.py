"""Involute splines: how deep the teeth of two splines reach into each other."""

from __future__ import annotations

from knockon.graph.formulas.registry import states
from knockon.graph.interval import Value

_HALF = 0.5


@states(units="mm", unit="mm", source="geometry: half the difference of the two diameters")
def tooth_overlap(male_major: Value, female_minor: Value) -> Value:
    """How far the male teeth reach between the female teeth, in mm of radius.

    Below zero they pass without touching.

    Parameters: male major and female minor diameter in mm. Formula: half their difference.
    """
    return _HALF * (male_major - female_minor)


@states(units="mm", unit="mm", source="geometry: half the difference of the two diameters")
def tooth_depth(female_major: Value, female_minor: Value) -> Value:
    """The depth of the female spaces in mm of radius.

    Parameters: female major and minor diameter in mm. Formula: half their difference.
    """
    return _HALF * (female_major - female_minor)
