"""Calculate commands on fits, bearings, threads, splines, bolts and measuring."""

from __future__ import annotations

import click

from knockon.graph.formulas.interval import Interval
from knockon.graph.formulas.limits_and_fits import fit, parse_fit
from knockon.graph.formulas.splines.standards import din_5480
from knockon.graph.quantity.cells.model import LENIENT
from knockon.graph.quantity.read import read_cell
from knockon.queries.ui.commands.workshop.types import (
    ANGLE,
    LENGTH,
    PRESSURE,
    RATIO,
    ROOM,
    SIGNED,
    SIZE,
    TEMPERATURE,
    answered,
    json_option,
)
from knockon.queries.workshop import bearings, fits, splines, threads
from knockon.queries.workshop.answer import Calculation


@click.command("fit", context_settings=SIGNED)
@click.argument("fit")
@click.option("--hole", type=SIZE, help="Instead of classes: the hole as measured; write - for FIT.")
@click.option("--shaft", type=SIZE, help="The shaft as measured.")
@json_option
def fit_command(fit: str, hole: Interval | None, shaft: Interval | None, as_json: bool) -> None:
    """Clearance of a fit: `25 H7/g6`, `"1 in H7/g6"`; or `- --hole "25.01 mm" --shaft "25.0 mm"` as measured."""

    def work() -> Calculation:
        if hole is not None or shaft is not None:
            if hole is None or shaft is None or fit != "-":
                raise ValueError("two measured parts: give --hole and --shaft, and - instead of a fit")
            return fits.measured_fit(hole, shaft)
        size, classes = _sized(fit, "a fit with its size, such as 25 H7/g6 (the hole first)")
        _, big, small = parse_fit(classes)
        return fits.fit(size, big, small)

    answered(work, as_json)


@click.command("limits", context_settings=SIGNED)
@click.argument("size")
@json_option
def limits_command(size: str, as_json: bool) -> None:
    """Limits of a tolerance class: `25 H7` (hole), `25 g6` (shaft), `"1 in H7"`; a bare number is millimetres."""
    answered(lambda: fits.limits(*_sized(size, "a size with its class, such as 25 H7")), as_json)


@click.command("classes", context_settings=SIGNED)
@click.argument("size", type=SIZE)
@click.argument("limits", type=SIZE)
@click.option("--shaft/--hole", default=False, help="Classes of shafts instead of holes.")
@json_option
def classes_command(size: Interval, limits: Interval, shaft: bool, as_json: bool) -> None:
    """Tolerance classes whose limits at SIZE lie within LIMITS: `"25 mm" "25.000..25.030 mm"`."""
    answered(lambda: fits.classes(size.middle, limits, hole=not shaft), as_json)


@click.command("press-fit")
@click.option("--bore", type=SIZE, required=True, help="Diameter of the joint.")
@click.option("--interference", type=LENGTH, help="On the diameter; or give --fit.")
@click.option("--fit", "classes", help="Classes such as H7/p6, instead of --interference.")
@click.option("--pressure", type=PRESSURE, help="Instead of those: shows the interference that makes this pressure.")
@click.option("--hub", type=SIZE, required=True, help="Outside diameter of the hub.")
@click.option("--length", type=SIZE, required=True, help="Length of the joint.")
@click.option(
    "--friction", type=RATIO, required=True, help="Friction of the joint: your assumption, such as 0.1..0.15."
)
@click.option("--shaft-bore", type=ROOM, default="0 mm", help="Bore of a hollow shaft.")
@json_option
def press_fit_command(
    bore: Interval,
    interference: Interval | None,
    classes: str | None,
    pressure: Interval | None,
    hub: Interval,
    length: Interval,
    friction: Interval,
    shaft_bore: Interval,
    as_json: bool,
) -> None:
    """Pressure, hoop stress, force and heating of a press fit in steel (Lamé)."""

    def work() -> Calculation:
        tight = interference
        if classes is not None:
            _, hole, shaft = parse_fit(classes)
            tight = -fit(bore.middle, hole, shaft).clearance * 1e-3
        if sum(x is not None for x in (interference, classes, pressure)) != 1:
            raise ValueError("give one of --interference, --fit and --pressure")
        if pressure is not None:
            return fits.interference(bore, pressure, hub, shaft_bore)
        assert tight is not None
        return fits.press_fit(bore, tight, hub, length, friction, shaft_bore)

    answered(work, as_json)


