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
    SIZE,
    TORQUE,
    answered,
    json_option,
)
from knockon.queries.ui.option_types import Number, Signed
from knockon.queries.ui.sentences import workshop as says
from knockon.queries.ui.sentences.help import workshop as say
from knockon.queries.workshop import fasteners, measuring
from knockon.queries.workshop.answer import Calculation


@click.command("bolt", help=say.BOLT)
@click.argument("thread")
@click.option("--grade", required=True, help=say.BOLT_GRADE)
@click.option("--torque", type=TORQUE, help=say.BOLT_TORQUE)
@click.option("--preload", type=FORCE, help=say.BOLT_PRELOAD)
@click.option("--source", default="", help=say.BOLT_SOURCE)
@click.option("--factor", type=RATIO, help=say.BOLT_FACTOR)
@click.option("--thread-friction", type=RATIO, help=say.BOLT_THREAD_FRICTION)
@click.option("--head-friction", type=RATIO, help=say.BOLT_HEAD_FRICTION)
@click.option("--length", type=SIZE, help=say.BOLT_LENGTH)
@click.option("--pull", type=FORCE, help=say.BOLT_PULL)
@click.option("--share", type=RATIO, default="1", help=say.BOLT_SHARE)
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
    """Proof load of a bolt."""

    def work() -> Calculation:
        if torque is None and preload is None:
            return fasteners.proof(thread, grade)
        found: Value = factor or fasteners.DRY
        if thread_friction is not None and head_friction is not None:
            found = fasteners.factor_from_friction(thread, thread_friction, head_friction)
        elif thread_friction is not None or head_friction is not None:
            raise ValueError(says.BOTH_FRICTIONS)
        joint = fasteners.Joint(length, pull, share)
        if torque is not None:
            return fasteners.check_torque(thread, grade, torque, source, found, joint)
        assert preload is not None
        return fasteners.check_preload(thread, grade, preload, source, found, joint)

    answered(work, as_json)


@click.command("next-slot", help=say.NEXT_SLOT)
@click.argument("thread")
@click.option("--slots", type=int, required=True, help=say.NEXT_SLOT_SLOTS)
@click.option("--holes", type=int, default=1, show_default=True, help=say.NEXT_SLOT_HOLES)
@json_option
def next_slot_command(thread: str, slots: int, holes: int, as_json: bool) -> None:
    """How far a castellated nut goes on to the next slot."""
    answered(lambda: fasteners.next_slot(slots, parse_thread(thread).pitch, holes), as_json)


@click.command("uncertainty", help=say.UNCERTAINTY)
@click.option("--part", "parts", type=(str, HALF_WIDTH), multiple=True, required=True, help=say.UNCERTAINTY_PART)
@click.option(
    "--coverage",
    type=Number(min=0, min_open=True, max=10),
    default=2.0,
    show_default=True,
    help=say.UNCERTAINTY_COVERAGE,
)
@json_option
def uncertainty_command(parts: tuple[tuple[str, Interval], ...], coverage: float, as_json: bool) -> None:
    """Combined uncertainty of independent parts (GUM)."""
    found = [Component(name, standard_uncertainty(v.high)) for name, v in parts]
    answered(lambda: measuring.uncertainty(found, "mm", coverage), as_json)


@click.command("stack", help=say.STACK)
@click.option("--plus", type=(str, LENGTH), multiple=True, help=say.STACK_PLUS)
@click.option("--minus", type=(str, LENGTH), multiple=True, help=say.STACK_MINUS)
@json_option
def stack_command(
    plus: tuple[tuple[str, Interval], ...], minus: tuple[tuple[str, Interval], ...], as_json: bool
) -> None:
    """A stack of dimensions."""
    signed = [*((n, v) for n, v in plus), *((n, -v) for n, v in minus)]
    terms = [StackTerm(n, v.middle, v.width / 2, -v.width / 2) for n, v in signed]
    answered(lambda: measuring.stack(terms), as_json)


@click.command("decide", cls=Signed, help=say.DECIDE)
@click.argument("one", type=LENGTH)
@click.argument("other", type=LENGTH)
@click.option("--instrument", type=HALF_WIDTH, help=say.DECIDE_INSTRUMENT)
@json_option
def decide_command(one: Interval, other: Interval, instrument: Interval | None, as_json: bool) -> None:
    """How well must I measure to tell ONE from OTHER?."""
    answered(lambda: measuring.decide(one, other, instrument.high if instrument else 0.0), as_json)


@click.command("within", cls=Signed, help=say.WITHIN)
@click.argument("size", type=LENGTH)
@click.argument("window", type=LENGTH)
@json_option
def within_command(size: Interval, window: Interval, as_json: bool) -> None:
    """How well must I measure to say that SIZE lies within WINDOW."""
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
