"""Brake tubes and hoses: which flare a reading is, which class a hose belongs to."""

from __future__ import annotations

from knockon.graph.formulas import tubes as formulas
from knockon.graph.formulas.interval import Value
from knockon.queries.workshop.answer import Calculation, Listing, amount
from knockon.queries.workshop.vehicle import VEHICLE_SHORT_CAUTIONS

NEVER_MIX = "Never mix flares: inverted (45 degree, double) and bubble flares exist with the same nut and do not seal."


def flare(outside: Value) -> Calculation:
    """Which 45 degree flares a measured outside diameter (mm) may be."""
    found = formulas.flares_like(outside)
    rows = tuple(
        (f"{f.tube:g} mm", "double" if f.double else "single", f"{f.outside} mm", f"{f.greatest_wall:g} mm")
        for f in found
    )
    return Calculation(
        subject="flare",
        question="Which flare measures this?",
        given=(amount("outside diameter of the flare", outside, "mm"),),
        results=(),
        says=(
            "It may be one of these." if found else "No 45 degree flare of the table measures this: look at its form.",
            "No single flare on brakes." if any(not f.double for f in found) else "Look at the form too.",
        ),
        listings=(Listing("45 degree flares", ("tube", "kind", "outside", "greatest wall (double)"), rows),)
        if rows
        else (),
        sources=(
            "SAE J533-2024 as given at tnlab.org (a secondary page)",
            "no single flare on brakes: common practice",
        ),
        cautions=(NEVER_MIX, *VEHICLE_SHORT_CAUTIONS),
        good=bool(found),
    )


def hose(inside: float) -> Calculation:
    """The size class of a hydraulic brake hose by nominal inside diameter (mm). Raises ValueError."""
    return Calculation(
        subject="hose",
        question="Which class is this hose?",
        given=(amount("inside diameter", inside, "mm", "nominal"),),
        results=(),
        says=(
            f"Class: {formulas.hose_class(inside)}.",
            "A hose is named by its inside, a tube by its outside diameter.",
        ),
        sources=("49 CFR 571.106, table I and definitions",),
        cautions=(
            "A brake hose carries the marking of its standard. Do not fit one without it.",
            *VEHICLE_SHORT_CAUTIONS,
        ),
    )