@click.command("shrink-ring")
@click.option("--diameter", type=SIZE, required=True, help="Of the wheel that it is shrunk on.")
@click.option("--thickness", type=SIZE, required=True, help="Of the ring; thin against the diameter.")
@click.option("--cooling", type=TEMPERATURE, required=True, help='From fitting to rest, in kelvin: "55".')
@json_option
def shrink_ring_command(diameter: Interval, thickness: Interval, cooling: Interval, as_json: bool) -> None:
    """Stress and pressure of a thin steel ring shrunk on a rigid wheel."""
    answered(lambda: fits.shrink_ring(diameter, thickness, cooling), as_json)


@click.command("bearing")
@click.argument("designation")
@json_option
def bearing_command(designation: str, as_json: bool) -> None:
    """Boundary dimensions by designation: `6205`, `32005X`."""
    answered(lambda: bearings.dimensions(designation), as_json)


@click.command("bearing-float")
@click.option("--spacer", type=SIZE, required=True, help="Length of the spacer.")
@click.option("--web", type=SIZE, required=True, help="Web of the housing between the cups' shoulders.")
@click.option("--inner", type=(SIZE, SIZE), required=True, help="Inner bearing: assembled width T, cone width B.")
@click.option("--outer", type=(SIZE, SIZE), help="Outer bearing: T, B; default as the inner one.")
@click.option("--window", type=LENGTH, help='Wanted float, such as "0..0.1 mm".')
@click.option("--factor-e", type=RATIO, help="Factor e of the bearing's table: shows the radial play too.")
@json_option
def bearing_float_command(
    spacer: Interval,
    web: Interval,
    inner: tuple[Interval, Interval],
    outer: tuple[Interval, Interval] | None,
    window: Interval | None,
    factor_e: Interval | None,
    as_json: bool,
) -> None:
    """Float of two taper bearings set by a spacer, and the spacer for a wanted float."""
    wanted = window or bearings.COMMON_WINDOW
    answered(lambda: bearings.pair(spacer, web, inner, outer or inner, wanted, factor_e), as_json)


@click.command("thread")
@click.argument("designation")
@click.option("--class", "thread_class", default="", help="Class such as 2A, 2B, 6g, 6H.")
@json_option
def thread_command(designation: str, thread_class: str, as_json: bool) -> None:
    """Sizes of a thread: `3/8-24 UNF-2A`, `M10x1`."""
    answered(lambda: threads.sizes(designation, thread_class), as_json)


@click.command("threads")
@click.argument("male")
@click.argument("female")
@click.option("--engaged", type=SIZE, help="Length of the female thread; default one diameter.")
@json_option
def threads_command(male: str, female: str, engaged: Interval | None, as_json: bool) -> None:
    """What happens when MALE is screwed into FEMALE: `3/8-24 M10x1`."""
    answered(lambda: threads.pair(male, female, engaged.low if engaged else None), as_json)


_FORM = (
    "ANSI B92.1: 30 flat side, 30 flat major, 30 fillet side, 37.5 fillet side, 45 fillet side; ISO 4156: 30 flat ..."
)


@click.command("spline")
@click.argument("spline")
@click.option("--form", default="", help=_FORM)
@click.option("--din", "reference", type=SIZE, help="Reference diameter: by DIN 5480 instead.")
@click.option(
    "--production", default="hobbed", show_default=True, help="DIN 5480: broached, hobbed, shaped, cold rolled."
)
@json_option
def spline_command(spline: str, form: str, reference: Interval | None, production: str, as_json: bool) -> None:
    """Diameters of a spline: `25T 24/48` (ANSI B92.1), `24T module 1.25` (ISO 4156), with --din "30 mm" by DIN 5480."""

    def work() -> Calculation:
        teeth, pitch, module = _spline(spline)
        if reference is not None:
            return splines.sizes(din_5480(reference.low, module, teeth, production))
        return splines.sizes(splines.by_designation(teeth, pitch, module, form))

    answered(work, as_json)


