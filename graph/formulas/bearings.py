"""Rolling bearings: boundary dimensions by designation, and the float of a pair set by a spacer.

Lengths in mm.
"""

from __future__ import annotations

import re

import msgspec

from knockon.graph.formulas.interval import Interval, Value, high, low
from knockon.graph.formulas.registry import states
from knockon.graph.standards.tables import table

NORMAL_CLASS_T = Interval(0.0, 0.20)
"""Deviation of the assembled width T of a small taper bearing of normal class in mm (ISO 492; from memory)."""

_SMALL_BORES = {"00": 10.0, "01": 12.0, "02": 15.0, "03": 17.0}


class DesignationError(ValueError):
    """The designation is not of a kind whose dimensions are known here."""


class BearingSizes(msgspec.Struct, frozen=True):
    """Boundary dimensions in mm.

    ``width`` is B of a radial bearing and of a taper bearing's cone; ``cup_width`` C and ``assembled_width`` T belong
    to taper bearings only; ``chamfer`` is the least chamfer (r s min) where two tables agree on it. ``checked`` says
    what the row rests on.
    """

    designation: str
    kind: str
    bore: float
    outside: float
    width: float
    cup_width: float | None
    assembled_width: float | None
    chamfer: float | None
    source: str
    checked: str


def bearing_sizes(designation: str) -> BearingSizes:
    """Boundary dimensions in mm by designation: ``6205``, ``6205-2RS``, ``30205``, ``32005 X``.

    Suffixes for cages, seals and clearance are ignored (they change none of the three). Source: ISO
    15 for radial, ISO 355 for taper bearings, as printed in the tables that each row names. Raises
    DesignationError with the nearest ones.
    """
    wanted = _core(designation)
    rows = {_core(r["designation"]): r for r in table("bearings")}
    row = rows.get(wanted) or rows.get(wanted + "X")
    if not wanted[:1].isdigit():
        raise DesignationError(f"{designation!r} is not the designation of a bearing. Enter one such as 6205 or 32005X")
    if row is None:
        near = sorted(k for k in rows if k[:3] == wanted[:3]) or sorted(rows)
        raise DesignationError(f"{designation!r} is not in the table. Near it are {', '.join(near[:8])}")
    cup, assembled = row["C"], row["T"]
    return BearingSizes(
        designation=row["designation"],
        kind=row["kind"],
        bore=float(row["d"]),
        outside=float(row["D"]),
        width=float(row["B"]),
        cup_width=float(cup) if cup else None,
        assembled_width=float(assembled) if assembled else None,
        chamfer=float(row["r"]) if row["r"] else None,
        source=row["source"],
        checked=row["checked"],
    )


def bore_by_code(designation: str) -> float:
    """Bore in mm from the bore code, the last two digits: 00 to 03 are 10, 12, 15, 17, from 04 on five times the code.

    ``/28`` states the bore itself. Source: ISO 15 and the makers' common numbering (``/28`` from
    memory). Raises DesignationError.
    """
    direct = re.search(r"/(\d+(?:\.\d+)?)", designation)
    if direct:
        return float(direct[1])
    digits = re.match(r"\s*\D*(\d+)", designation)
    if not digits or len(digits[1]) < 4:
        raise DesignationError(f"{designation!r} has no bore code of two digits")
    code = digits[1][-2:]
    return _SMALL_BORES.get(code, 5.0 * int(code))


def pair_float(spacer: Value, web: Value, inner: tuple[Value, Value], outer: tuple[Value, Value]) -> Value:
    """Axial float in mm of two taper bearings with widths (T, B) of their own, set by a spacer.

    Below zero it is preload. Formula: spacer - (web + (T1 - B1) + (T2 - B2)) (geometry of cups seated on the web).
    Valid range: lengths above 0, in mm.
    """
    return spacer - spacer_for_no_float(web, *inner, *outer)


@states(units="mm", unit="mm", source="geometry of cups seated on a web with cones facing: web + (T1 - B1) + (T2 - B2)")
def spacer_for_no_float(
    web: Value,
    inner_assembled_width: Value,
    inner_cone_width: Value,
    outer_assembled_width: Value,
    outer_cone_width: Value,
) -> Value:
    """Length in mm of the spacer that leaves neither float nor preload between two taper bearings.

    Parameters in mm: ``web`` of the housing between the cups' shoulders, assembled width T and cone width B of each
    bearing. A spacer longer by x gives a float of x. Formula: web + (T1 - B1) + (T2 - B2) (geometry of cups seated on
    the web).
    """
    return web + (inner_assembled_width - inner_cone_width) + (outer_assembled_width - outer_cone_width)


def spacer_for(window: Interval, web: Value, inner: tuple[Value, Value], outer: tuple[Value, Value]) -> Interval | None:
    """Spacer lengths in mm that give a float within ``window`` for every size left open by the other arguments.

    None where no length does: the sizes are known too loosely for the window, and the pair must be
    measured. Formula: the inverse of :func:`pair_float`.
    """
    zero = spacer_for_no_float(web, *inner, *outer)
    shortest, longest = window.low + high(zero), window.high + low(zero)
    return Interval(shortest, longest) if shortest <= longest else None


def _core(designation: str) -> str:
    """A designation without blanks, prefix stars and suffixes; the X of ISO 355 dimensions stays."""
    text = designation.upper().replace("*", "").replace(" ", "").strip()
    match = re.match(r"(\d+(?:/\d+)?)(X?)", text)
    return match[1] + match[2] if match else text


def radial_of_axial(axial: Value, e: Value) -> Value:
    """Radial play of a taper bearing from its axial play: axial x e/1.5, ``e`` of ISO 281 (from memory).

    Both in one unit, such as mm.
    Valid range: play of 0 or more, e of 0.2 to 0.6 as tables give it.
    """
    return axial * e / 1.5
