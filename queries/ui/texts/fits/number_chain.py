"""Superseded numbers in words: a claim about numbers, with its conditions, that says nothing of sizes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.queries.fits.number_chains import NumberChain, Step
from knockon.queries.ui.blocks import WARN, Block, Heading, Para
from knockon.queries.ui.naming import Naming, listed

NO_SIZES = "A chain of numbers is a claim: no size is taken over from one number to another."


def superseded(part: str, by: Sequence[str]) -> str:
    """That a part is said to be superseded, and what to do about it."""
    numbers = listed(list(by))
    return f"{part} is said to be superseded by {numbers}. Its sizes are not taken over: compare them with tell-apart."


def chain_blocks(naming: Naming, part: str, chain: NumberChain) -> Iterator[Block]:
    """The whole chain of a number, newer and older, where it ends and what nobody sells."""
    if not chain.newer and not chain.older:
        return
    yield Heading("Superseded numbers")
    for step in (*reversed(chain.older), *chain.newer):
        yield Para(_link(naming, step), mark="-", tone=WARN if step.back else "")
    if chain.newer and not chain.ends:
        yield Para("The chain leads only back to itself: it names no newest number.", indent=2, tone=WARN)
    dead = [n for n in chain.ends if n not in chain.offered]
    if dead:
        yield Para(f"Nobody offers {listed(dead, 'or')}.", indent=2, tone=WARN)
    if chain.newer:
        other = chain.newer[0].by
        advice = f"Compare the sizes: knockon tell-apart {part} {other}. Look for other parts by size with partners."
        yield Para(f"{NO_SIZES} {advice}", indent=2)
    else:
        yield Para(NO_SIZES, indent=2)


def _link(naming: Naming, step: Step) -> str:
    by = f" ({naming.source(step.source, step.standing)})" if step.source else ""
    condition = f", {step.condition!r}" if step.condition else ""
    back = ": this leads back" if step.back else ""
    return f"{step.part} is said to be superseded by {naming.part(step.by)}{condition}{back}{by}."
