"""Disc brakes by their pads, and how the axle loads shift under braking. Compared, never called safe."""

from __future__ import annotations

from knockon.graph.formulas import brakes, hydraulics
from knockon.graph.formulas.brakes import Balance, Pad
from knockon.graph.formulas.interval import Interval, Value, high, low, middle, over_corners
from knockon.queries.workshop.answer import FROM_MEMORY, Calculation, amount, influences
from knockon.queries.workshop.hydraulics import NEVER_SAFE
from knockon.queries.workshop.vehicle import VEHICLE_SHORT_CAUTIONS

GRAVITY = 9.80665
"""Standard gravity in m/s2 (definition)."""
_SPEED = 50 / 3.6
"""A speed in m/s (50 km/h) for which a stopping distance is shown."""
_PAD_SOURCE = f"uniform wear and uniform pressure: Budynas and Nisbett, disc brakes ({FROM_MEMORY})"
_LOAD_SOURCE = "Bevan, Theory of Machines, ch. 8 (axle loads and deceleration while braking)"


def load(torque: Value, friction: Value, inner: Value, outer: Value, angle: Value) -> Calculation:
    """Force, pressure and radii of each of two pads that make ``torque`` (N m); radii in mm, angle in degrees.

    Raises ValueError where the inner radius is not smaller than the outer.
    """
    inputs = {"torque": torque, "friction": friction, "inner radius": inner, "outer radius": outer, "angle": angle}

    def force(t: Value, mu: Value, ri: Value, ro: Value, theta: Value) -> Value:
        return over_corners(_force, t, mu, ri, ro, theta)

    def of(name: str, worn_in: bool) -> Value:
        def one(t: float, mu: float, ri: float, ro: float, theta: float) -> float:
            found: float = getattr(brakes.pad_load(Pad(ri, ro, theta), t * 500, mu, worn_in), name)
            return found

        return over_corners(one, *inputs.values())

    results = []
    for worn_in, when in ((True, "worn in"), (False, "new")):
        results += [
            amount(f"force of one pad, {when}", of("force", worn_in), "N"),
            amount(f"greatest pressure, {when}", of("pressure", worn_in), "MPa"),
            amount(f"effective radius, {when}", of("effective_radius", worn_in), "mm"),
            amount(f"radius of the force, {when}", of("force_radius", worn_in), "mm"),
        ]
    return Calculation(
        subject="pad",
        question="What does each of the two pads carry for this torque?",
        given=(
            amount("torque", torque, "N m"),
            amount("friction", friction, "", "assumption"),
            amount("inner radius", inner, "mm"),
            amount("outer radius", outer, "mm"),
            amount("angle of the pad", angle, "deg"),
        ),
        results=tuple(results),
        influences=influences(force, inputs),
        assumptions=("two pads, each half of the torque", "friction as given"),
        sources=(_PAD_SOURCE,),
        cautions=(NEVER_SAFE, *VEHICLE_SHORT_CAUTIONS),
    )


def _force(torque: float, friction: float, inner: float, outer: float, angle: float) -> float:
    return brakes.pad_load(Pad(inner, outer, angle), torque * 500, friction).force


def angle_for(torque: Value, friction: Value, inner: Value, outer: Value, pressure: Value) -> Calculation:
    """Angle of each of two pads that makes ``torque`` (N m) at a mean pressure in MPa; radii in mm.

    Raises ValueError where the inner radius is not smaller than the outer.
    """
    inputs = {
        "torque": torque,
        "friction": friction,
        "inner radius": inner,
        "outer radius": outer,
        "pressure": pressure,
    }

    def angle(t: Value, mu: Value, ri: Value, ro: Value, p: Value) -> Value:
        return over_corners(lambda *x: brakes.pad_angle_for(x[0] * 1000, *x[1:]), t, mu, ri, ro, p)

    found = angle(*inputs.values())
    too_much = low(found) >= 180
    return Calculation(
        subject="pad",
        question="Which angle of pad makes this torque at this pressure?",
        given=(
            amount("torque", torque, "N m"),
            amount("friction", friction, "", "assumption"),
            amount("inner radius", inner, "mm"),
            amount("outer radius", outer, "mm"),
            amount("mean pressure", pressure, "MPa"),
        ),
        results=(amount("angle of each pad", found, "deg"),),
        says=("No pad covers that much of a rotor: the pressure or the radii are not those of this torque.",)
        if too_much
        else (),
        influences=influences(angle, inputs),
        assumptions=("two pads, pressure even all over (new pads)",),
        sources=(f"T = n mu p (theta/2)(ro2 - ri2) re: machine design texts ({FROM_MEMORY})",),
        cautions=(NEVER_SAFE, *VEHICLE_SHORT_CAUTIONS),
        good=not too_much,
    )


