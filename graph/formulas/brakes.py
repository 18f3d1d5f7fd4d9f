"""Brake torque per line pressure, and how it is shared between front and rear.

The friction of the pads and the self-servo of the drums are assumptions from memory, the same for
every vehicle: shares of two arrangements may be compared with each other, never taken for what a
vehicle does on the road.
"""

from __future__ import annotations

import math

import msgspec

from knockon.graph.formulas.interval import Interval, Value, high, low, over_corners
from knockon.graph.formulas.registry import states

PAD_FRICTION = 0.38
"""Friction of pad on rotor. Assumption, from memory."""
TWIN_LEADING = 3.0
"""C* of a drum with two leading shoes: force at the rim over force on one shoe tip.

Assumption, from memory.
"""
LEADING_TRAILING = 2.1
"""C* of a drum with one leading and one trailing shoe. Assumption, from memory."""


def piston_area(diameter: Value) -> Value:
    """Area of a round piston in mm2; ``diameter`` in mm.

    Formula: pi/4 d2 (geometry); 0 or more.
    """
    return math.pi / 4 * diameter**2


def disc_torque_per_pressure(piston_diameter: Value, effective_radius: Value, friction: Value = PAD_FRICTION) -> Value:
    """Torque of a disc brake over line pressure, in N mm per MPa (= mm3).

    Parameters: ``piston_diameter`` in mm of the one piston on one side of the rotor;
    ``effective_radius`` in mm; ``friction`` of pad on rotor. Formula: 2 mu A r, two pads, A of one
    side (engineeringtoolbox.com, disk brakes).
    Valid range: sizes of 0 or more.
    """
    return 2.0 * friction * piston_area(piston_diameter) * effective_radius


def drum_torque_per_pressure(cylinder_bore: Value, drum_diameter: Value, factor: Value) -> Value:
    """Torque of a drum brake over line pressure, in N mm per MPa (= mm3).

    Parameters: ``cylinder_bore`` and ``drum_diameter`` in mm; ``factor`` C* (assumption). Formula:
    C* A D/2.
    Valid range: sizes of 0 or more.
    """
    return factor * piston_area(cylinder_bore) * drum_diameter / 2.0


@states(
    units="mm",
    unit="%",
    source="2 mu A r for a disc (engineeringtoolbox.com, disk brakes), C* A D/2 for a drum. "
    "Assumed from memory: mu 0.38, C* 3.0 front, 2.1 rear",
    assumed={
        "friction": "friction of pad on rotor",
        "front_factor": "brake factor C* of the front drum",
        "rear_factor": "brake factor C* of the rear drum",
    },
)
def front_share_of_braking(
    piston_diameter: Value,
    effective_radius: Value,
    front_cylinder_bore: Value,
    front_drum_diameter: Value,
    rear_cylinder_bore: Value,
    rear_drum_diameter: Value,
    rear_piston_diameter: Value = 0.0,
    rear_effective_radius: Value = 0.0,
    *,
    friction: Value = PAD_FRICTION,
    front_factor: Value = TWIN_LEADING,
    rear_factor: Value = LEADING_TRAILING,
) -> Value:
    """Share of the front axle in the braking torque at equal line pressure, in per cent.

    Parameters: all in mm; those of a disc are 0 on an axle with drums, and the other way round. Formula:
    F/(F + R) with F = 2 mu A r + C*f A D/2 and R = 2 mu A r + C*r A D/2; the share rises with the front torque and
    falls with the rear one. Assumptions, from memory: mu = 0.38, C*f = 3.0 (twin leading), C*r = 2.1
    (leading and trailing); equal pressure front and rear, so a limiter or residual valve is left
    out. Raises ValueError where no brake is given at all.
    """
    front = disc_torque_per_pressure(piston_diameter, effective_radius, friction) + drum_torque_per_pressure(
        front_cylinder_bore, front_drum_diameter, front_factor
    )
    rear = drum_torque_per_pressure(rear_cylinder_bore, rear_drum_diameter, rear_factor) + disc_torque_per_pressure(
        rear_piston_diameter, rear_effective_radius, friction
    )
    return front_share(front, rear)


