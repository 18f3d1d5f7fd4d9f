"""Splines: diameters by standard, how two of them meet, and what a caliper or pins show."""

from __future__ import annotations

import math

from knockon.graph.formulas.interval import Value, as_interval
from knockon.graph.formulas.splines import involute as formulas
from knockon.graph.formulas.splines import standards
from knockon.graph.formulas.splines.involute import SplineEnd
from knockon.graph.formulas.splines.standards import SplineSizes
from knockon.queries.workshop.answer import Amount, Calculation, amount, influences
from knockon.queries.workshop.vehicle import VEHICLE_SHORT_CAUTIONS

_GO_TOGETHER = "Geometry of the two diameters. Tooth count, pitch and pressure angle must agree (ANSI B92.1, ISO 4156)"


def sizes(found: SplineSizes) -> Calculation:
    """The diameters in mm of one spline, as the standards' functions give them."""
    optional = [
        ("external minor diameter", found.external_minor),
        ("internal major diameter", found.internal_major),
        ("internal minor diameter", found.internal_minor),
        ("least effective space width", found.space_width),
        ("form clearance", found.form_clearance),
    ]
    return Calculation(
        subject="spline",
        question=f"How big is a spline of {found.teeth} teeth, module {found.module:.4f} mm, {found.form}?",
        given=(amount("teeth", found.teeth, ""), amount("module", found.module, "mm"), _angle(found.pressure_angle)),
        results=(
            amount("pitch diameter", found.pitch_diameter, "mm"),
            amount("base diameter", found.base_diameter, "mm"),
            amount("circular pitch", found.circular_pitch, "mm"),
            amount("external major diameter", found.external_major, "mm"),
            *(amount(name, value, "mm") for name, value in optional if value is not None),
        ),
        assumptions=("basic sizes, no deviation of a class of fit",),
        sources=(f"{found.standard}: {found.source}",),
        cautions=VEHICLE_SHORT_CAUTIONS,
    )


def pair(male: SplineEnd, female: SplineEnd) -> Calculation:
    """How a male spline meets a female one; sizes in mm, pressure angles in degrees."""
    found = formulas.meet(male, female)
    results = [amount("overlap of the teeth", found.overlap, "mm", "on the radius")]
    if found.depth is not None:
        results.append(amount("depth of the spaces", found.depth, "mm", "on the radius"))
    if found.clearance is not None:
        results.append(amount("room over the tips", found.clearance, "mm", "below zero: will not enter"))
    return Calculation(
        subject="splines",
        question="What happens when these two splines meet?",
        given=tuple(_end("male", "major diameter", male) + _end("female", "minor diameter", female)),
        results=tuple(results),
        says=tuple(_says(found)),
        influences=influences(formulas.tooth_overlap, {"male major": male.tip, "female minor": female.tip}),
        sources=(_GO_TOGETHER,),
        cautions=(
            "How far the two overlap along the axis decides too: 0.8 pitch diameters is common practice.",
            *VEHICLE_SHORT_CAUTIONS,
        ),
        good=found.sort == formulas.RIGHT,
    )


def flat_jaws(reading: Value, teeth: int) -> Calculation:
    """Major diameter of a male spline from what flat jaws show across it, in mm."""
    major = formulas.major_from_flat_jaws(reading, teeth)
    odd = bool(teeth % 2)
    return Calculation(
        subject="spline by caliper",
        question=f"How big is a spline of {teeth} teeth over which flat jaws show this?",
        given=(amount("reading", reading, "mm"), amount("teeth", teeth, "")),
        results=(amount("major diameter", major, "mm"),),
        says=(
            "An odd count: one jaw stands on a tip and the other on the edge of two, so flat jaws show too little."
            if odd
            else "An even count: flat jaws show the major diameter itself.",
        ),
        influences=influences(lambda r: formulas.major_from_flat_jaws(r, teeth), {"reading": reading}),
        sources=("geometry: odd counts read D (1 + cos(180/N))/2",),
        cautions=VEHICLE_SHORT_CAUTIONS,
    )


def over_pins(teeth: int, module: float, pressure_angle: float, pin: float, measured: Value) -> Calculation:
    """Tooth thickness of a male spline from a measurement over two pins, in mm. Raises ValueError."""
    thickness = formulas.thickness_from_pins(teeth, module, pressure_angle, pin, measured)
    basic = math.pi / 2 * module
    nominal = formulas.tooth_over_pins(teeth, module, pressure_angle, pin, basic)
    return Calculation(
        subject="spline over pins",
        question=f"How thick are the teeth of a spline of {teeth} teeth, measured over two pins?",
        given=(
            amount("teeth", teeth, ""),
            amount("module", module, "mm"),
            _angle(pressure_angle),
            amount("pin diameter", pin, "mm"),
            amount("over pins", measured, "mm"),
        ),
        results=(
            amount("tooth thickness on the pitch circle", thickness, "mm"),
            amount("basic thickness", basic, "mm", "half the circular pitch"),
            amount("over pins at basic thickness", nominal, "mm"),
            amount("thinner than basic by", basic - thickness, "mm", "wear and deviation together"),
        ),
        influences=influences(
            lambda m: formulas.thickness_from_pins(teeth, module, pressure_angle, pin, m), {"over pins": measured}
        ),
        sources=("ANSI B92.1, measurement over pins (from memory)",),
        cautions=VEHICLE_SHORT_CAUTIONS,
    )


