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
    SIZE,
    TEMPERATURE,
    answered,
    json_option,
)
from knockon.queries.ui.option_types import Signed
from knockon.queries.ui.sentences import workshop as says
from knockon.queries.ui.sentences.help import workshop as say
from knockon.queries.workshop import bearings, fits, splines, threads
from knockon.queries.workshop.answer import Calculation


@click.command("fit", cls=Signed, help=say.FIT)
@click.argument("fit")
@click.option("--hole", type=SIZE, help=say.FIT_HOLE)
@click.option("--shaft", type=SIZE, help=say.FIT_SHAFT)
@json_option
def fit_command(fit: str, hole: Interval | None, shaft: Interval | None, as_json: bool) -> None:
    """Clearance of a fit."""

    def work() -> Calculation:
        if hole is not None or shaft is not None:
            if hole is None or shaft is None or fit != "-":
                raise ValueError(says.TWO_MEASURED)
            return fits.measured_fit(hole, shaft)
        size, classes = _sized(fit, says.A_FIT)
        _, big, small = parse_fit(classes)
        return fits.fit(size, big, small)

    answered(work, as_json)


@click.command("limits", cls=Signed, help=say.LIMITS)
@click.argument("size")
@json_option
def limits_command(size: str, as_json: bool) -> None:
    """Limits of a tolerance class."""
    answered(lambda: fits.limits(*_sized(size, says.A_CLASS)), as_json)


@click.command("classes", cls=Signed, help=say.CLASSES)
@click.argument("size", type=SIZE)
@click.argument("limits", type=SIZE)
@click.option("--shaft/--hole", default=False, help=say.CLASSES_SHAFT)
@json_option
def classes_command(size: Interval, limits: Interval, shaft: bool, as_json: bool) -> None:
    """Tolerance classes whose limits at SIZE lie within LIMITS."""
    answered(lambda: fits.classes(size.middle, limits, hole=not shaft), as_json)


@click.command("press-fit", help=say.PRESS_FIT)
@click.option("--bore", type=SIZE, required=True, help=say.PRESS_FIT_BORE)
@click.option("--interference", type=LENGTH, help=say.PRESS_FIT_INTERFERENCE)
@click.option("--fit", "classes", help=say.PRESS_FIT_FIT)
@click.option("--pressure", type=PRESSURE, help=say.PRESS_FIT_PRESSURE)
@click.option("--hub", type=SIZE, required=True, help=say.PRESS_FIT_HUB)
@click.option("--length", type=SIZE, required=True, help=say.PRESS_FIT_LENGTH)
@click.option("--friction", type=RATIO, required=True, help=say.PRESS_FIT_FRICTION)
@click.option("--shaft-bore", type=ROOM, default="0 mm", help=say.PRESS_FIT_SHAFT_BORE)
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
    """Pressure."""

    def work() -> Calculation:
        tight = interference
        if classes is not None:
            _, hole, shaft = parse_fit(classes)
            tight = -fit(bore.middle, hole, shaft).clearance * 1e-3
        if sum(x is not None for x in (interference, classes, pressure)) != 1:
            raise ValueError(says.ONE_OF_THREE)
        if pressure is not None:
            return fits.interference(bore, pressure, hub, shaft_bore)
        assert tight is not None
        return fits.press_fit(bore, tight, hub, length, friction, shaft_bore)

    answered(work, as_json)


@click.command("shrink-ring", help=say.SHRINK_RING)
@click.option("--diameter", type=SIZE, required=True, help=say.SHRINK_RING_DIAMETER)
@click.option("--thickness", type=SIZE, required=True, help=say.SHRINK_RING_THICKNESS)
@click.option("--cooling", type=TEMPERATURE, required=True, help=say.SHRINK_RING_COOLING)
@json_option
def shrink_ring_command(diameter: Interval, thickness: Interval, cooling: Interval, as_json: bool) -> None:
    """Stress and pressure of a thin steel ring shrunk on a rigid wheel."""
    answered(lambda: fits.shrink_ring(diameter, thickness, cooling), as_json)


@click.command("bearing", help=say.BEARING)
@click.argument("designation")
@json_option
def bearing_command(designation: str, as_json: bool) -> None:
    """Boundary dimensions by designation."""
    answered(lambda: bearings.dimensions(designation), as_json)


@click.command("bearing-float", help=say.BEARING_FLOAT)
@click.option("--spacer", type=SIZE, required=True, help=say.BEARING_FLOAT_SPACER)
@click.option("--web", type=SIZE, required=True, help=say.BEARING_FLOAT_WEB)
@click.option("--inner", type=(SIZE, SIZE), required=True, help=say.BEARING_FLOAT_INNER)
@click.option("--outer", type=(SIZE, SIZE), help=say.BEARING_FLOAT_OUTER)
@click.option("--window", type=LENGTH, help=say.BEARING_FLOAT_WINDOW)
@click.option("--factor-e", type=RATIO, help=say.BEARING_FLOAT_FACTOR_E)
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
    """Float of two taper bearings set by a spacer."""
    wanted = window or bearings.COMMON_WINDOW
    answered(lambda: bearings.pair(spacer, web, inner, outer or inner, wanted, factor_e), as_json)