@states(
    units="mm",
    unit="N m/MPa",
    source="2 mu A r for a disc (engineeringtoolbox.com, disk brakes), C* A D/2 for a drum. "
    "Assumed from memory: mu 0.38, C* 3.0",
)
def front_torque_per_pressure(
    piston_diameter: Value, effective_radius: Value, front_cylinder_bore: Value, front_drum_diameter: Value
) -> Value:
    """Torque of one front wheel over line pressure, in N m per MPa.

    Parameters: all in mm; those of a disc are 0 on a drum front, and the other way round. Formula: 2 mu A r + C* A D/2
    with the assumptions mu = 0.38 and C* = 3.0 (twin leading), from memory.
    Valid range: sizes of 0 or more.
    """
    disc = disc_torque_per_pressure(piston_diameter, effective_radius)
    return (disc + drum_torque_per_pressure(front_cylinder_bore, front_drum_diameter, TWIN_LEADING)) * 1e-3


@states(
    units="mm",
    unit="N m/MPa",
    source="C* A D/2 for a drum, 2 mu A r for a disc (engineeringtoolbox.com, disk brakes). "
    "Assumed from memory: C* 2.1 (leading and trailing), mu 0.38",
)
def rear_torque_per_pressure(
    rear_cylinder_bore: Value,
    rear_drum_diameter: Value,
    rear_piston_diameter: Value = 0.0,
    rear_effective_radius: Value = 0.0,
) -> Value:
    """Torque of one rear wheel over line pressure, in N m per MPa.

    Parameters in mm; those of a disc are 0 where there are drums, and the other way round. Formula: 2 mu A r + C* A D/2
    with the assumptions mu = 0.38 and C* = 2.1 (leading and trailing shoe), from memory.
    Valid range: sizes of 0 or more.
    """
    drum = drum_torque_per_pressure(rear_cylinder_bore, rear_drum_diameter, LEADING_TRAILING)
    return (drum + disc_torque_per_pressure(rear_piston_diameter, rear_effective_radius)) * 1e-3


class Pad(msgspec.Struct, frozen=True):
    """A pad in the shape of a sector of a ring: inner and outer radius in mm, angle in degrees."""

    inner: float
    outer: float
    angle: float


class PadLoad(msgspec.Struct, frozen=True):
    """What one pad needs for a torque: greatest pressure, force, effective radius, radius at which the force acts.

    In units that follow from those given: N mm and mm give MPa, N, mm; lbf in and in give psi, lbf, in.
    """

    pressure: float
    force: float
    effective_radius: float
    force_radius: float


def effective_radius(inner: Value, outer: Value, worn_in: bool = True) -> Value:
    """Effective radius of a ring-shaped pad in mm.

    ``worn_in``: uniform wear, (ri + ro)/2; else uniform pressure, 2/3 (ro3 - ri3)/(ro2 - ri2). Formulas: machine design
    texts, disc brakes. Raises ValueError unless 0 <= ri < ro.
    """

    def radius(ri: float, ro: float) -> float:
        if not 0 <= ri < ro:
            raise ValueError("the inner radius must be smaller than the outer")
        if worn_in:
            return (ri + ro) / 2
        # (ro3 - ri3)/(ro2 - ri2), with the common factor ro - ri taken out: no loss of figures on narrow pads.
        return 2 / 3 * (ro * ro + ro * ri + ri * ri) / (ro + ri)

    return over_corners(radius, inner, outer)


