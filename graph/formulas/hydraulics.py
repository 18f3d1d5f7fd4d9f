"""Brake hydraulics: pressure, force, volume and travel between pedal and wheel.

Lengths in mm, areas in mm2, volumes in mm3 (1000 mm3 = 1 ml), forces in N, pressures in MPa (N/mm2; 1 MPa = 10 bar).
Rigid lines, no air, no booster and no friction unless a name says so.
"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from knockon.graph.formulas.brakes import front_torque_per_pressure, piston_area
from knockon.graph.formulas.interval import Value
from knockon.graph.formulas.registry import states

PSI = 0.006894757293168
"""MPa in one pound-force per square inch."""
BAR = 0.1
"""MPa in one bar."""
STROKE_SHARE = 60.0
"""Per cent of the master's stroke that normal use should not exceed. Common practice, no source."""
RESIDUAL_DRUM = (8 * PSI, 10 * PSI)
"""Residual pressure in MPa that keeps the lips of drum cylinders out (8 to 10 psi). Common practice, no source."""
RESIDUAL_DISC = (0.0, 2 * PSI)
"""Residual pressure in MPa that discs bear (0 to 2 psi): more holds the pads on. Common practice, no source."""


class Demand(msgspec.Struct, frozen=True):
    """One kind of wheel cylinder that the master fills: bore in mm, travel of each piston in mm, how many pistons."""

    bore: Value
    travel: Value
    pistons: int


def line_pressure(pedal_force: Value, pedal_ratio: Value, master_bore: Value) -> Value:
    """Pressure in MPa: pedal force x ratio / area of the master (Pascal).

    Valid range: force and ratio 0 or more, bore above 0.
    """
    return pedal_force * pedal_ratio / piston_area(master_bore)


def pedal_force_for(pressure: Value, pedal_ratio: Value, master_bore: Value) -> Value:
    """Pedal force in N for a pressure in MPa; inverse of :func:`line_pressure`.

    Valid range: pressure 0 or more, ratio and bore above 0.
    """
    return pressure * piston_area(master_bore) / pedal_ratio


def piston_force(pressure: Value, bore: Value) -> Value:
    """Force of one piston in N: pressure x area (Pascal).

    Valid range: 0 or more.
    """
    return pressure * piston_area(bore)


def fluid_volume(demands: Sequence[Demand]) -> Value:
    """Fluid in mm3 that all pistons take: the sum of area x travel x number (volume balance).

    Valid range: sizes of 0 or more; mm.
    """
    total: Value = 0.0
    for demand in demands:
        total = total + piston_area(demand.bore) * demand.travel * float(demand.pistons)
    return total


def master_travel(volume: Value, master_bore: Value) -> Value:
    """Travel of the master's piston in mm for a volume in mm3: V / area (volume balance).

    Valid range: volume 0 or more, bore above 0.
    """
    return volume / piston_area(master_bore)


def pedal_travel(piston_travel: Value, pedal_ratio: Value) -> Value:
    """Travel of the pedal's pad in mm: ratio x travel of the piston.

    Formula: the lever (geometry); lengths in mm.
    Valid range: 0 or more.
    """
    return pedal_ratio * piston_travel


def stroke_share(piston_travel: Value, stroke: Value) -> Value:
    """Share of the master's stroke that is used, in per cent.

    Formula: definition; both in mm, the stroke above 0.
    """
    return 100.0 * piston_travel / stroke


@states(units="mm", unit="times", source="Pascal: the bores' ratio squared")
def pedal_force_ratio(new_bore: Value, old_bore: Value) -> Value:
    """Pedal force with a new master over that with the old, at equal line pressure: the bores' ratio squared.

    Bores in one unit, above 0; the ratio has no unit. Formula: Pascal.
    """
    return (new_bore / old_bore) ** 2


def stop_force_ratio(front_torque_change: Value, bore_change: Value) -> Value:
    """Pedal force over before for the same front torque.

    Parameters: new over old front torque per pressure, new over old master bore. Formula: bore ratio squared over
    torque ratio (Pascal).
    All are ratios without unit.
    Valid range: both above 0.
    """
    return bore_change**2 / front_torque_change


@states(
    units="mm",
    unit="times",
    source="Pascal, 2 mu A r for a disc (engineeringtoolbox.com, disk brakes), C* A D/2 for a drum. "
    "Assumed from memory: mu 0.38, C* 3.0. No booster",
)
def pedal_force_for_the_same_front_torque(
    new_bore: Value,
    old_bore: Value,
    new_piston: Value,
    new_radius: Value,
    new_cylinder: Value,
    new_drum: Value,
    old_piston: Value,
    old_radius: Value,
    old_cylinder: Value,
    old_drum: Value,
) -> Value:
    """Pedal force, new over old, that makes the same torque at a front wheel; a ratio without unit.

    Parameters in mm: bores of the master; caliper piston of one side, effective radius, wheel cylinder bore and drum
    diameter of the front, new and old (0 for what is not there). Formula: bore ratio squared over the ratio of the
    front torques (Pascal, :func:`front_torque_per_pressure`). Raises ValueError or ZeroDivisionError where either
    front has no brake.
    """
    new = front_torque_per_pressure(new_piston, new_radius, new_cylinder, new_drum)
    old = front_torque_per_pressure(old_piston, old_radius, old_cylinder, old_drum)
    return stop_force_ratio(new / old, new_bore / old_bore)


@states(units="mm mm " + "mm count mm " * 4, unit="%", source="volume balance: sum of area x travel over the master's")
def share_of_stroke_used(
    master_bore: Value,
    stroke: Value,
    caliper_piston: Value,
    caliper_pistons: Value,
    caliper_travel: Value,
    front_cylinder: Value,
    front_pistons: Value,
    front_travel: Value,
    rear_cylinder: Value,
    rear_pistons: Value,
    rear_travel: Value,
    rear_caliper_piston: Value = 0.0,
    rear_caliper_pistons: Value = 0.0,
    rear_caliper_travel: Value = 0.0,
) -> Value:
    """Share of the master's stroke that taking up all gaps uses, in per cent.

    Parameters: bores, stroke and the travel of each piston in mm; how many pistons of each kind the whole vehicle has
    (0 for what is not there). Formula: sum of area x travel over area x stroke of the master (volume balance); rigid
    hoses and calipers, no air.
    """
    demands = (
        (caliper_piston, caliper_pistons, caliper_travel),
        (front_cylinder, front_pistons, front_travel),
        (rear_cylinder, rear_pistons, rear_travel),
        (rear_caliper_piston, rear_caliper_pistons, rear_caliper_travel),
    )
    volume: Value = 0.0
    for bore, pistons, travel in demands:
        volume = volume + piston_area(bore) * travel * pistons
    return stroke_share(master_travel(volume, master_bore), stroke)
