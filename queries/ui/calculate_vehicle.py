"""Calculate commands on wheels, brakes, shims, tubes and hoses."""

from __future__ import annotations

from pathlib import Path

import click

from knockon.graph.interval import Interval
from knockon.queries.ui.calculate_types import FORCE, LENGTH, NUMBER, PRESSURE, answered, json_option
from knockon.queries.workshop.answer import Calculation

NOTHING = Interval(0.0, 0.0)


@click.command("rim")
@click.argument("code", type=float)
@json_option
def rim_command(code: float, as_json: bool) -> None:
    """Nominal and specified diameter of a rim by its inch CODE."""
    from knockon.queries.workshop import wheel

    answered(lambda: wheel.rim(code), as_json)


@click.command("bolt-circle")
@click.option("--holes", type=click.IntRange(3, 12), required=True, help="How many holes or studs.")
@click.option("--centres", type=LENGTH, multiple=True, help="Centre distance of neighbours.")
@click.option("--skip-one", type=LENGTH, multiple=True, help="Centre distance of every other one.")
@click.option("--outside", type=LENGTH, multiple=True, help="Over the outer edges of neighbours; needs --hole.")
@click.option("--inside", type=LENGTH, multiple=True, help="Between the inner edges of neighbours; needs --hole.")
@click.option("--hole", type=LENGTH, help="Diameter of the holes or studs.")
@json_option
def bolt_circle_command(
    holes: int,
    centres: tuple[Interval, ...],
    skip_one: tuple[Interval, ...],
    outside: tuple[Interval, ...],
    inside: tuple[Interval, ...],
    hole: Interval | None,
    as_json: bool,
) -> None:
    """Bolt circle from what a caliper reaches; every option may be given more than once."""
    from knockon.queries.workshop import wheel
    from knockon.queries.workshop.wheel import ChordReading

    def work() -> Calculation:
        if (outside or inside) and hole is None:
            raise ValueError("--outside and --inside need --hole")
        size = hole or NOTHING
        readings = [
            *(ChordReading(d) for d in centres),
            *(ChordReading(d - size) for d in outside),
            *(ChordReading(d + size) for d in inside),
            *(ChordReading(d, 2) for d in skip_one),
        ]
        return wheel.bolt_circle(holes, readings)

    answered(work, as_json)


@click.command("stud")
@click.argument("thread")
@click.option("--stand-out", type=LENGTH, required=True, help="Of the stud from the hub face.")
@click.option("--seat", type=LENGTH, required=True, help="From the hub face to where the nut's thread starts.")
@click.option("--nut", type=LENGTH, required=True, help="Length of the thread in the nut.")
@json_option
def stud_command(thread: str, stand_out: Interval, seat: Interval, nut: Interval, as_json: bool) -> None:
    """How much of a wheel stud is in the nut."""
    from knockon.graph.formulas.thread_names import parse_thread
    from knockon.queries.workshop import wheel

    def work() -> Calculation:
        found = parse_thread(thread)
        return wheel.stud(stand_out, seat, nut, found.major, found.pitch)

    answered(work, as_json)


@click.command("wheel-room")
@click.option("--barrel", type=LENGTH, required=True, help="Inner radius of the barrel at the caliper.")
@click.option("--reach", type=LENGTH, required=True, help="Radial reach of the caliper from the axle.")
@click.option("--dish", type=LENGTH, required=True, help="Depth of the dish from the mounting face.")
@click.option("--face", type=LENGTH, required=True, help="Caliper face outboard of the mounting face.")
@click.option("--weights", type=LENGTH, default="0 mm", help="Thickness of stuck-on weights.")
@click.option("--spacer", type=LENGTH, default="0 mm", help="Thickness of a spacer.")
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
    """Room between wheel and caliper, at the barrel and at the face."""
    from knockon.queries.workshop import wheel

    answered(lambda: wheel.caliper_room(barrel, reach, dish, face, weights, spacer), as_json)