def pad_load(pad: Pad, torque: float, friction: float, worn_in: bool = True) -> PadLoad:
    """Pressure and force of one pad that makes ``torque``.

    Uniform wear: T = theta f pa ri (ro2 - ri2)/2, F = theta pa ri (ro - ri). Uniform pressure: T = theta f p (ro3 -
    ri3)/3, F = theta p (ro2 - ri2)/2. The force acts at re (cos t1 - cos t2)/(t2 - t1), the pad lying symmetrically
    across the direction of the force. Source: Budynas and Nisbett, disc brakes (from memory).
    Units as in :class:`PadLoad`, angle in degrees.
    Valid range: radii above 0, the inner below the outer (else ValueError), angle above 0 up to 180, friction above 0.
    """
    theta = math.radians(pad.angle)
    radius = float(low(effective_radius(pad.inner, pad.outer, worn_in)))
    force = torque / friction / radius
    if worn_in:
        pressure = force / (theta * pad.inner * (pad.outer - pad.inner))
    else:
        pressure = 2 * force / (theta * (pad.outer**2 - pad.inner**2))
    return PadLoad(pressure, force, radius, radius * 2 * math.sin(theta / 2) / theta)


def pad_angle_for(torque: float, friction: float, inner: float, outer: float, pressure: float, pads: int = 2) -> float:
    """Angle in degrees of each of ``pads`` pads that makes ``torque`` at a mean pressure (uniform pressure).

    Torque in N mm, radii in mm, pressure in MPa. Formula: T = n mu p (theta/2)(ro2 - ri2) re (machine design texts).
    Valid range: all above 0, the inner radius below the outer (else ValueError).
    """
    radius = low(effective_radius(inner, outer, worn_in=False))
    area = torque / pads / friction / radius / pressure
    return math.degrees(2 * area / (outer**2 - inner**2))


def clamp_torque(force: Value, radius: Value, friction: Value, pads: int = 2) -> Value:
    """Torque in N mm of a clamp force on ``pads`` pads: n mu F r.

    Source: engineeringtoolbox.com, disk brakes (T = 2 mu F r for two pads; an older copy of that page lacks the 2).
    Valid range: 0 or more.
    """
    return float(pads) * friction * force * radius


def front_share(front: Value, rear: Value) -> Value:
    """Share in per cent of the front torque, from the torques per pressure of both axles: 100 F/(F + R).

    Any one unit of torque. Formula: definition of the share. Raises ValueError where both are 0.
    """
    if not isinstance(front, Interval) and not isinstance(rear, Interval):
        return _share(front, rear)
    # The share rises with the front torque and falls with the rear torque.
    return Interval(_share(low(front), high(rear)), _share(high(front), low(rear)))


class Balance(msgspec.Struct, frozen=True):
    """Where a vehicle's weight lies: wheelbase, centre of gravity ahead of the rear axle, its height (one unit)."""

    wheelbase: float
    ahead_of_rear: float
    height: float

    def ideal_front_to_rear(self, grip: float) -> float:
        """Ratio of the axle loads at full braking: (x + mu h)/(w - x - mu h) (Bevan, Theory of Machines, ch. 8)."""
        front = self.ahead_of_rear + grip * self.height
        return front / (self.wheelbase - front)

    def deceleration(self, grip: float, front: bool = True, rear: bool = True) -> float:
        """Deceleration over g with the named axles braked to the limit of grip (Bevan, Theory of Machines, ch. 8)."""
        if front and rear:
            return grip
        if front:
            return grip * self.ahead_of_rear / (self.wheelbase - grip * self.height)
        if rear:
            return grip * (self.wheelbase - self.ahead_of_rear) / (self.wheelbase + grip * self.height)
        return 0.0


def stopping_distance(speed: float, deceleration: float, gravity: float) -> float:
    """Distance to stop: v2/(2 a g); ``deceleration`` over g, one system of units.

    Formula: uniform deceleration (mechanics); units of speed and gravity must go together, such as ft/s and ft/s2.
    """
    return speed * speed / (2 * deceleration * gravity)


def _share(front: float, rear: float) -> float:
    if front + rear <= 0:
        raise ValueError("no share of braking: neither axle has a brake, or its sizes reach down to 0")
    return 100.0 * front / (front + rear)
