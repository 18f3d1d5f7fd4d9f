"""Calculate commands on wheels, brakes, shims, tubes and hoses."""

from __future__ import annotations

from pathlib import Path

import click

from knockon.graph.formulas.interval import Interval, as_interval
from knockon.graph.formulas.wheels import centre_distance, centre_distance_between
from knockon.graph.quantity.thread_names import parse_thread
from knockon.queries.ui.commands.workshop.types import LENGTH, ROOM, SIZE, answered, json_option
from knockon.queries.ui.option_types import Signed
from knockon.queries.ui.sentences import workshop as says
from knockon.queries.ui.sentences.help import workshop as say
from knockon.queries.ui.texts.workshop import template as template_drawing
from knockon.queries.workshop import tubes, wheel
from knockon.queries.workshop.answer import Calculation
from knockon.queries.workshop.shims import swivel
from knockon.queries.workshop.template import bolt_circle_template
from knockon.queries.workshop.wheel import ChordReading, drawn

NOTHING = Interval(0.0, 0.0)


@click.command("rim", cls=Signed, help=say.RIM)
@click.argument("code")
@json_option
def rim_command(code: str, as_json: bool) -> None:
    """Nominal and specified diameter of a rim by its inch CODE."""

    def work() -> Calculation:
        text = code.strip().removesuffix("inch").removesuffix("in").removesuffix('"').strip()
        try:
            number = float(text.replace(",", "."))
        except ValueError:
            raise ValueError(says.NO_RIM.format(code=code)) from None
        return wheel.rim(number)

    answered(work, as_json)


@click.command("bolt-circle", help=say.BOLT_CIRCLE)
@click.option("--holes", type=click.IntRange(3, 12), required=True, help=say.BOLT_CIRCLE_HOLES)
@click.option("--centres", type=SIZE, multiple=True, help=say.BOLT_CIRCLE_CENTRES)
@click.option("--skip-one", type=SIZE, multiple=True, help=say.BOLT_CIRCLE_SKIP_ONE)
@click.option("--outside", type=SIZE, multiple=True, help=say.BOLT_CIRCLE_OUTSIDE)
@click.option("--inside", type=SIZE, multiple=True, help=say.BOLT_CIRCLE_INSIDE)
@click.option("--hole", type=SIZE, help=say.BOLT_CIRCLE_HOLE)
@click.option("--hub", type=SIZE, help=say.BOLT_CIRCLE_HUB)
@json_option
def bolt_circle_command(
    holes: int,
    centres: tuple[Interval, ...],
    skip_one: tuple[Interval, ...],
    outside: tuple[Interval, ...],
    inside: tuple[Interval, ...],
    hole: Interval | None,
    hub: Interval | None,
    as_json: bool,
) -> None:
    """Bolt circle from what a caliper reaches."""

    def work() -> Calculation:
        if (outside or inside) and hole is None:
            raise ValueError(says.NEEDS_HOLE)
        size = hole or NOTHING
        readings = [
            *(ChordReading(d) for d in centres),
            *(ChordReading(as_interval(centre_distance(d, size))) for d in outside),
            *(ChordReading(as_interval(centre_distance_between(d, size))) for d in inside),
            *(ChordReading(d, 2) for d in skip_one),
        ]
        return wheel.bolt_circle(holes, readings, hub)

    answered(work, as_json)


@click.command("stud", help=say.STUD)
@click.argument("thread")
@click.option("--stand-out", type=SIZE, required=True, help=say.STUD_STAND_OUT)
@click.option("--seat", type=ROOM, required=True, help=say.STUD_SEAT)
@click.option("--nut", type=SIZE, required=True, help=say.STUD_NUT)
@json_option
def stud_command(thread: str, stand_out: Interval, seat: Interval, nut: Interval, as_json: bool) -> None:
    """How much of a wheel stud is in the nut."""

    def work() -> Calculation:
        found = parse_thread(thread)
        return wheel.stud(stand_out, seat, nut, found.major, found.pitch)

    answered(work, as_json)


