"""Fits: limits of a tolerance class, clearance of a fit, and what a press fit does."""

from __future__ import annotations

from knockon.graph.formulas import limits_and_fits, press_fits
from knockon.graph.formulas.interval import Interval, Value, high, low, maximum
from knockon.graph.formulas.limits_and_fits import CLEARANCE, INTERFERENCE, TRANSITION, limits_of_size
from knockon.graph.formulas.press_fits import Ring
from knockon.graph.standards import iso286
from knockon.queries.workshop.answer import Calculation, Listing, amount, influences
from knockon.queries.workshop.vehicle import VEHICLE_SHORT_CAUTIONS

_SAYS = {
    CLEARANCE: "A clearance fit: the shaft goes in for every pair within limits.",
    TRANSITION: "A transition fit: a pair may turn out loose or tight. Measure the two parts.",
    INTERFERENCE: "An interference fit: the shaft is never smaller than the hole. It needs pressing or heat.",
}


def limits(nominal: float, tolerance_class: str) -> Calculation:
    """Limits of size of one class at a nominal size in mm. Raises ToleranceClassError."""
    found = iso286.deviations(nominal, tolerance_class)
    kind = "hole" if found.hole else "shaft"
    return Calculation(
        subject="limits",
        question=f"What may a {kind} {nominal:g} {found.tolerance_class} measure?",
        given=(amount("nominal size", nominal, "mm"),),
        results=(
            amount("limits of size", limits_of_size(found), "mm"),
            amount("deviations", Interval(found.lower, found.upper), "um"),
        ),
        sources=(iso286.SOURCE,),
        cautions=VEHICLE_SHORT_CAUTIONS,
    )


def fit(nominal: float, hole_class: str, shaft_class: str) -> Calculation:
    """Clearance and sort of a fit at a nominal size in mm. Raises ToleranceClassError."""
    found = limits_and_fits.fit(nominal, hole_class, shaft_class)
    gap = found.clearance * 1e-3
    return Calculation(
        subject="fit",
        question=f"What does {nominal:g} {hole_class}/{shaft_class} give?",
        given=(amount("nominal size", nominal, "mm"),),
        results=(
            amount(f"hole {hole_class}", limits_of_size(found.hole), "mm"),
            amount(f"shaft {shaft_class}", limits_of_size(found.shaft), "mm"),
            amount("clearance", gap, "mm", "below zero: interference"),
        ),
        says=(_SAYS[found.sort],),
        influences=influences(
            lambda h, s: h - s,
            {
                f"hole {hole_class}": limits_of_size(found.hole),
                f"shaft {shaft_class}": limits_of_size(found.shaft),
            },
        ),
        sources=(iso286.SOURCE,),
        cautions=VEHICLE_SHORT_CAUTIONS,
    )


def measured_fit(hole: Value, shaft: Value) -> Calculation:
    """Clearance and sort of a fit of two measured parts, sizes in mm."""
    gap = hole - shaft
    return Calculation(
        subject="fit",
        question="What fit do these two parts make?",
        given=(amount("hole", hole, "mm"), amount("shaft", shaft, "mm")),
        results=(amount("clearance", gap, "mm", "below zero: interference"),),
        says=(_SAYS[limits_and_fits.sort_of_fit(gap)],),
        influences=influences(lambda h, s: h - s, {"hole": hole, "shaft": shaft}),
        sources=("geometry: hole minus shaft",),
        cautions=VEHICLE_SHORT_CAUTIONS,
    )


def classes(nominal: float, window: Interval, hole: bool) -> Calculation:
    """The tolerance classes, IT5 to IT11, whose limits at a nominal size lie within a window; in mm."""
    found = limits_and_fits.classes_within(nominal, window, hole)
    spans = [(n, limits_of_size(iso286.deviations(nominal, n))) for n in found]
    rows = tuple((n, f"{s.low:.3f} mm", f"{s.high:.3f} mm") for n, s in spans)
    kind = "hole" if hole else "shaft"
    return Calculation(
        subject="classes",
        question=f"Which classes of a {kind} of {nominal:g} mm lie within these limits?",
        given=(amount("nominal size", nominal, "mm"), amount("limits wanted", window, "mm")),
        results=(amount("classes that do", float(len(found)), ""),),
        says=(f"Widest first: {', '.join(found[:8])}.",) if found else ("None from IT5 to IT11.",),
        listings=(Listing("Classes", ("class", "smallest", "greatest"), rows),) if rows else (),
        sources=(iso286.SOURCE,),
        cautions=VEHICLE_SHORT_CAUTIONS,
        good=bool(found),
    )