@click.command("thread", help=say.THREAD)
@click.argument("designation")
@click.option("--class", "thread_class", default="", help=say.THREAD_CLASS)
@json_option
def thread_command(designation: str, thread_class: str, as_json: bool) -> None:
    """Sizes of a thread."""
    answered(lambda: threads.sizes(designation, thread_class), as_json)


@click.command("threads", help=say.THREADS)
@click.argument("male")
@click.argument("female")
@click.option("--engaged", type=SIZE, help=say.THREADS_ENGAGED)
@json_option
def threads_command(male: str, female: str, engaged: Interval | None, as_json: bool) -> None:
    """What happens when MALE is screwed into FEMALE."""
    answered(lambda: threads.pair(male, female, engaged.low if engaged else None), as_json)


@click.command("spline", help=say.SPLINE)
@click.argument("spline")
@click.option("--form", default="", help=say.FORM)
@click.option("--din", "reference", type=SIZE, help=say.SPLINE_DIN)
@click.option("--production", default="hobbed", show_default=True, help=say.SPLINE_PRODUCTION)
@json_option
def spline_command(spline: str, form: str, reference: Interval | None, production: str, as_json: bool) -> None:
    """Diameters of a spline."""

    def work() -> Calculation:
        teeth, pitch, module = _spline(spline)
        if reference is not None:
            return splines.sizes(din_5480(reference.low, module, teeth, production))
        return splines.sizes(splines.by_designation(teeth, pitch, module, form))

    answered(work, as_json)


@click.command("splines", help=say.SPLINES)
@click.argument("male")
@click.argument("female")
@click.option("--male-form", default="", help=say.FORM)
@click.option("--female-form", default="", help=say.FORM)
@click.option("--male-major", type=SIZE, help=say.SPLINES_MALE_MAJOR)
@click.option("--female-minor", type=SIZE, help=say.SPLINES_FEMALE_MINOR)
@click.option("--female-major", type=SIZE, help=say.SPLINES_FEMALE_MAJOR)
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
    """What happens when MALE is pushed into FEMALE."""

    def work() -> Calculation:
        one = splines.by_designation(*_spline(male), male_form)
        other = splines.by_designation(*_spline(female), female_form)
        return splines.pair(splines.male_end(one, male_major), splines.female_end(other, female_minor, female_major))

    answered(work, as_json)


@click.command("spline-size", help=say.SPLINE_SIZE)
@click.argument("spline")
@click.option("--jaws", type=SIZE, help=say.SPLINE_SIZE_JAWS)
@click.option("--over-pins", type=SIZE, help=say.SPLINE_SIZE_OVER_PINS)
@click.option("--between-pins", type=SIZE, help=say.SPLINE_SIZE_BETWEEN_PINS)
@click.option("--pin", type=SIZE, help=say.SPLINE_SIZE_PIN)
@click.option("--angle", type=ANGLE, default="30 deg", show_default=True, help=say.SPLINE_SIZE_ANGLE)
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
    """A spline by caliper."""

    def work() -> Calculation:
        teeth, _, module = _spline(spline)
        if jaws is not None:
            return splines.flat_jaws(jaws, teeth)
        if between_pins is not None and pin is not None:
            return splines.between_pins(teeth, module, angle.low, pin.low, between_pins)
        if over_pins is None or pin is None:
            raise ValueError(says.SPLINE_SIZES)
        return splines.over_pins(teeth, module, angle.low, pin.low, over_pins)

    answered(work, as_json)


def _sized(text: str, expected: str) -> tuple[float, str]:
    """A size in mm and the class or classes behind it; a bare number is millimetres."""
    size, _, classes = text.strip().rpartition(" ")
    if "/" in size and classes[:1].islower():  # "H7 / g6" written with blanks
        size, _, hole = size.rpartition("/")[0].strip().rpartition(" ")
        classes = f"{hole}/{classes}"
    if not size:
        raise ValueError(says.WITHOUT_SIZE.format(text=text, expected=expected))
    try:
        return float(size.replace(",", ".").removesuffix("mm")), classes
    except ValueError:
        pass
    try:
        return SIZE.convert(size, None, None).middle, classes
    except click.BadParameter as error:
        raise ValueError(says.NOT_SUCH.format(text=text, expected=expected, why=error.message)) from None


def _spline(text: str) -> tuple[int, float | None, float]:
    """Teeth, diametral pitch (None for a module) and module in mm of ``25T 24/48`` or ``25T module 1``."""
    found = read_cell(text, "spline pitch", context=LENIENT)
    teeth, module = found.get("teeth"), found[""].low
    if teeth is None or teeth.low is None or module is None:
        raise ValueError(says.COUNT_AND_PITCH.format(text=text))
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
