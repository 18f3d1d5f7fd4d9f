"""Press fits by Lame's thick-walled cylinders: pressure, stress, force, torque, heating.

Lengths in mm, stresses and pressures in MPa (N/mm2), forces in N, torques in N mm, temperatures in
K. Valid for elastic rings of the same length at rest; ends, roughness and speed are left out.
"""

from __future__ import annotations

import math

import msgspec

from knockon.graph.formulas.interval import Value, over_corners

SOURCE = "Lame's thick-walled cylinders, as on several engineering pages (eng-tips faq 404-1230, metricmech.com)"
STEEL_MODULUS = 210_000.0
"""Young's modulus of steel in MPa. Common value."""
STEEL_POISSON = 0.3
STEEL_EXPANSION = 11.7e-6
"""Thermal expansion of steel in 1/K, as in the worked examples that the tests use."""


class Ring(msgspec.Struct, frozen=True):
    """A ring: inner and outer diameter in mm, Young's modulus in MPa, Poisson's ratio. Solid: ``inner`` 0."""

    inner: Value
    outer: Value
    modulus: Value = STEEL_MODULUS
    poisson: Value = STEEL_POISSON


def joint_pressure(interference: Value, shaft: Ring, hub: Ring) -> Value:
    """Pressure in MPa in a joint of diameter d = hub.inner, from the diametral interference in mm.

    Formula (Lame): p = delta / (d ((1/Eo)((do2 + d2)/(do2 - d2) + nuo) + (1/Ei)((d2 + di2)/(d2 -
    di2) - nui))). Zero or negative interference gives no pressure (0). Raises ValueError where the
    rings do not lie one in the other.
    """
    return over_corners(
        _pressure,
        interference,
        shaft.inner,
        hub.inner,
        hub.outer,
        shaft.modulus,
        shaft.poisson,
        hub.modulus,
        hub.poisson,
    )


def interference_for(pressure: Value, shaft: Ring, hub: Ring) -> Value:
    """Diametral interference in mm that gives ``pressure`` in MPa: the inverse of :func:`joint_pressure`.

    Valid range: pressure 0 or more, rings that lie one in the other (else ValueError).
    """

    def inverse(p: float, *rest: float) -> float:
        return p * _compliance(*rest)

    return over_corners(
        inverse,
        pressure,
        shaft.inner,
        hub.inner,
        hub.outer,
        shaft.modulus,
        shaft.poisson,
        hub.modulus,
        hub.poisson,
    )


def hub_hoop_stress(pressure: Value, diameter: Value, outer: Value) -> Value:
    """Greatest hoop stress in MPa, at the bore of the hub: p (do2 + d2)/(do2 - d2) (Lame).

    Valid range: pressure 0 or more below yield, outer above the bore (else ValueError).
    """

    def stress(p: float, d: float, do: float) -> float:
        _check(0.0, d, do)
        return p * (do * do + d * d) / (do * do - d * d)

    return over_corners(stress, pressure, diameter, outer)


def press_force(pressure: Value, diameter: Value, length: Value, friction: Value) -> Value:
    """Force in N to press in or out: mu p pi d L. ``friction`` is an assumption of the caller.

    Formula: Coulomb friction on the cylinder (as on metricmech.com).
    Valid range: 0 or more.
    """
    return friction * pressure * math.pi * diameter * length


def slip_torque(pressure: Value, diameter: Value, length: Value, friction: Value) -> Value:
    """Torque in N mm at which the joint slips: mu p pi d L d/2.

    Formula: Coulomb friction on the cylinder.
    Valid range: 0 or more.
    """
    return friction * pressure * math.pi * diameter**2 * length / 2


def heating_for(growth: Value, diameter: Value, expansion: Value = STEEL_EXPANSION) -> Value:
    """Temperature rise in K that makes a ring of ``diameter`` grow by ``growth``: growth/(alpha d), one length unit.

    Formula: linear expansion (definition of the coefficient).
    Valid range: growth 0 or more, diameter above 0; steel to about 300 K of heating.
    """
    return growth / (expansion * diameter)


def shrinkage_pressure(
    cooling: Value, modulus: Value, expansion: Value, diameter: Value, thickness: Value
) -> tuple[Value, Value]:
    """A thin tyre shrunk on a rigid wheel: (hoop stress in MPa, pressure in MPa).

    Formula: sigma = E alpha dT; p = 2 t sigma/d (thin ring; mathalino.com problem 267).
    Valid range: thickness at most a tenth of the diameter, stress below yield.
    """
    stress = modulus * expansion * cooling
    return stress, 2 * thickness * stress / diameter


def _pressure(interference: float, *rest: float) -> float:
    return max(interference, 0.0) / _compliance(*rest)


def _compliance(di: float, d: float, do: float, shaft_e: float, shaft_nu: float, hub_e: float, hub_nu: float) -> float:
    """Diametral interference per MPa, in mm."""
    _check(di, d, do)
    hub = ((do * do + d * d) / (do * do - d * d) + hub_nu) / hub_e
    shaft = ((d * d + di * di) / (d * d - di * di) - shaft_nu) / shaft_e
    return d * (hub + shaft)


def _check(di: float, d: float, do: float) -> None:
    if not 0 <= di < d < do:
        raise ValueError(f"diameters {di:g} < {d:g} < {do:g} must lie one in the other")
