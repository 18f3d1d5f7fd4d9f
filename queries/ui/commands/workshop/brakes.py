"""Calculate commands on brakes and hydraulics."""

from __future__ import annotations

import click

from knockon.graph.formulas.hydraulics import Demand
from knockon.graph.formulas.interval import Interval
from knockon.queries.ui.commands.workshop.types import (
    ANGLE,
    FORCE,
    PRESSURE,
    RATIO,
    ROOM,
    SIGNED,
    SIZE,
    TORQUE,
    answered,
    json_option,
)
from knockon.queries.workshop import hydraulics, pads
from knockon.queries.workshop.answer import Calculation
from knockon.queries.workshop.hydraulics import Axles


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
        balance_command = click.option(_name, type=ROOM, default="0 mm", help=_help)(balance_command)


@click.command("pedal")
@click.option("--force", type=FORCE, help="At the pedal.")
@click.option("--pressure", type=PRESSURE, help="Instead of --force: the line pressure wanted.")
@click.option("--ratio", type=RATIO, required=True, help="Of the pedal's lever.")
@click.option("--master", type=SIZE, required=True, help="Bore of the master cylinder.")
@click.option("--piston", "pistons", type=(str, SIZE), multiple=True, help="Name and bore of a piston.")
@json_option
def pedal_command(
    force: Interval | None,
    pressure: Interval | None,
    ratio: Interval,
    master: Interval,
    pistons: tuple[tuple[str, Interval], ...],
    as_json: bool,
) -> None:
    """Line pressure and piston forces from the force on the pedal, or the force from the pressure."""

    def work() -> Calculation:
        if (force is None) == (pressure is None):
            raise ValueError("give one of --force and --pressure")
        if len(dict(pistons)) < len(pistons):
            raise ValueError("name each piston once, such as front and rear")
        if force is not None:
            return hydraulics.pedal(force, ratio, master, dict(pistons))
        assert pressure is not None
        return hydraulics.pedal_for(pressure, ratio, master, dict(pistons))

    answered(work, as_json)


@click.command("volume")
@click.option("--master", type=SIZE, required=True, help="Bore of the master cylinder.")
@click.option("--stroke", type=SIZE, required=True, help="Stroke of the master cylinder.")
@click.option("--ratio", type=RATIO, required=True, help="Of the pedal's lever.")
@click.option(
    "--pistons",
    type=(str, click.IntRange(1, 99), SIZE, ROOM),
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
    demands = [(name, Demand(bore, travel, count)) for name, count, bore, travel in pistons]
    answered(lambda: hydraulics.volume(master, stroke, ratio, demands), as_json)


@click.command("residual", context_settings=SIGNED)
@click.argument("pressure", type=PRESSURE)
@click.option("--discs/--drums", default=None, help="What the circuit works.")
@json_option
def residual_command(pressure: Interval, discs: bool | None, as_json: bool) -> None:
    """Whether a residual valve of this PRESSURE suits discs or drums."""

    def work() -> Calculation:
        if discs is None:
            raise ValueError("say what the circuit works: --discs or --drums")
        return hydraulics.residual(pressure, discs)

    answered(work, as_json)


@click.command("pad-radius", context_settings=SIGNED)
@click.argument("inner", type=ROOM)
@click.argument("outer", type=SIZE)
@json_option
def pad_radius_command(inner: Interval, outer: Interval, as_json: bool) -> None:
    """Effective radius of a pad from its INNER and OUTER radius."""
    answered(lambda: hydraulics.radius(inner, outer), as_json)


@click.command("pad")
@click.option("--torque", type=TORQUE, required=True, help="Of the whole brake, both pads.")
@click.option("--friction", type=RATIO, required=True, help="Of pad on rotor: your assumption.")
@click.option("--inner", type=SIZE, required=True, help="Inner radius of the pad.")
@click.option("--outer", type=SIZE, required=True, help="Outer radius of the pad.")
@click.option("--angle", type=ANGLE, help="Angle that the pad covers; or give --pressure.")
@click.option("--pressure", type=PRESSURE, help="Mean pressure on the pad: shows the angle that it needs.")
@json_option
def pad_command(
    torque: Interval,
    friction: Interval,
    inner: Interval,
    outer: Interval,
    angle: Interval | None,
    pressure: Interval | None,
    as_json: bool,
) -> None:
    """Force and pressure of a pad that makes a torque, or the angle of pad that a mean pressure needs."""

    def work() -> Calculation:
        if (angle is None) == (pressure is None):
            raise ValueError("give one of --angle and --pressure")
        if angle is not None:
            return pads.load(torque, friction, inner, outer, angle)
        assert pressure is not None
        return pads.angle_for(torque, friction, inner, outer, pressure)

    answered(work, as_json)


@click.command("disc")
@click.option("--pressure", type=PRESSURE, required=True, help="Line pressure.")
@click.option("--piston", type=SIZE, required=True, help="Diameter of the piston on one side.")
@click.option("--radius", type=SIZE, required=True, help="Effective radius.")
@click.option("--friction", type=RATIO, required=True, help="Of pad on rotor: your assumption.")
@json_option
def disc_command(pressure: Interval, piston: Interval, radius: Interval, friction: Interval, as_json: bool) -> None:
    """Clamp force and torque of a disc brake at a line pressure."""
    answered(lambda: pads.disc(pressure, piston, radius, friction), as_json)


@click.command("drum")
@click.option("--pressure", type=PRESSURE, required=True, help="Line pressure.")
@click.option("--cylinder", type=SIZE, required=True, help="Bore of the wheel cylinder.")
@click.option("--diameter", type=SIZE, required=True, help="Of the drum.")
@click.option("--factor", type=RATIO, required=True, help="C* of the shoes: your assumption, such as 2.1 or 3.0.")
@json_option
def drum_command(pressure: Interval, cylinder: Interval, diameter: Interval, factor: Interval, as_json: bool) -> None:
    """Force on a shoe and torque of a drum brake at a line pressure."""
    answered(lambda: pads.drum(pressure, cylinder, diameter, factor), as_json)


@click.command("axle-loads")
@click.option("--wheelbase", type=SIZE, required=True, help="Of the vehicle.")
@click.option("--ahead", type=SIZE, required=True, help="Centre of gravity ahead of the rear axle.")
@click.option("--height", type=SIZE, required=True, help="Height of the centre of gravity.")
@click.option("--grip", type=RATIO, required=True, help="Of tyre on road: your assumption.")
@json_option
def axle_loads_command(wheelbase: Interval, ahead: Interval, height: Interval, grip: Interval, as_json: bool) -> None:
    """Front and rear axle load under braking, the share of braking that goes with it, and deceleration."""
    answered(lambda: pads.axle_loads(wheelbase, ahead, height, grip), as_json)


BRAKES: tuple[click.Command, ...] = (
    balance_command,
    pedal_command,
    volume_command,
    residual_command,
    pad_radius_command,
    pad_command,
    disc_command,
    drum_command,
    axle_loads_command,
)
"""The commands of this module."""
