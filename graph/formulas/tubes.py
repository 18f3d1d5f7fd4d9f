"""Brake tubes, flares and hoses: how they are named, and what a flare measures.

Tube is named by its nominal outside diameter, hose by its nominal inside diameter (49 CFR 571.106, definitions). A
thread that goes in says nothing about the seat: inverted and bubble flares exist with the same nut.
"""

from __future__ import annotations

import msgspec

from knockon.graph.formulas.interval import Interval, Value, as_interval
from knockon.graph.standards.tables import table

HOSE_CLASSES = ("1/8 inch or 3 mm or less", "3/16 inch or 4 to 5 mm", "1/4 inch or 6 mm or more")
"""Hydraulic hose sizes of 49 CFR 571.106, table I, by nominal inside diameter."""

_BETWEEN = 1e-9


class Flare(msgspec.Struct, frozen=True):
    """A 45 degree flare: nominal tube diameter in mm, single or double, outside diameter, greatest wall of a double."""

    tube: float
    double: bool
    outside: Interval
    greatest_wall: float


def hose_class(inside_diameter: float) -> str:
    """The size class of a hydraulic hose by nominal inside diameter in mm.

    A diameter between two classes belongs to the middle one (nhtsa.gov/interpretations/04-009678drn-2). Raises
    ValueError for 0 or less.
    Source: 49 CFR 571.106, table I.
    """
    if inside_diameter <= 0:
        raise ValueError("a hose has an inside diameter above 0")
    if inside_diameter <= 25.4 / 8 + _BETWEEN:
        return HOSE_CLASSES[0]
    return HOSE_CLASSES[1] if inside_diameter < 6.0 else HOSE_CLASSES[2]


def flares() -> list[Flare]:
    """All 45 degree flares of the table (tnlab.org on SAE J533-2024, a secondary page).

    Valid range: the tube sizes of the table.
    """
    return [
        Flare(
            tube=float(row["tube_mm"]),
            double=row["kind"] == "double",
            outside=Interval(float(row["least_mm"]), float(row["greatest_mm"])),
            greatest_wall=float(row["double_wall_mm"]),
        )
        for row in table("flares")
    ]


def flares_like(outside_diameter: Value) -> list[Flare]:
    """The flares of the table (see :func:`flares` for its source) that a measured outside diameter in mm may be."""
    reading = as_interval(outside_diameter)
    return [f for f in flares() if f.outside.overlaps(reading)]
