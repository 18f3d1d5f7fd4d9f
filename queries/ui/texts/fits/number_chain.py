"""Superseded numbers in words: a claim about numbers, with its conditions, that says nothing of sizes."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.queries.fits.number_chains import ChainOf, NumberChain, Step
from knockon.queries.ui.naming import Naming, listed
from knockon.queries.ui.sentences import parts as say
from knockon.queries.ui.terminal.blocks import WARN, Block, Heading, Para


def superseded(part: str, by: Sequence[str]) -> str:
    """That a part is said to be superseded, and what to do about it."""
    return say.SUPERSEDED.format(part=part, numbers=listed(list(by)))


def now_blocks(found: Sequence[ChainOf]) -> Iterator[Block]:
    """In short, of each number that is said to be superseded: by which, on what condition, and where that ends."""
    for one in found:
        chain = one.chain
        numbers = listed(list(dict.fromkeys(_with_condition(step) for step in one.direct)))
        plain = {s.by for s in one.direct if not s.condition}
        said = (say.SPLIT if len(plain) > 1 else say.NOW).format(part=one.part, numbers=numbers)
        beyond = [end for end in chain.ends if end not in {s.by for s in one.direct}]
        said += say.CHAIN_ENDS.format(ends=listed(beyond)) if beyond else ""
        said += f" {say.LEADS_BACK}" if not chain.ends else ""
        dead = [n for n in chain.ends if n not in chain.offered]
        said += f" {say.NOT_OFFERED.format(numbers=listed(dead, 'or'))}" if dead else ""
        said += say.SIZES_FIRST.format(part=one.part, other=(beyond or [one.direct[0].by])[0])
        yield Para(said, mark="-", tone=WARN)


def _with_condition(step: Step) -> str:
    condition = say.OR_WITH_CONDITION.format(condition=step.condition) if step.condition else ""
    return say.NOW_ONE.format(number=step.by, condition=condition)


def chain_blocks(naming: Naming, part: str, chain: NumberChain) -> Iterator[Block]:
    """The whole chain of a number, newer and older, where it ends and what nobody sells."""
    if not chain.newer and not chain.older:
        return
    yield Heading(say.CHAIN)
    for step in (*reversed(chain.older), *chain.newer):
        yield Para(_link(naming, step), mark="-", tone=WARN if step.back else "")
    if chain.newer and not chain.ends:
        yield Para(say.LEADS_BACK, indent=2, tone=WARN)
    dead = [n for n in chain.ends if n not in chain.offered]
    if dead:
        yield Para(say.NOT_OFFERED.format(numbers=listed(dead, "or")), indent=2, tone=WARN)
    yield Para(say.NO_SIZES, indent=2)
    if chain.newer:
        yield Para(say.COMPARE.format(part=part, other=chain.newer[0].by), indent=2)
        yield Para(say.BY_SIZE.format(part=part), indent=2)


def _link(naming: Naming, step: Step) -> str:
    source = naming.source(step.source, step.standing) if step.source else ""
    return say.LINK.format(
        part=step.part,
        by=naming.part(step.by),
        condition=say.LINK_CONDITION.format(condition=repr(step.condition)) if step.condition else "",
        back=say.LINK_BACK if step.back else "",
        source=say.LINK_SOURCE.format(source=source) if source else "",
    )
