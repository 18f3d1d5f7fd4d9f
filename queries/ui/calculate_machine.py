"""Calculate commands on fits, bearings, threads, splines, bolts and measuring."""

from __future__ import annotations

import click

from knockon.graph.interval import Interval
from knockon.queries.ui.calculate_types import (
    ANGLE,
    LENGTH,
    NUMBER,
    TORQUE,
    answered,
    json_option,
)
from knockon.queries.workshop.answer import Calculation


@click.command("fit")
@click.argument("fit")
@json_option
def fit_command(fit: str, as_json: bool) -> None:
    """Clearance of a fit: `25 H7/g6`."""
    from knockon.graph.formulas.iso286 import ToleranceClassError, parse_fit
    from knockon.queries.workshop import fits

    def work() -> Calculation:
        size, hole, shaft = parse_fit(fit)
        if size is None:
            raise ToleranceClassError(f"{fit!r} has no size: write it before the classes, as in 25 H7/g6")
        return fits.fit(size, hole, shaft)

    answered(work, as_json)


@click.command("limits")
@click.argument("size")
@json_option
def limits_command(size: str, as_json: bool) -> None:
    """Limits of a tolerance class: `25 H7` (hole) or `25 g6` (shaft), millimetres."""
    from knockon.graph.formulas.iso286 import ToleranceClassError
    from knockon.queries.workshop import fits

    def work() -> Calculation:
        parts = size.replace("mm", " ").split()
        if len(parts) != 2:
            raise ToleranceClassError(f"{size!r} is not a size in mm with its class, such as 25 H7")
        return fits.limits(_number(parts[0]), parts[1])

    answered(work, as_json)


@click.command("press-fit")
@click.option("--bore", type=LENGTH, required=True, help="Diameter of the joint.")
@click.option("--interference", type=LENGTH, help="On the diameter; or give --fit.")
@click.option("--fit", "classes", help="Classes such as H7/p6, instead of --interference.")
@click.option("--hub", type=LENGTH, required=True, help="Outside diameter of the hub.")
@click.option("--length", type=LENGTH, required=True, help="Length of the joint.")
@click.option(
    "--friction", type=NUMBER, required=True, help="Friction of the joint: your assumption, such as 0.1..0.15."
)
@click.option("--shaft-bore", type=LENGTH, default="0 mm", help="Bore of a hollow shaft.")
@json_option
def press_fit_command(
    bore: Interval,
    interference: Interval | None,
    classes: str | None,
    hub: Interval,
    length: Interval,
    friction: Interval,
    shaft_bore: Interval,
    as_json: bool,
) -> None:
    """Pressure, hoop stress, force and heating of a press fit in steel (Lamé)."""
    from knockon.graph.formulas.iso286 import fit, parse_fit
    from knockon.queries.workshop import fits

    def work() -> Calculation:
        tight = interference
        if classes is not None:
            _, hole, shaft = parse_fit(classes)
            tight = -fit(bore.middle, hole, shaft).clearance * 1e-3
        if tight is None:
            raise ValueError("give --interference or --fit")
        return fits.press_fit(bore, tight, hub, length, friction, shaft_bore)

    answered(work, as_json)


@click.command("bearing")
@click.argument("designation")
@json_option
def bearing_command(designation: str, as_json: bool) -> None:
    """Boundary dimensions by designation: `6205`, `32005X`."""
    from knockon.queries.workshop import bearings

    answered(lambda: bearings.dimensions(designation), as_json)


@click.command("bearing-float")
@click.option("--spacer", type=LENGTH, required=True, help="Length of the spacer.")
@click.option("--web", type=LENGTH, required=True, help="Web of the housing between the cups' shoulders.")
@click.option("--inner", type=(LENGTH, LENGTH), required=True, help="Inner bearing: assembled width T, cone width B.")
@click.option("--outer", type=(LENGTH, LENGTH), help="Outer bearing: T, B; default as the inner one.")
@click.option("--window", type=LENGTH, help='Wanted float, such as "0..0.1 mm".')
@json_option
def bearing_float_command(
    spacer: Interval,
    web: Interval,
    inner: tuple[Interval, Interval],
    outer: tuple[Interval, Interval] | None,
    window: Interval | None,
    as_json: bool,
) -> None:
    """Float of two taper bearings set by a spacer, and the spacer for a wanted float."""
    from knockon.queries.workshop import bearings

    wanted = window or bearings.COMMON_WINDOW
    answered(lambda: bearings.pair(spacer, web, inner, outer or inner, wanted), as_json)


