"""Diameters of involute splines by standard and class: ANSI B92.1, ISO 4156 (and ANSI B92.2M), DIN 5480.

All lengths in mm; for the inch standard the module stands for 25.4 / P. No deviation of a class of
fit is applied: these are the basic sizes, from which a part may be smaller (male) or larger
(female).
"""

from __future__ import annotations

import math

import msgspec

from knockon.graph.quantity.thread_names import INCH

ANSI_FORMS = ("30 flat side", "30 flat major", "30 fillet side", "37.5 fillet side", "45 fillet side")
ISO_FORMS = ("30 flat", "30 fillet", "37.5 fillet", "45 fillet")
DIN_PRODUCTION = {"broached": 0.55, "hobbed": 0.60, "shaped": 0.65, "cold rolled": 0.84}
"""Root height hfP over the module by the way the teeth are made (DIN 5480-1)."""

_ANSI_SOURCE = "ANSI B92.1 as printed in an open handbook page and a CAD vendor's help page"
_ISO_SOURCE = "ISO 4156 and ANSI B92.2M as printed in a CAD vendor's help pages"
_DIN_SOURCE = "DIN 5480-1 as printed in a CAD vendor's help page (no printed table row was compared)"

# (N + k)/P: k of the internal major, internal minor and external minor diameter; c of the least
# effective space width (pi/2 + c)/P; coarsest and finest pitch.
_ANSI = {
    "30 flat side": (1.35, -1.0, -1.35, 0.0, 2.5, 32.0),
    "30 flat major": (1.0, -1.0, -1.35, 0.0, 3.0, 16.0),
    "30 fillet side": (1.8, -1.0, -1.8, 0.0, 2.5, 48.0),
    "37.5 fillet side": (1.6, -0.8, -1.3, 0.1, 2.5, 48.0),
    "45 fillet side": (1.4, -0.6, -1.0, 0.2, 10.0, 128.0),
}
# m (Z + k): k of the external major and internal major diameter.
_ISO = {"30 flat": (1.0, 1.5), "30 fillet": (1.0, 1.8), "37.5 fillet": (0.9, 1.4), "45 fillet": (0.8, 1.2)}


class SplineError(ValueError):
    """There is no such spline in the standard; the message says why."""


class SplineSizes(msgspec.Struct, frozen=True):
    """Basic sizes of a spline in mm; what a standard does not give, or no source was read for, is None.

    ``space_width`` is the least effective space width of the female on the pitch circle,
    ``form_clearance`` cF.
    """

    standard: str
    form: str
    teeth: int
    module: float
    pressure_angle: float
    pitch_diameter: float
    base_diameter: float
    external_major: float
    external_minor: float | None
    internal_major: float
    internal_minor: float | None
    space_width: float | None
    form_clearance: float | None
    source: str
    addendum_shift: float = 0.0

    @property
    def circular_pitch(self) -> float:
        """Distance of two teeth along the pitch circle, pi m, in mm."""
        return math.pi * self.module


def ansi_b92_1(teeth: int, pitch: float, form: str = "30 flat side") -> SplineSizes:
    """Basic sizes by ANSI B92.1.

    Parameters: ``teeth`` N (6 to 100; from memory), diametral ``pitch`` P in teeth per inch of
    diameter (24 of ``24/48``), ``form`` one of :data:`ANSI_FORMS`. Formulas: D = N/P, Db = D cos
    phi, external major (N + 1)/P, the others (N + k)/P with k by form. The external minor diameter
    of 30 degree fillet roots is (N - 1.8)/P up to 12/24 and (N - 2)/P from 16/32 on. Raises
    SplineError for a form, pitch or tooth count outside the standard.
    """
    if form not in _ANSI:
        raise SplineError(f"{form!r} is not one of {', '.join(_ANSI)}")
    root, tip, external_root, wide, coarsest, finest = _ANSI[form]
    if not coarsest <= pitch <= finest:
        raise SplineError(f"{form}: pitches from {coarsest:g} to {finest:g} are standardised")
    _check_teeth(teeth, 6, 100)
    module = INCH / pitch
    if form == "30 fillet side" and pitch >= 16:
        external_root = -2.0
    angle = float(form.split()[0])
    return SplineSizes(
        standard="ANSI B92.1",
        form=form,
        teeth=teeth,
        module=module,
        pressure_angle=angle,
        pitch_diameter=teeth * module,
        base_diameter=teeth * module * math.cos(math.radians(angle)),
        external_major=(teeth + 1) * module,
        external_minor=(teeth + external_root) * module,
        internal_major=(teeth + root) * module,
        internal_minor=(teeth + tip) * module,
        space_width=(math.pi / 2 + wide) * module,
        form_clearance=min(max(0.001 * teeth / pitch, 0.002), 0.010) * INCH,
        source=_ANSI_SOURCE,
    )


