"""Brake torque per line pressure, and how it is shared between front and rear.

The friction of the pads and the self-servo of the drums are assumptions from memory, the same for
every vehicle: shares of two arrangements may be compared with each other, never taken for what a
vehicle does on the road."""

from __future__ import annotations

import math

from knockon.graph.formulas.registry import states
from knockon.graph.interval import Interval, Value, high, low

PAD_FRICTION = 0.38
"""Friction of pad on rotor. Assumption, from memory."""
TWIN_LEADING = 3.0
"""C* of a drum with two leading shoes: force at the rim over force on one shoe tip.

Assumption, from memory."""
LEADING_TRAILING = 2.1
"""C* of a drum with one leading and one trailing shoe. Assumption, from memory."""


def piston_area(diameter: Value) -> Value:
    """Area of a round piston in mm2; ``diameter`` in mm."""
    return math.pi / 4 * diameter**2


def disc_torque_per_pressure(piston_diameter: Value, effective_radius: Value, friction: Value = PAD_FRICTION) -> Value:
    """Torque of a disc brake over line pressure, in N mm per MPa (= mm3).

    Parameters: ``piston_diameter`` in mm of the one piston on one side of the rotor;
    ``effective_radius`` in mm; ``friction`` of pad on rotor. Formula: 2 mu A r, two pads, A of one
    side (engineeringtoolbox.com, disk brakes)."""
    return 2.0 * friction * piston_area(piston_diameter) * effective_radius


def drum_torque_per_pressure(cylinder_bore: Value, drum_diameter: Value, factor: Value) -> Value:
    """Torque of a drum brake over line pressure, in N mm per MPa (= mm3).

    Parameters: ``cylinder_bore`` and ``drum_diameter`` in mm; ``factor`` C* (assumption). Formula:
    C* A D/2."""
    return factor * piston_area(cylinder_bore) * drum_diameter / 2.0


@states(
    units="mm",
    unit="%",
    source="2 mu A r for a disc (engineeringtoolbox.com, disk brakes), C* A D/2 for a drum; "
    "mu 0.38 and C* 3.0 front, 2.1 rear are assumptions, from memory",
)
def front_share_of_braking(
    piston_diameter: Value,
    effective_radius: Value,
    front_cylinder_bore: Value,
    front_drum_diameter: Value,
    rear_cylinder_bore: Value,
    rear_drum_diameter: Value,
) -> Value:
    """Share of the front axle in the braking torque at equal line pressure, in per cent.

    Parameters: all in mm; those of a disc are 0 on a drum front, and the other way round. Formula:
    F/(F + R) with F = 2 mu A r + C*f A D/2 and R = C*r A D/2, written as 1/(1 + R/F) so that each
    argument occurs once. Assumptions, from memory: mu = 0.38, C*f = 3.0 (twin leading), C*r = 2.1
    (leading and trailing); equal pressure front and rear, so a limiter or residual valve is left
    out. Raises ValueError where no brake is given at all."""
    front = disc_torque_per_pressure(piston_diameter, effective_radius) + drum_torque_per_pressure(
        front_cylinder_bore, front_drum_diameter, TWIN_LEADING
    )
    rear = drum_torque_per_pressure(rear_cylinder_bore, rear_drum_diameter, LEADING_TRAILING)
    if not isinstance(front, Interval) and not isinstance(rear, Interval):
        return _share(front, rear)
    # The share rises with the front torque and falls with the rear torque.
    return Interval(_share(low(front), high(rear)), _share(high(front), low(rear)))


def _share(front: float, rear: float) -> float:
    if front + rear <= 0:
        raise ValueError("no share of braking: neither axle has a brake")
    return 100.0 * front / (front + rear)