def interference(bore: Value, pressure: Value, hub_outside: Value, shaft_bore: Value = 0.0) -> Calculation:
    """Diametral interference of a press fit in steel that makes a pressure in MPa; sizes in mm. Raises ValueError."""
    inputs = {"joint diameter": bore, "pressure": pressure, "hub outside": hub_outside, "shaft bore": shaft_bore}

    def tight(d: Value, p: Value, do: Value, di: Value) -> Value:
        return press_fits.interference_for(p, Ring(di, d), Ring(d, do))

    return Calculation(
        subject="press fit",
        question="Which interference makes this pressure?",
        given=tuple(amount(n, v, "MPa" if n == "pressure" else "mm") for n, v in inputs.items()),
        results=(
            amount("interference", tight(*inputs.values()), "mm", "on the diameter"),
            amount("hoop stress at the hub's bore", press_fits.hub_hoop_stress(pressure, bore, hub_outside), "MPa"),
        ),
        influences=influences(tight, inputs),
        assumptions=("rings of equal length, elastic, steel, at rest",),
        sources=(press_fits.SOURCE,),
        cautions=(
            "Compare the hoop stress with the material's own limit. That limit is not known here.",
            *VEHICLE_SHORT_CAUTIONS,
        ),
    )


def shrink_ring(diameter: Value, thickness: Value, cooling: Value) -> Calculation:
    """Stress and pressure in MPa of a thin steel ring (mm) shrunk on a rigid wheel by cooling (K)."""
    if high(thickness) * 10 > low(diameter):
        raise ValueError("the formula is for thin rings: the thickness at most a tenth of the diameter")

    def pressure(d: Value, t: Value, k: Value) -> Value:
        return press_fits.shrinkage_pressure(k, press_fits.STEEL_MODULUS, press_fits.STEEL_EXPANSION, d, t)[1]

    inputs = {"wheel diameter": diameter, "thickness": thickness, "cooling": cooling}
    stress, _ = press_fits.shrinkage_pressure(
        cooling, press_fits.STEEL_MODULUS, press_fits.STEEL_EXPANSION, diameter, thickness
    )
    return Calculation(
        subject="shrink ring",
        question="What does this ring do when it has cooled?",
        given=tuple(amount(n, v, "K" if n == "cooling" else "mm") for n, v in inputs.items()),
        results=(
            amount("hoop stress in the ring", stress, "MPa"),
            amount("pressure on the wheel", pressure(*inputs.values()), "MPa"),
        ),
        influences=influences(pressure, inputs),
        assumptions=("rigid wheel, thin elastic steel ring that just went on hot",),
        sources=("sigma = E alpha dT, p = 2 t sigma/d (thin ring, mathalino.com problem 267)",),
        cautions=(
            "Compare the stress with the material's own limit. That limit is not known here.",
            *VEHICLE_SHORT_CAUTIONS,
        ),
    )


def press_fit(
    bore: Value,
    interference: Value,
    hub_outside: Value,
    length: Value,
    friction: Value,
    shaft_bore: Value = 0.0,
    modulus: Value = press_fits.STEEL_MODULUS,
    spare: Value = 0.020,
) -> Calculation:
    """Pressure, stress, force and heating of a press fit.

    Parameters: joint diameter, diametral interference, outside of the hub, length, bore of the shaft (0: solid) and
    clearance to spare when heated, all in mm; ``friction`` of the joint (an assumption of the caller); Young's modulus
    in MPa, the same for both. Raises ValueError where the rings do not lie one in the other.
    """
    tight = maximum(interference, 0.0)

    def pressure_of(d: Value, delta: Value, do: Value, di: Value, e: Value) -> Value:
        return press_fits.joint_pressure(delta, Ring(di, d, e), Ring(d, do, e))

    inputs = {
        "joint diameter": bore,
        "interference": tight,
        "hub outside": hub_outside,
        "shaft bore": shaft_bore,
        "Young's modulus": modulus,
    }
    pressure = pressure_of(*inputs.values())
    loose = low(interference) <= 0
    heating = press_fits.heating_for(tight + spare, bore)
    return Calculation(
        subject="press fit",
        question="What does this press fit do?",
        given=(
            amount("joint diameter", bore, "mm"),
            amount("interference", interference, "mm", "on the diameter"),
            amount("hub outside", hub_outside, "mm"),
            amount("shaft bore", shaft_bore, "mm"),
            amount("length", length, "mm"),
            amount("friction", friction, "", "assumption"),
            amount("Young's modulus", modulus, "MPa"),
        ),
        results=(
            amount("pressure in the joint", pressure, "MPa"),
            amount("hoop stress at the hub's bore", press_fits.hub_hoop_stress(pressure, bore, hub_outside), "MPa"),
            amount("force to press in or out", press_fits.press_force(pressure, bore, length, friction), "N"),
            amount("torque at which it slips", press_fits.slip_torque(pressure, bore, length, friction) * 1e-3, "N m"),
            amount("heating of the hub", heating, "K", f"with {high(spare):g} mm to spare"),
        ),
        says=("At its loosest this pair has no interference at all: nothing holds it.",) if loose else (),
        influences=influences(pressure_of, inputs),
        assumptions=(
            "rings of equal length, elastic, one material, at rest",
            f"friction {friction}",
            f"thermal expansion {press_fits.STEEL_EXPANSION:g} per K (steel)",
        ),
        sources=(press_fits.SOURCE,),
        cautions=(
            "Compare the hoop stress with the material's own limit. That limit is not known here.",
            *VEHICLE_SHORT_CAUTIONS,
        ),
        good=not loose,
    )
