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
    SIZE,
    TORQUE,
    answered,
    json_option,
)
from knockon.queries.ui.option_types import Signed
from knockon.queries.ui.sentences import workshop as says
from knockon.queries.ui.sentences.help import workshop as say
from knockon.queries.workshop import hydraulics, pads
from knockon.queries.workshop.answer import Calculation
from knockon.queries.workshop.hydraulics import Axles


def _axle_options(which: str) -> list[tuple[str, str]]:
    return [(f"--{which}-{size}", says) for size, says in say.BALANCE_SIZES.items()]


@click.command("balance", help=say.BALANCE)
@json_option
def balance_command(as_json: bool, **sizes: Interval) -> None:
    """Front share of the planned brakes against those of the vehicle as made."""

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


@click.command("pedal", help=say.PEDAL)
@click.option("--force", type=FORCE, help=say.PEDAL_FORCE)
@click.option("--pressure", type=PRESSURE, help=say.PEDAL_PRESSURE)
@click.option("--ratio", type=RATIO, required=True, help=say.PEDAL_RATIO)
@click.option("--master", type=SIZE, required=True, help=say.PEDAL_MASTER)
@click.option("--piston", "pistons", type=(str, SIZE), multiple=True, help=say.PEDAL_PISTON)
@json_option
def pedal_command(
    force: Interval | None,
    pressure: Interval | None,
    ratio: Interval,
    master: Interval,
    pistons: tuple[tuple[str, Interval], ...],
    as_json: bool,
) -> None:
    """Line pressure and piston forces from the force on the pedal."""

    def work() -> Calculation:
        if (force is None) == (pressure is None):
            raise ValueError(says.FORCE_OR_PRESSURE)
        if len(dict(pistons)) < len(pistons):
            raise ValueError(says.EACH_PISTON)
        if force is not None:
            return hydraulics.pedal(force, ratio, master, dict(pistons))
        assert pressure is not None
        return hydraulics.pedal_for(pressure, ratio, master, dict(pistons))

    answered(work, as_json)


@click.command("volume", help=say.VOLUME)
@click.option("--master", type=SIZE, required=True, help=say.VOLUME_MASTER)
@click.option("--stroke", type=SIZE, required=True, help=say.VOLUME_STROKE)
@click.option("--ratio", type=RATIO, required=True, help=say.VOLUME_RATIO)
@click.option(
    "--pistons",
    type=(str, click.IntRange(1, 99), SIZE, ROOM),
    multiple=True,
    required=True,
    help=say.VOLUME_PISTONS,
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


@click.command("residual", cls=Signed, help=say.RESIDUAL)
@click.argument("pressure", type=PRESSURE)
@click.option("--discs/--drums", default=None, help=say.RESIDUAL_DISCS)
@json_option
def residual_command(pressure: Interval, discs: bool | None, as_json: bool) -> None:
    """Whether a residual valve of this PRESSURE suits discs or drums."""

    def work() -> Calculation:
        if discs is None:
            raise ValueError(says.DISCS_OR_DRUMS)
        return hydraulics.residual(pressure, discs)

    answered(work, as_json)


@click.command("pad-radius", cls=Signed, help=say.PAD_RADIUS)
@click.argument("inner", type=ROOM)
@click.argument("outer", type=SIZE)
@json_option
def pad_radius_command(inner: Interval, outer: Interval, as_json: bool) -> None:
    """Effective radius of a pad from its INNER and OUTER radius."""
    answered(lambda: hydraulics.radius(inner, outer), as_json)


@click.command("pad", help=say.PAD)
@click.option("--torque", type=TORQUE, required=True, help=say.PAD_TORQUE)
@click.option("--friction", type=RATIO, required=True, help=say.PAD_FRICTION)
@click.option("--inner", type=SIZE, required=True, help=say.PAD_INNER)
@click.option("--outer", type=SIZE, required=True, help=say.PAD_OUTER)
@click.option("--angle", type=ANGLE, help=say.PAD_ANGLE)
@click.option("--pressure", type=PRESSURE, help=say.PAD_PRESSURE)
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
    """Force and pressure of a pad that makes a torque."""

    def work() -> Calculation:
        if (angle is None) == (pressure is None):
            raise ValueError(says.ANGLE_OR_PRESSURE)
        if angle is not None:
            return pads.load(torque, friction, inner, outer, angle)
        assert pressure is not None
        return pads.angle_for(torque, friction, inner, outer, pressure)

    answered(work, as_json)


@click.command("disc", help=say.DISC)
@click.option("--pressure", type=PRESSURE, required=True, help=say.DISC_PRESSURE)
@click.option("--piston", type=SIZE, required=True, help=say.DISC_PISTON)
@click.option("--radius", type=SIZE, required=True, help=say.DISC_RADIUS)
@click.option("--friction", type=RATIO, required=True, help=say.DISC_FRICTION)
@json_option
def disc_command(pressure: Interval, piston: Interval, radius: Interval, friction: Interval, as_json: bool) -> None:
    """Clamp force and torque of a disc brake at a line pressure."""
    answered(lambda: pads.disc(pressure, piston, radius, friction), as_json)


@click.command("drum", help=say.DRUM)
@click.option("--pressure", type=PRESSURE, required=True, help=say.DRUM_PRESSURE)
@click.option("--cylinder", type=SIZE, required=True, help=say.DRUM_CYLINDER)
@click.option("--diameter", type=SIZE, required=True, help=say.DRUM_DIAMETER)
@click.option("--factor", type=RATIO, required=True, help=say.DRUM_FACTOR)
@json_option
def drum_command(pressure: Interval, cylinder: Interval, diameter: Interval, factor: Interval, as_json: bool) -> None:
    """Force on a shoe and torque of a drum brake at a line pressure."""
    answered(lambda: pads.drum(pressure, cylinder, diameter, factor), as_json)


@click.command("axle-loads", help=say.AXLE_LOADS)
@click.option("--wheelbase", type=SIZE, required=True, help=say.AXLE_LOADS_WHEELBASE)
@click.option("--ahead", type=SIZE, required=True, help=say.AXLE_LOADS_AHEAD)
@click.option("--height", type=SIZE, required=True, help=say.AXLE_LOADS_HEIGHT)
@click.option("--grip", type=RATIO, required=True, help=say.AXLE_LOADS_GRIP)
@json_option
def axle_loads_command(wheelbase: Interval, ahead: Interval, height: Interval, grip: Interval, as_json: bool) -> None:
    """Front and rear axle load under braking."""
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
