"""Bearings: boundary dimensions by designation, float of a spacer-set pair, the spacer for a wanted float."""

from __future__ import annotations

from knockon.graph.formulas.bearings import (
    NORMAL_CLASS_T,
    DesignationError,
    bearing_sizes,
    bore_by_code,
    pair_float,
    radial_of_axial,
    spacer_for,
)
from knockon.graph.formulas.interval import Interval, Value, as_interval
from knockon.queries.workshop.answer import (
    FROM_MEMORY,
    Calculation,
    amount,
    influences,
    inside,
)
from knockon.queries.workshop.vehicle import VEHICLE_SHORT_CAUTIONS

COMMON_WINDOW = Interval(0.0, 0.10)
"""Float in mm of a spacer-set pair of taper bearings that workshops aim at. From memory. The manual decides."""

_FLOAT_SOURCE = "geometry of cups seated on a web: spacer - (web + (T1 - B1) + (T2 - B2))"


def dimensions(designation: str) -> Calculation:
    """Boundary dimensions in mm of a rolling bearing. Raises DesignationError, which names the bore by its code."""
    try:
        found = bearing_sizes(designation)
    except DesignationError as error:
        raise DesignationError(f"{error}{_by_code(designation)}") from None
    results = [amount("bore", found.bore, "mm"), amount("outside diameter", found.outside, "mm")]
    if found.assembled_width is None or found.cup_width is None:
        results.append(amount("width", found.width, "mm"))
    else:
        results += [
            amount("assembled width T", found.assembled_width, "mm"),
            amount("cone width B", found.width, "mm"),
            amount("cup width C", found.cup_width, "mm"),
        ]
    if found.chamfer is not None:
        results.append(amount("least chamfer", found.chamfer, "mm", "a fillet must be smaller"))
    return Calculation(
        subject="bearing",
        question=f"How big is a {found.kind} bearing {found.designation}?",
        given=(),
        results=tuple(results),
        says=("Equal bore and outside diameter do not make an equal bearing: compare the widths too.",),
        sources=(found.source, f"standing of the row: {found.checked}"),
        cautions=(
            "Suffixes (seal, cage, clearance class) change none of these sizes, but they matter.",
            *VEHICLE_SHORT_CAUTIONS,
        ),
    )


def _by_code(designation: str) -> str:
    """What the bore code says of a bearing that is not in the table."""
    try:
        bore = bore_by_code(designation)
    except DesignationError:
        return ""
    return f". By its bore code (ISO 15, common numbering) its bore would be {bore:g} mm. Measure the rest"


def pair(
    spacer: Value,
    web: Value,
    inner: tuple[Value, Value],
    outer: tuple[Value, Value],
    window: Interval = COMMON_WINDOW,
    factor_e: Value | None = None,
) -> Calculation:
    """Float of two taper bearings set by a spacer, and the spacer that would give a float within ``window``.

    All in mm; ``inner`` and ``outer`` are (assembled width T, cone width B). Below zero is preload. With ``factor_e``
    of the bearing's table (ISO 281) the radial play that goes with the float is given too.
    """

    def play(s: Value, w: Value, t1: Value, b1: Value, t2: Value, b2: Value) -> Value:
        return pair_float(s, w, (t1, b1), (t2, b2))

    inputs = {
        "spacer length": spacer,
        "web of the housing": web,
        "assembled width T, inner": inner[0],
        "cone width B, inner": inner[1],
        "assembled width T, outer": outer[0],
        "cone width B, outer": outer[1],
    }
    found = play(*inputs.values())
    needed = spacer_for(window, web, inner, outer)
    results = [amount("float", found, "mm", "below zero: preload")]
    if factor_e is not None:
        radial = radial_of_axial(found, factor_e)
        results.append(amount("radial play that goes with it", radial, "mm", f"axial x e/1.5 ({FROM_MEMORY})"))
    if needed is not None:
        results.append(amount("spacer for the wanted float", needed, "mm"))
    decided = inside(found, window)
    return Calculation(
        subject="bearing float",
        question="What float does this spacer give, and which spacer gives the wanted one?",
        given=(
            *(amount(n, v, "mm") for n, v in inputs.items()),
            amount("wanted float", window, "mm", _standing(window)),
        ),
        results=tuple(results),
        says=tuple(_verdict(found, decided, needed)),
        influences=influences(play, inputs),
        assumptions=("both cups home on the web, cones pressed in turn against the spacer",),
        sources=(_FLOAT_SOURCE,),
        cautions=(
            "Measure the pair that goes in. In the standard's normal class each T may be up to "
            f"{NORMAL_CLASS_T.high:.2f} mm over nominal ({FROM_MEMORY}), more than the window.",
            "Never leave the spacer out, and keep it with its own pair.",
            *VEHICLE_SHORT_CAUTIONS,
        ),
        good=decided == "yes",
    )


def _standing(window: Interval) -> str:
    return f"{FROM_MEMORY}. The manual decides" if window == COMMON_WINDOW else ""


def _verdict(found: Value, decided: str, needed: Interval | None) -> list[str]:
    span = as_interval(found)
    if decided == "yes":
        return ["The float lies within the wanted window."]
    lines = []
    if decided == "no":
        lines.append(
            "Preload: the spacer is too short." if span.high < 0 else "The float lies outside the wanted window."
        )
    else:
        lines.append("Not decided: these sizes allow a float inside and outside the wanted window.")
    if needed is None:
        lines.append("No spacer length can be promised from these sizes: measure the two bearings and the web.")
    return lines