@click.command("thread")
@click.argument("designation")
@click.option("--class", "thread_class", default="", help="Class such as 2A, 2B, 6g, 6H.")
@json_option
def thread_command(designation: str, thread_class: str, as_json: bool) -> None:
    """Sizes of a thread: `3/8-24 UNF-2A`, `M10x1`."""
    from knockon.queries.workshop import threads

    answered(lambda: threads.sizes(designation, thread_class), as_json)


@click.command("threads")
@click.argument("male")
@click.argument("female")
@click.option("--engaged", type=LENGTH, help="Length of the female thread; default one diameter.")
@json_option
def threads_command(male: str, female: str, engaged: Interval | None, as_json: bool) -> None:
    """What happens when MALE is screwed into FEMALE: `3/8-24 M10x1`."""
    from knockon.queries.workshop import threads

    answered(lambda: threads.pair(male, female, engaged.low if engaged else None), as_json)


_FORM = (
    "ANSI B92.1: 30 flat side, 30 flat major, 30 fillet side, 37.5 fillet side, 45 fillet side; ISO 4156: 30 flat ..."
)


@click.command("spline")
@click.argument("spline")
@click.option("--form", default="", help=_FORM)
@click.option("--din", "reference", type=LENGTH, help="Reference diameter: by DIN 5480 instead.")
@click.option(
    "--production", default="hobbed", show_default=True, help="DIN 5480: broached, hobbed, shaped, cold rolled."
)
@json_option
def spline_command(spline: str, form: str, reference: Interval | None, production: str, as_json: bool) -> None:
    """Diameters of a spline: `25T 24/48` (ANSI B92.1), `24T module 1.25` (ISO 4156), with --din "30 mm" by DIN 5480."""
    from knockon.graph.formulas.spline_standards import din_5480
    from knockon.queries.workshop import splines

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
@click.option("--male-major", type=LENGTH, help="Measured; default by the standard.")
@click.option("--female-minor", type=LENGTH, help="Measured; default by the standard.")
@click.option("--female-major", type=LENGTH, help="Measured; default by the standard.")
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
    from knockon.queries.workshop import splines

    def work() -> Calculation:
        one = splines.by_designation(*_spline(male), male_form)
        other = splines.by_designation(*_spline(female), female_form)
        return splines.pair(splines.male_end(one, male_major), splines.female_end(other, female_minor, female_major))

    answered(work, as_json)


@click.command("spline-size")
@click.argument("spline")
@click.option("--jaws", type=LENGTH, help="What flat caliper jaws show across it.")
@click.option("--over-pins", type=LENGTH, help="Measurement over two pins.")
@click.option("--pin", type=LENGTH, help="Diameter of the pins.")
@click.option("--angle", type=ANGLE, default="30 deg", show_default=True, help="Pressure angle.")
@json_option
def spline_size_command(
    spline: str,
    jaws: Interval | None,
    over_pins: Interval | None,
    pin: Interval | None,
    angle: Interval,
    as_json: bool,
) -> None:
    """A male spline by caliper or over pins: `25T 24/48 --jaws "27.40 ±0.05 mm"`."""
    from knockon.queries.workshop import splines

    def work() -> Calculation:
        teeth, _, module = _spline(spline)
        if jaws is not None:
            return splines.flat_jaws(jaws, teeth)
        if over_pins is None or pin is None:
            raise ValueError("give --jaws, or --over-pins with --pin")
        return splines.over_pins(teeth, module, angle.low, pin.low, over_pins)

    answered(work, as_json)


@click.command("bolt")
@click.argument("thread")
@click.option("--grade", required=True, help="8.8, 10.9 ..., or SAE 5, SAE 8 ...")
@click.option("--torque", type=TORQUE, help='A stated torque, such as "50 N m"; needs --source.')
@click.option("--source", default="", help="Where the torque is printed.")
@click.option("--factor", type=NUMBER, help="K of T = K d F; default 0.15 to 0.25.")
@json_option
def bolt_command(
    thread: str, grade: str, torque: Interval | None, source: str, factor: Interval | None, as_json: bool
) -> None:
    """Proof load of a bolt, or what a stated torque does to it. Never proposes a torque."""
    from knockon.queries.workshop import fasteners

    if torque is None:
        answered(lambda: fasteners.proof(thread, grade), as_json)
    else:
        answered(lambda: fasteners.check_torque(thread, grade, torque, source, factor or fasteners.DRY), as_json)