def disc(pressure: Value, piston: Value, radius: Value, friction: Value) -> Calculation:
    """Clamp force in N and torque in N m of a disc brake: pressure in MPa, piston of one side and radius in mm."""
    inputs = {"line pressure": pressure, "piston": piston, "effective radius": radius, "friction": friction}

    def torque(p: Value, d: Value, r: Value, mu: Value) -> Value:
        return brakes.clamp_torque(hydraulics.piston_force(p, d), r, mu) * 1e-3

    return Calculation(
        subject="disc",
        question="What does this disc brake do at this line pressure?",
        given=(
            amount("line pressure", pressure, "MPa"),
            amount("piston of one side", piston, "mm"),
            amount("effective radius", radius, "mm"),
            amount("friction", friction, "", "assumption"),
        ),
        results=(
            amount("clamp force", hydraulics.piston_force(pressure, piston), "N", "of each pad"),
            amount("torque", torque(*inputs.values()), "N m", "two pads, one wheel"),
        ),
        influences=influences(torque, inputs),
        assumptions=("friction as given, the same hot and cold",),
        sources=("T = 2 mu F r for two pads: engineeringtoolbox.com, disk brakes",),
        cautions=(NEVER_SAFE, *VEHICLE_SHORT_CAUTIONS),
    )


def drum(pressure: Value, cylinder: Value, diameter: Value, factor: Value) -> Calculation:
    """Tip force in N and torque in N m of a drum brake: pressure in MPa, bore and drum diameter in mm, C* as given."""
    inputs = {"line pressure": pressure, "cylinder bore": cylinder, "drum diameter": diameter, "C*": factor}

    def torque(p: Value, bore: Value, d: Value, c: Value) -> Value:
        return p * brakes.drum_torque_per_pressure(bore, d, c) * 1e-3

    return Calculation(
        subject="drum",
        question="What does this drum brake do at this line pressure?",
        given=(
            amount("line pressure", pressure, "MPa"),
            amount("cylinder bore", cylinder, "mm"),
            amount("drum diameter", diameter, "mm"),
            amount("C*", factor, "", "assumption"),
        ),
        results=(
            amount("force on a shoe", hydraulics.piston_force(pressure, cylinder), "N", "at its tip"),
            amount("torque", torque(*inputs.values()), "N m", "one wheel"),
        ),
        influences=influences(torque, inputs),
        assumptions=(
            f"C* as given. About {brakes.LEADING_TRAILING:g} for a leading and a trailing shoe, "
            f"{brakes.TWIN_LEADING:g} for two leading shoes ({FROM_MEMORY})",
        ),
        sources=("T = p C* A D/2 (definition of C*: force at the rim over force on one shoe tip)",),
        cautions=(NEVER_SAFE, *VEHICLE_SHORT_CAUTIONS),
    )


def axle_loads(wheelbase: Value, ahead: Value, height: Value, grip: Value) -> Calculation:
    """Front to rear axle load at full braking, and deceleration; lengths in mm. Raises ValueError.

    The rear axle must keep some load: with a high centre of gravity and much grip it lifts, and nothing is computed.
    """
    inputs = {"wheelbase": wheelbase, "centre ahead of the rear axle": ahead, "height": height, "grip": grip}
    if not 0.01 <= low(grip) <= high(grip) <= 2:
        raise ValueError("the grip of tyre on road lies somewhere between 0.01 (wet ice) and 2 (racing tyres)")
    if high(ahead) + high(grip) * high(height) >= low(wheelbase):
        raise ValueError(
            "with these sizes the rear axle would lift: the centre of gravity lies too far forward or high"
        )

    def share(w: Value, x: Value, h: Value, mu: Value) -> Value:
        def one(base: float, forward: float, up: float, grip_: float) -> float:
            ratio = Balance(base, forward, up).ideal_front_to_rear(grip_)
            return low(brakes.front_share(ratio, 1.0)) if ratio > 0 else 0.0

        return over_corners(one, w, x, h, mu)

    def slowing(front: bool, rear: bool) -> Value:
        return over_corners(lambda w, x, h, mu: Balance(w, x, h).deceleration(mu, front, rear), *inputs.values())

    def metres(deceleration: Value) -> Value:
        ends = [brakes.stopping_distance(_SPEED, d, GRAVITY) for d in (low(deceleration), high(deceleration))]
        return Interval(min(ends), max(ends))

    both, front, rear = slowing(True, True), slowing(True, False), slowing(False, True)
    return Calculation(
        subject="axle loads",
        question="How do the axle loads shift under braking?",
        given=tuple(amount(n, v, "" if n == "grip" else "mm") for n, v in inputs.items()),
        results=(
            amount("front share of the load", share(*inputs.values()), "%", "at full braking: the share that suits it"),
            amount("deceleration, all wheels", both * 100.0, "%", "of gravity, at the limit of grip"),
            amount("front wheels only", front * 100.0, "%"),
            amount("rear wheels only", rear * 100.0, "%"),
            amount("stop from 50 km/h, all wheels", metres(both), "m"),
            amount("front wheels only", metres(front), "m"),
            amount("rear wheels only", metres(rear), "m"),
        ),
        says=(
            "A brake share further to the rear than the load lets the rear wheels lock first "
            f"(here {100 - middle(share(*inputs.values())):.0f} % of the load is on them).",
        ),
        influences=influences(share, inputs),
        assumptions=("rigid vehicle, level road, one grip for all tyres: your assumption", "no reaction time"),
        sources=(_LOAD_SOURCE,),
        cautions=(NEVER_SAFE, *VEHICLE_SHORT_CAUTIONS),
    )