@click.command("track")
@click.option("--face", type=LENGTH, required=True, help="How much the mounting faces move outboard.")
@click.option("--offset", type=LENGTH, default="0 mm", help="How much the wheels' offset grows.")
@click.option("--spacer", type=LENGTH, default="0 mm", help="Thickness of a spacer.")
@json_option
def track_command(face: Interval, offset: Interval, spacer: Interval, as_json: bool) -> None:
    """Change of the track over the axle."""
    from knockon.queries.workshop import wheel

    answered(lambda: wheel.track(face, offset, spacer), as_json)


@click.command("template")
@click.option("--holes", type=click.IntRange(3, 12), required=True, help="How many holes.")
@click.option("--circle", type=LENGTH, required=True, help="Bolt circle diameter.")
@click.option("--hole", type=LENGTH, required=True, help="Diameter of the holes.")
@click.option("--bore", type=LENGTH, default="0 mm", help="Diameter of the centre bore.")
@click.argument("file", type=click.Path(dir_okay=False, path_type=Path))
def template_command(holes: int, circle: Interval, hole: Interval, bore: Interval, file: Path) -> None:
    """Draw a bolt circle to print at 1:1 into FILE (.svg or .pdf)."""
    from knockon.queries.ui import template_drawing
    from knockon.queries.workshop.template import bolt_circle_template

    try:
        template = bolt_circle_template(holes, circle.middle, hole.middle, bore.middle)
    except ValueError as error:
        raise click.UsageError(str(error)) from None
    if file.suffix.lower() not in (".svg", ".pdf"):
        raise click.UsageError(f"{file.name}: write to a file ending in .svg or .pdf")
    drawn = template_drawing.pdf(template) if file.suffix.lower() == ".pdf" else template_drawing.svg(template).encode()
    try:
        file.write_bytes(drawn)
    except OSError as error:
        raise click.UsageError(f"{file}: {error.strerror}") from None
    click.echo(f"{file}: print at 100 %, then check that the ruler on it measures 100.0 mm.")


def _axle_options(which: str) -> list[tuple[str, str]]:
    return [
        (f"--{which}-piston", "Diameter of the caliper piston on one side."),
        (f"--{which}-radius", "Effective radius of the disc."),
        (f"--{which}-front-cylinder", "Bore of the front wheel cylinder."),
        (f"--{which}-front-drum", "Diameter of the front drum."),
        (f"--{which}-rear-cylinder", "Bore of the rear wheel cylinder."),
        (f"--{which}-rear-drum", "Diameter of the rear drum."),
        (f"--{which}-master", "Bore of the master cylinder."),
    ]


@click.command("balance")
@json_option
def balance_command(as_json: bool, **sizes: Interval) -> None:
    """Front share of the planned brakes against those of the vehicle as made; what is not there is left out."""
    from knockon.queries.workshop import hydraulics
    from knockon.queries.workshop.hydraulics import Axles

    def axles(which: str) -> Axles:
        own = {n.removeprefix(which + "_"): v for n, v in sizes.items() if n.startswith(which + "_")}
        return Axles(
            piston=own["piston"],
            effective_radius=own["radius"],
            front_cylinder=own["front_cylinder"],
            front_drum=own["front_drum"],
            rear_cylinder=own["rear_cylinder"],
            rear_drum=own["rear_drum"],
            master=own["master"],
        )

    answered(lambda: hydraulics.balance(axles("made"), axles("planned")), as_json)


for _which in ("planned", "made"):
    for _name, _help in reversed(_axle_options(_which)):
        balance_command = click.option(_name, type=LENGTH, default="0 mm", help=_help)(balance_command)


@click.command("pedal")
@click.option("--force", type=FORCE, required=True, help="At the pedal.")
@click.option("--ratio", type=NUMBER, required=True, help="Of the pedal's lever.")
@click.option("--master", type=LENGTH, required=True, help="Bore of the master cylinder.")
@click.option("--piston", "pistons", type=(str, LENGTH), multiple=True, help="Name and bore of a piston.")
@json_option
def pedal_command(
    force: Interval, ratio: Interval, master: Interval, pistons: tuple[tuple[str, Interval], ...], as_json: bool
) -> None:
    """Line pressure and piston forces from the force on the pedal."""
    from knockon.queries.workshop import hydraulics

    answered(lambda: hydraulics.pedal(force, ratio, master, dict(pistons)), as_json)