@click.command("next-slot")
@click.argument("thread")
@click.option("--slots", type=int, required=True, help="Slots of the castellated nut.")
@click.option("--holes", type=int, default=1, show_default=True, help="Pin holes through the bolt, 1 or 2 across.")
@json_option
def next_slot_command(thread: str, slots: int, holes: int, as_json: bool) -> None:
    """How far a castellated nut goes on to the next slot."""
    from knockon.graph.formulas.thread_names import parse_thread
    from knockon.queries.workshop import fasteners

    answered(lambda: fasteners.next_slot(slots, parse_thread(thread).pitch, holes), as_json)


@click.command("uncertainty")
@click.option(
    "--part", "parts", type=(str, LENGTH), multiple=True, required=True, help='Name and "±0.02 mm" (rectangle).'
)
@click.option("--coverage", type=float, default=2.0, show_default=True, help="Coverage factor k.")
@json_option
def uncertainty_command(parts: tuple[tuple[str, Interval], ...], coverage: float, as_json: bool) -> None:
    """Combined uncertainty of independent parts (GUM), each known within plus or minus a length."""
    from knockon.graph.formulas.measuring import Component, standard_uncertainty
    from knockon.queries.workshop import measuring

    found = [Component(name, standard_uncertainty(max(abs(v.low), abs(v.high)))) for name, v in parts]
    answered(lambda: measuring.uncertainty(found, "mm", coverage), as_json)


@click.command("stack")
@click.option("--plus", type=(str, LENGTH), multiple=True, help='Name and size, such as spacer "12.62 ±0.01 mm".')
@click.option("--minus", type=(str, LENGTH), multiple=True, help="The same, subtracted.")
@json_option
def stack_command(
    plus: tuple[tuple[str, Interval], ...], minus: tuple[tuple[str, Interval], ...], as_json: bool
) -> None:
    """A stack of dimensions: worst case and root of the sum of squares."""
    from knockon.graph.formulas.measuring import StackTerm
    from knockon.queries.workshop import measuring

    signed = [*((n, v) for n, v in plus), *((n, -v) for n, v in minus)]
    terms = [StackTerm(n, v.middle, v.width / 2, -v.width / 2) for n, v in signed]
    answered(lambda: measuring.stack(terms), as_json)


@click.command("decide")
@click.argument("one", type=LENGTH)
@click.argument("other", type=LENGTH)
@click.option("--instrument", type=LENGTH, help="Your instrument is good to plus or minus this.")
@json_option
def decide_command(one: Interval, other: Interval, instrument: Interval | None, as_json: bool) -> None:
    """How well must I measure to tell ONE from OTHER?"""
    from knockon.queries.workshop import measuring

    answered(lambda: measuring.decide(one, other, instrument.high if instrument else 0.0), as_json)


def _number(text: str) -> float:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        raise ValueError(f"{text!r} is not a number of millimetres") from None


def _spline(text: str) -> tuple[int, float | None, float]:
    """Teeth, diametral pitch (None for a module) and module in mm of ``25T 24/48`` or ``25T module 1``."""
    from knockon.graph.quantity.model import LENIENT
    from knockon.graph.quantity.read import read_cell

    found = read_cell(text, "spline pitch", context=LENIENT)
    teeth, module = found.get("teeth"), found[""].low
    if teeth is None or teeth.low is None or module is None:
        raise ValueError(f"{text!r} does not say both count and pitch, such as 25T 24/48 or 25T module 1")
    pitch = round(25.4 / module, 6) if "/" in text else None
    return int(teeth.low), pitch, module


MACHINE: tuple[click.Command, ...] = (
    fit_command,
    limits_command,
    press_fit_command,
    bearing_command,
    bearing_float_command,
    thread_command,
    threads_command,
    spline_command,
    splines_command,
    spline_size_command,
    bolt_command,
    next_slot_command,
    uncertainty_command,
    stack_command,
    decide_command,
)
"""The commands of this module."""