def iso_4156(teeth: int, module: float, form: str = "30 flat") -> SplineSizes:
    """Basic sizes by ISO 4156 and ANSI B92.2M.

    Parameters: ``teeth`` Z (6 to 100; from memory), ``module`` m in mm (0.25 to 10), ``form`` one
    of :data:`ISO_FORMS`. Formulas: D = m Z, Db = D cos a, greatest external major m (Z + 1), (Z +
    0.9), (Z + 0.8) for 30, 37.5, 45 degrees (fundamental deviation 0); least internal major m (Z +
    1.5) flat, (Z + 1.8) fillet, (Z + 1.4), (Z + 1.2); basic space width pi m/2. Minor diameters
    follow from form diameters and are not given here. Raises SplineError.
    """
    if form not in _ISO:
        raise SplineError(f"{form!r} is not one of {', '.join(_ISO)}")
    if not 0.25 <= module <= 10:
        raise SplineError("modules from 0.25 to 10 mm are standardised")
    _check_teeth(teeth, 6, 100)
    outer, root = _ISO[form]
    angle = float(form.split()[0])
    return SplineSizes(
        standard="ISO 4156",
        form=form,
        teeth=teeth,
        module=module,
        pressure_angle=angle,
        pitch_diameter=teeth * module,
        base_diameter=teeth * module * math.cos(math.radians(angle)),
        external_major=(teeth + outer) * module,
        external_minor=None,
        internal_major=(teeth + root) * module,
        internal_minor=None,
        space_width=math.pi / 2 * module,
        form_clearance=None,
        source=_ISO_SOURCE,
    )


def din_5480(reference: float, module: float, teeth: int, production: str = "hobbed") -> SplineSizes:
    """Basic sizes by DIN 5480 (30 degrees, fit on the flanks).

    Parameters: ``reference`` diameter dB and ``module`` m in mm, ``teeth`` z, ``production`` one of
    :data:`DIN_PRODUCTION`. Formulas: dB = m z + 2 x m + 1.1 m, so x = (dB/m - z - 1.1)/2; d = m z;
    db = d cos 30; shaft tip dB - 0.2 m; hub tip dB - 2 m; roots dB - 1.1 m -+ 2 hfP. Many pages
    print dB = m z or a shaft tip of m (z + 2): both are wrong. Raises SplineError where the shift x
    leaves -0.1 to 0.5 (from memory: the range the standard uses).
    """
    if production not in DIN_PRODUCTION:
        raise SplineError(f"{production!r} is not one of {', '.join(DIN_PRODUCTION)}")
    _check_teeth(teeth, 6, 100)
    shift = (reference / module - teeth - 1.1) / 2
    if not -0.1001 <= shift <= 0.5001:
        raise SplineError(
            f"reference {reference:g}, module {module:g} and {teeth} teeth do not go together (x = {shift:.2f})"
        )
    root = DIN_PRODUCTION[production] * module
    return SplineSizes(
        standard="DIN 5480",
        form=production,
        teeth=teeth,
        module=module,
        pressure_angle=30.0,
        pitch_diameter=teeth * module,
        base_diameter=teeth * module * math.cos(math.radians(30)),
        external_major=reference - 0.2 * module,
        external_minor=reference - 1.1 * module - 2 * root,
        internal_major=reference - 1.1 * module + 2 * root,
        internal_minor=reference - 2 * module,
        space_width=module * (math.pi / 2 + 2 * shift * math.tan(math.radians(30))),
        form_clearance=None,
        source=_DIN_SOURCE,
        addendum_shift=shift,
    )


def _check_teeth(teeth: int, least: int, most: int) -> None:
    if not least <= teeth <= most:
        raise SplineError(f"{teeth} teeth: {least} to {most} are standardised")