@click.command("volume")
@click.option("--master", type=LENGTH, required=True, help="Bore of the master cylinder.")
@click.option("--stroke", type=LENGTH, required=True, help="Stroke of the master cylinder.")
@click.option("--ratio", type=NUMBER, required=True, help="Of the pedal's lever.")
@click.option(
    "--pistons",
    type=(str, int, LENGTH, LENGTH),
    multiple=True,
    required=True,
    help="Name, how many, bore, travel of each.",
)
@json_option
def volume_command(
    master: Interval,
    stroke: Interval,
    ratio: Interval,
    pistons: tuple[tuple[str, int, Interval, Interval], ...],
    as_json: bool,
) -> None:
    """Fluid that the brakes take against the stroke of the master."""
    from knockon.graph.formulas.hydraulics import Demand
    from knockon.queries.workshop import hydraulics

    demands = [(name, Demand(bore, travel, count)) for name, count, bore, travel in pistons]
    answered(lambda: hydraulics.volume(master, stroke, ratio, demands), as_json)


@click.command("residual")
@click.argument("pressure", type=PRESSURE)
@click.option("--discs/--drums", required=True, help="What the circuit works.")
@json_option
def residual_command(pressure: Interval, discs: bool, as_json: bool) -> None:
    """Whether a residual valve of this PRESSURE suits discs or drums."""
    from knockon.queries.workshop import hydraulics

    answered(lambda: hydraulics.residual(pressure, discs), as_json)


@click.command("pad-radius")
@click.argument("inner", type=LENGTH)
@click.argument("outer", type=LENGTH)
@json_option
def pad_radius_command(inner: Interval, outer: Interval, as_json: bool) -> None:
    """Effective radius of a pad from its INNER and OUTER radius."""
    from knockon.queries.workshop import hydraulics

    answered(lambda: hydraulics.radius(inner, outer), as_json)


@click.command("shims")
@click.option("--gap", type=LENGTH, required=True, help="Without shims, without the spring.")
@click.option("--washer", type=LENGTH, help="Thickness of the tab washer.")
@click.option("--nip", type=LENGTH, help="Nip that the manual asks for.")
@click.option("--shim", "shims", type=LENGTH, multiple=True, required=True, help="One thickness in the box.")
@click.option("--one-each", is_flag=True, help="There is one shim for each --shim, not as many as wanted.")
@json_option
def shims_command(
    gap: Interval,
    washer: Interval | None,
    nip: Interval | None,
    shims: tuple[Interval, ...],
    one_each: bool,
    as_json: bool,
) -> None:
    """Shim stacks for a swivel's gap, by both rules in use."""
    from knockon.queries.workshop.shims import swivel

    thicknesses = [round(s.middle, 6) for s in shims]
    box: dict[float, int | None] = {t: thicknesses.count(t) if one_each else None for t in thicknesses}
    answered(lambda: swivel(gap, box, washer, nip), as_json)


@click.command("flare")
@click.argument("outside", type=LENGTH)
@json_option
def flare_command(outside: Interval, as_json: bool) -> None:
    """Which 45 degree flare measures OUTSIDE."""
    from knockon.queries.workshop import tubes

    answered(lambda: tubes.flare(outside), as_json)


@click.command("hose")
@click.argument("inside", type=LENGTH)
@json_option
def hose_command(inside: Interval, as_json: bool) -> None:
    """The size class of a brake hose by its nominal INSIDE diameter."""
    from knockon.queries.workshop import tubes

    answered(lambda: tubes.hose(inside.middle), as_json)


VEHICLE: tuple[click.Command, ...] = (
    rim_command,
    bolt_circle_command,
    stud_command,
    wheel_room_command,
    track_command,
    template_command,
    balance_command,
    pedal_command,
    volume_command,
    residual_command,
    pad_radius_command,
    shims_command,
    flare_command,
    hose_command,
)
"""The commands of this module."""
