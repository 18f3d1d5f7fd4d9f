"""What to sweep where a plan changes a figure such as the track, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.queries.plan.sweep import Sweep
from knockon.queries.ui import units
from knockon.queries.ui.naming import listed, sentence
from knockon.queries.ui.sentences.plan import order as say
from knockon.queries.ui.terminal.blocks import Block, Heading, Para


def sweep_blocks(sweep: Sequence[Sweep]) -> Iterator[Block]:
    """Each figure with how much of it there is, then what to look at."""
    if sweep:
        yield Heading(say.SWEEP_HEAD)
    for one in sweep:
        yield Para(_figure(one))
        yield from (Para(text, mark="-") for text in one.steps)


def _figure(one: Sweep) -> str:
    sides = f", {listed(list(one.sides))}" if one.sides else ""
    whole = _amount(one, 1.0)
    if not whole:
        return sentence(say.SWEEP_UNKNOWN.format(figure=one.figure, sides=sides))
    share = say.SWEEP_SHARE.format(amount=_amount(one, one.share)) if one.share < 1 else ""
    return sentence(say.SWEEP.format(figure=one.figure, amount=whole, share=share, sides=sides))


def _amount(one: Sweep, share: float) -> str:
    if one.low is None or one.high is None:
        return ""
    return units.amount(one.low * share, one.high * share, one.unit)