@click.command("wheel-room", help=say.WHEEL_ROOM)
@click.option("--barrel", type=SIZE, required=True, help=say.WHEEL_ROOM_BARREL)
@click.option("--reach", type=SIZE, required=True, help=say.WHEEL_ROOM_REACH)
@click.option("--dish", type=LENGTH, required=True, help=say.WHEEL_ROOM_DISH)
@click.option("--face", type=LENGTH, required=True, help=say.WHEEL_ROOM_FACE)
@click.option("--weights", type=ROOM, default="0 mm", help=say.WHEEL_ROOM_WEIGHTS)
@click.option("--spacer", type=LENGTH, default="0 mm", help=say.WHEEL_ROOM_SPACER)
@json_option
def wheel_room_command(
    barrel: Interval,
    reach: Interval,
    dish: Interval,
    face: Interval,
    weights: Interval,
    spacer: Interval,
    as_json: bool,
) -> None:
    """Room between wheel and caliper."""
    answered(lambda: wheel.caliper_room(barrel, reach, dish, face, weights, spacer), as_json)


@click.command("track", help=say.TRACK)
@click.option("--face", type=LENGTH, required=True, help=say.TRACK_FACE)
@click.option("--offset", type=LENGTH, default="0 mm", help=say.TRACK_OFFSET)
@click.option("--spacer", type=LENGTH, default="0 mm", help=say.TRACK_SPACER)
@json_option
def track_command(face: Interval, offset: Interval, spacer: Interval, as_json: bool) -> None:
    """Change of the track over the axle."""
    answered(lambda: wheel.track(face, offset, spacer), as_json)


@click.command("template", help=say.TEMPLATE)
@click.option("--holes", type=click.IntRange(3, 12), required=True, help=say.TEMPLATE_HOLES)
@click.option("--circle", type=SIZE, required=True, help=say.TEMPLATE_CIRCLE)
@click.option("--hole", type=SIZE, required=True, help=say.TEMPLATE_HOLE)
@click.option("--bore", type=ROOM, default="0 mm", help=say.TEMPLATE_BORE)
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
@json_option
def template_command(holes: int, circle: Interval, hole: Interval, bore: Interval, file: Path, as_json: bool) -> None:
    """Draw a bolt circle to print at 1."""

    def work() -> Calculation:
        suffix = file.suffix.lower()
        if suffix not in (".svg", ".pdf"):
            raise ValueError(says.SVG_OR_PDF.format(name=file.name))
        template = bolt_circle_template(holes, circle.middle, hole.middle, bore.middle)
        data = template_drawing.pdf(template) if suffix == ".pdf" else template_drawing.svg(template).encode()
        try:
            file.write_bytes(data)
        except OSError as error:
            raise ValueError(says.NOT_WRITTEN.format(file=file, why=error.strerror)) from None
        return drawn(template, str(file), holes, circle, hole)

    answered(work, as_json)


@click.command("shims", help=say.SHIMS)
@click.option("--gap", type=SIZE, required=True, help=say.SHIMS_GAP)
@click.option("--washer", type=SIZE, help=say.SHIMS_WASHER)
@click.option("--nip", type=LENGTH, help=say.SHIMS_NIP)
@click.option("--shim", "shims", type=SIZE, multiple=True, required=True, help=say.SHIMS_SHIM)
@click.option("--one-each", is_flag=True, help=say.SHIMS_ONE_EACH)
@json_option
def shims_command(
    gap: Interval,
    washer: Interval | None,
    nip: Interval | None,
    shims: tuple[Interval, ...],
    one_each: bool,
    as_json: bool,
) -> None:
    """Shim stacks for a swivel's gap."""
    thicknesses = [round(s.middle, 6) for s in shims]
    box: dict[float, int | None] = {t: thicknesses.count(t) if one_each else None for t in thicknesses}
    answered(lambda: swivel(gap, box, washer, nip), as_json)


@click.command("flare", cls=Signed, help=say.FLARE)
@click.argument("outside", type=SIZE)
@json_option
def flare_command(outside: Interval, as_json: bool) -> None:
    """Which 45 degree flare measures OUTSIDE."""
    answered(lambda: tubes.flare(outside), as_json)


@click.command("hose", cls=Signed, help=say.HOSE)
@click.argument("inside", type=SIZE)
@json_option
def hose_command(inside: Interval, as_json: bool) -> None:
    """The size class of a brake hose by its nominal INSIDE diameter."""
    answered(lambda: tubes.hose(inside.middle), as_json)


VEHICLE: tuple[click.Command, ...] = (
    rim_command,
    bolt_circle_command,
    stud_command,
    wheel_room_command,
    track_command,
    template_command,
    shims_command,
    flare_command,
    hose_command,
)
"""The commands of this module."""