@click.command("splines")
@click.argument("male")
@click.argument("female")
@click.option("--male-form", default="", help=_FORM)
@click.option("--female-form", default="", help=_FORM)
@click.option("--male-major", type=SIZE, help="Measured; default by the standard.")
@click.option("--female-minor", type=SIZE, help="Measured; default by the standard.")
@click.option("--female-major", type=SIZE, help="Measured; default by the standard.")
@json_option
def splines_command(
    male: str,
    female: str,
    male_form: str,
    female_form: str,
    male_major: Interval | None,
    female_minor: Interval | None,
    female_major: Interval | None,
    as_json: bool,
) -> None:
    """What happens when MALE is pushed into FEMALE: `"25T module 1" "25T 24/48"`."""

    def work() -> Calculation:
        one = splines.by_designation(*_spline(male), male_form)
        other = splines.by_designation(*_spline(female), female_form)
        return splines.pair(splines.male_end(one, male_major), splines.female_end(other, female_minor, female_major))

    answered(work, as_json)


@click.command("spline-size")
@click.argument("spline")
@click.option("--jaws", type=SIZE, help="What flat caliper jaws show across it.")
@click.option("--over-pins", type=SIZE, help="Measurement over two pins.")
@click.option("--between-pins", type=SIZE, help="Measurement between two pins of a female spline.")
@click.option("--pin", type=SIZE, help="Diameter of the pins.")
@click.option("--angle", type=ANGLE, default="30 deg", show_default=True, help="Pressure angle.")
@json_option
def spline_size_command(
    spline: str,
    jaws: Interval | None,
    over_pins: Interval | None,
    between_pins: Interval | None,
    pin: Interval | None,
    angle: Interval,
    as_json: bool,
) -> None:
    """A spline by caliper, over pins (male) or between pins (female): `25T 24/48 --jaws "27.40 ±0.05 mm"`."""

    def work() -> Calculation:
        teeth, _, module = _spline(spline)
        if jaws is not None:
            return splines.flat_jaws(jaws, teeth)
        if between_pins is not None and pin is not None:
            return splines.between_pins(teeth, module, angle.low, pin.low, between_pins)
        if over_pins is None or pin is None:
            raise ValueError("give --jaws, or --over-pins or --between-pins with --pin")
        return splines.over_pins(teeth, module, angle.low, pin.low, over_pins)

    answered(work, as_json)


def _sized(text: str, expected: str) -> tuple[float, str]:
    """A size in mm and the class or classes behind it; a bare number is millimetres."""
    size, _, classes = text.strip().rpartition(" ")
    if "/" in size and classes[:1].islower():  # "H7 / g6" written with blanks
        size, _, hole = size.rpartition("/")[0].strip().rpartition(" ")
        classes = f"{hole}/{classes}"
    if not size:
        raise ValueError(f"{text!r} has no size: expected {expected}")
    try:
        return float(size.replace(",", ".").removesuffix("mm")), classes
    except ValueError:
        pass
    try:
        return SIZE.convert(size, None, None).middle, classes
    except click.BadParameter as error:
        raise ValueError(f"{text!r} is not {expected}: {error.message}") from None


def _spline(text: str) -> tuple[int, float | None, float]:
    """Teeth, diametral pitch (None for a module) and module in mm of ``25T 24/48`` or ``25T module 1``."""
    found = read_cell(text, "spline pitch", context=LENIENT)
    teeth, module = found.get("teeth"), found[""].low
    if teeth is None or teeth.low is None or module is None:
        raise ValueError(f"{text!r} does not say both count and pitch, such as 25T 24/48 or 25T module 1")
    pitch = round(25.4 / module, 6) if "/" in text else None
    return int(teeth.low), pitch, module


MACHINE: tuple[click.Command, ...] = (
    fit_command,
    limits_command,
    classes_command,
    press_fit_command,
    shrink_ring_command,
    bearing_command,
    bearing_float_command,
    thread_command,
    threads_command,
    spline_command,
    splines_command,
    spline_size_command,
)
"""The commands of this module."""