def between_pins(teeth: int, module: float, pressure_angle: float, pin: float, measured: Value) -> Calculation:
    """A female spline measured between two pins, against what its basic space width would give; in mm.

    Raises ValueError.
    """
    basic = math.pi / 2 * module
    nominal = formulas.space_between_pins(teeth, module, pressure_angle, pin, basic)
    return Calculation(
        subject="spline between pins",
        question=f"How wide are the spaces of a spline of {teeth} teeth, measured between two pins?",
        given=(
            amount("teeth", teeth, ""),
            amount("module", module, "mm"),
            _angle(pressure_angle),
            amount("pin diameter", pin, "mm"),
            amount("between pins", measured, "mm"),
        ),
        results=(
            amount("between pins at basic space width", nominal, "mm"),
            amount("basic space width", basic, "mm", "half the circular pitch"),
            amount("more than that by", measured - nominal, "mm", "wear and deviation together"),
        ),
        influences=influences(lambda m: m - nominal, {"between pins": measured}),
        sources=("ANSI B92.1, measurement between pins (from memory)",),
        cautions=VEHICLE_SHORT_CAUTIONS,
    )


def by_designation(teeth: int, pitch: float | None, module: float | None, form: str = "") -> SplineSizes:
    """Sizes by ANSI B92.1 for a diametral pitch or by ISO 4156 for a module in mm; 30 degree flat root unless said.

    Raises SplineError.
    """
    if pitch is not None:
        return standards.ansi_b92_1(teeth, pitch, form or "30 flat side")
    if module is None:
        raise standards.SplineError("a spline needs a pitch (24/48) or a module")
    return standards.iso_4156(teeth, module, form or "30 flat")


def male_end(found: SplineSizes, major: Value | None = None) -> SplineEnd:
    """The male half of a spline; ``major`` replaces the standard's external major diameter in mm."""
    return SplineEnd(found.teeth, found.module, found.pressure_angle, found.external_major if major is None else major)


def female_end(found: SplineSizes, minor: Value | None = None, root: Value | None = None) -> SplineEnd:
    """The female half; ``minor`` and ``root`` replace the standard's internal minor and major diameter in mm.

    ISO 4156's minor diameter follows from form diameters; without ``minor`` m (Z - 1) is taken, which is that of ANSI
    B92.1.
    """
    own = found.internal_minor if found.internal_minor is not None else found.module * (found.teeth - 1)
    return SplineEnd(
        found.teeth,
        found.module,
        found.pressure_angle,
        own if minor is None else minor,
        found.internal_major if root is None else root,
    )


def _angle(degrees: float) -> Amount:
    return amount("pressure angle", degrees, "deg")


def _end(role: str, tip: str, end: SplineEnd) -> list[Amount]:
    found = [
        amount(f"{role} teeth", end.teeth, ""),
        amount(f"{role} module", end.module, "mm"),
        amount(f"{role} pressure angle", end.pressure_angle, "deg"),
        amount(f"{role} {tip}", end.tip, "mm"),
    ]
    if end.root is not None:
        found.append(amount(f"{role} major diameter", end.root, "mm"))
    return found


def _says(found: formulas.SplineMeeting) -> list[str]:
    lines = {
        formulas.RIGHT: "Right: count, pitch and angle agree, and the teeth reach into each other.",
        formulas.WILL_NOT_ENTER: "It does not enter: the male tips are bigger than the bottom of the female spaces.",
        formulas.DROPS_THROUGH: "It drops through: the teeth do not touch.",
        formulas.TIPS_ONLY: "It slides on and only the tips overlap. Do not use: it strips.",
        formulas.OPEN: "Not decided: these sizes leave more than one outcome possible. Measure closer.",
    }
    says = [lines[found.sort]]
    if found.differs:
        says.append("Different: " + ", ".join(found.differs) + ".")
    if found.sort == formulas.TIPS_ONLY and found.depth is not None:
        depth, overlap = as_interval(found.depth), as_interval(found.overlap)
        says.append(f"The teeth overlap by {overlap.middle:.2f} of {depth.middle:.2f} mm.")
    return says
