"""Calculate commands on bolts and on measuring."""

from __future__ import annotations

import click

from knockon.graph.formulas.interval import Interval, Value
from knockon.graph.formulas.measuring import Component, StackTerm, standard_uncertainty
from knockon.graph.quantity.thread_names import parse_thread
from knockon.queries.ui.commands.workshop.types import (
    FORCE,
    HALF_WIDTH,
    LENGTH,
    RATIO,
    SIGNED,
    SIZE,
    TORQUE,
    answered,
    json_option,
)
from knockon.queries.ui.option_types import Number
from knockon.queries.workshop import fasteners, measuring
from knockon.queries.workshop.answer import Calculation


@click.command("bolt")
@click.argument("thread")
@click.option("--grade", required=True, help="8.8, 10.9 ..., or SAE 5, SAE 8 ...")
@click.option("--torque", type=TORQUE, help='A stated torque, such as "50 N m"; needs --source.')
@click.option("--preload", type=FORCE, help="Instead of a torque: a stated preload; needs --source.")
@click.option("--source", default="", help="Where the torque or preload is printed.")
@click.option("--factor", type=RATIO, help="K of T = K d F; default 0.15 to 0.25.")
@click.option("--thread-friction", type=RATIO, help="K from friction instead; with --head-friction.")
@click.option("--head-friction", type=RATIO, help="Friction under the head.")
@click.option("--length", type=SIZE, help="Clamped length: shows stretch, and turn from snug.")
@click.option("--pull", type=FORCE, help="Pull from outside on the clamped joint.")
@click.option("--share", type=RATIO, default="1", help="Share of that pull that the bolt takes; default all of it.")
@json_option
def bolt_command(
    thread: str,
    grade: str,
    torque: Interval | None,
    preload: Interval | None,
    source: str,
    factor: Interval | None,
    thread_friction: Interval | None,
    head_friction: Interval | None,
    length: Interval | None,
    pull: Interval | None,
    share: Interval,
    as_json: bool,
) -> None:
    """Proof load of a bolt, or what a stated torque or preload does to it. Never proposes a torque."""

    def work() -> Calculation:
        if torque is None and preload is None:
            return fasteners.proof(thread, grade)
        found: Value = factor or fasteners.DRY
        if thread_friction is not None and head_friction is not None:
            found = fasteners.factor_from_friction(thread, thread_friction, head_friction)
        elif thread_friction is not None or head_friction is not None:
            raise ValueError("K from friction needs both --thread-friction and --head-friction")
        joint = fasteners.Joint(length, pull, share)
        if torque is not None:
            return fasteners.check_torque(thread, grade, torque, source, found, joint)
        assert preload is not None
        return fasteners.check_preload(thread, grade, preload, source, found, joint)

    answered(work, as_json)


@click.command("next-slot")
@click.argument("thread")
@click.option("--slots", type=int, required=True, help="Slots of the castellated nut.")
@click.option("--holes", type=int, default=1, show_default=True, help="Pin holes through the bolt, 1 or 2 across.")
@json_option
def next_slot_command(thread: str, slots: int, holes: int, as_json: bool) -> None:
    """How far a castellated nut goes on to the next slot."""
    answered(lambda: fasteners.next_slot(slots, parse_thread(thread).pitch, holes), as_json)


@click.command("uncertainty")
@click.option(
    "--part", "parts", type=(str, HALF_WIDTH), multiple=True, required=True, help='Name and "±0.02 mm" (rectangle).'
)
@click.option(
    "--coverage",
    type=Number(min=0, min_open=True, max=10),
    default=2.0,
    show_default=True,
    help="Coverage factor k.",
)
@json_option
def uncertainty_command(parts: tuple[tuple[str, Interval], ...], coverage: float, as_json: bool) -> None:
    """Combined uncertainty of independent parts (GUM), each known within plus or minus a length."""
    found = [Component(name, standard_uncertainty(v.high)) for name, v in parts]
    answered(lambda: measuring.uncertainty(found, "mm", coverage), as_json)


@click.command("stack")
@click.option("--plus", type=(str, LENGTH), multiple=True, help='Name and size, such as spacer "12.62 ±0.01 mm".')
@click.option("--minus", type=(str, LENGTH), multiple=True, help="The same, subtracted.")
@json_option
def stack_command(
    plus: tuple[tuple[str, Interval], ...], minus: tuple[tuple[str, Interval], ...], as_json: bool
) -> None:
    """A stack of dimensions: worst case and root of the sum of squares."""
    signed = [*((n, v) for n, v in plus), *((n, -v) for n, v in minus)]
    terms = [StackTerm(n, v.middle, v.width / 2, -v.width / 2) for n, v in signed]
    answered(lambda: measuring.stack(terms), as_json)


@click.command("decide", context_settings=SIGNED)
@click.argument("one", type=LENGTH)
@click.argument("other", type=LENGTH)
@click.option("--instrument", type=HALF_WIDTH, help="Your instrument is good to plus or minus this.")
@json_option
def decide_command(one: Interval, other: Interval, instrument: Interval | None, as_json: bool) -> None:
    """How well must I measure to tell ONE from OTHER?"""
    answered(lambda: measuring.decide(one, other, instrument.high if instrument else 0.0), as_json)


@click.command("within", context_settings=SIGNED)
@click.argument("size", type=LENGTH)
@click.argument("window", type=LENGTH)
@json_option
def within_command(size: Interval, window: Interval, as_json: bool) -> None:
    """How well must I measure to say that SIZE lies within WINDOW: `"26.05 mm" "26.0..26.2 mm"`?"""
    answered(lambda: measuring.within(size, window), as_json)


BENCH: tuple[click.Command, ...] = (
    bolt_command,
    next_slot_command,
    uncertainty_command,
    stack_command,
    decide_command,
    within_command,
)
"""The commands of this module."""
