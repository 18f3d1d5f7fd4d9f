"""Brake hydraulics: pressure, force, volume and travel between pedal and wheel.

Lengths in mm, areas in mm2, volumes in mm3 (1000 mm3 = 1 ml), forces in N, pressures in MPa (N/mm2; 1 MPa = 10 bar).
Rigid lines, no air, no booster and no friction unless a name says so.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from knockon.graph.formulas.brakes import piston_area
from knockon.graph.interval import Value

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


@dataclass(frozen=True, slots=True)
class Demand:
    """One kind of wheel cylinder that the master fills: bore in mm, travel of each piston in mm, how many pistons."""

    bore: Value
    travel: Value
    pistons: int


def line_pressure(pedal_force: Value, pedal_ratio: Value, master_bore: Value) -> Value:
    """Pressure in MPa: pedal force x ratio / area of the master (Pascal)."""
    return pedal_force * pedal_ratio / piston_area(master_bore)


def pedal_force_for(pressure: Value, pedal_ratio: Value, master_bore: Value) -> Value:
    """Pedal force in N for a pressure in MPa; inverse of :func:`line_pressure`."""
    return pressure * piston_area(master_bore) / pedal_ratio


def piston_force(pressure: Value, bore: Value) -> Value:
    """Force of one piston in N: pressure x area (Pascal)."""
    return pressure * piston_area(bore)


def fluid_volume(demands: Sequence[Demand]) -> Value:
    """Fluid in mm3 that all pistons take: the sum of area x travel x number (volume balance)."""
    total: Value = 0.0
    for demand in demands:
        total = total + piston_area(demand.bore) * demand.travel * float(demand.pistons)
    return total


def master_travel(volume: Value, master_bore: Value) -> Value:
    """Travel of the master's piston in mm for a volume in mm3: V / area (volume balance)."""
    return volume / piston_area(master_bore)


def pedal_travel(piston_travel: Value, pedal_ratio: Value) -> Value:
    """Travel of the pedal's pad in mm: ratio x travel of the piston.

    Formula: the lever (geometry); lengths in mm.
    """
    return pedal_ratio * piston_travel


def stroke_share(piston_travel: Value, stroke: Value) -> Value:
    """Share of the master's stroke that is used, in per cent.

    Formula: definition; both in mm, the stroke above 0.
    """
    return 100.0 * piston_travel / stroke


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
    """
    return bore_change**2 / front_torque_change
