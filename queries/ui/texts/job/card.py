"""The job card as text: what to do next and the steps that follow, and in full."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.job.card import CardLine, JobCard
from knockon.queries.ui.details import Shown, next_blocks
from knockon.queries.ui.naming import Naming, count, places_in_words
from knockon.queries.ui.sentences import job as say
from knockon.queries.ui.steps_in_words import beside, side_heading
from knockon.queries.ui.terminal.blocks import BAD, QUIET, STRONG, WARN, Block, Heading, Para
from knockon.queries.ui.texts.plan.swap.head import cautions, short_cautions, titled

FIRST = 12
"""Steps on the first page."""


def card_pages(catalogue: Catalogue, card: JobCard, shown: Shown, side: str, commands: Sequence[str]) -> list[Block]:
    """The first page, or the whole card; ``side``: only that one and the vehicle's steps."""
    naming = Naming.on(catalogue, card.vehicle)
    blocks: list[Block] = [Para(titled(card.title, card.vehicle, card.asked)), *card_head(naming, card)]
    lines = [x for x in card.lines if not side or x.side in (side, "")]
    if shown.full:
        for of_side, here in groupby(lines, key=lambda x: x.side):
            blocks.append(Heading(side_heading(naming, of_side)))
            blocks += [block for line in here for block in whole_step(naming, line)]
        return [*blocks, *cautions(card.cautions)]
    waiting = [x for x in lines if x.done is None]
    if waiting:
        blocks.append(Heading(say.STEPS_HEAD))
        blocks += [block for line in waiting[:FIRST] for block in _short(line)]
        if len(waiting) > FIRST:
            blocks.append(Para(say.MORE.format(count=count(len(waiting) - FIRST, say.STEPS)), tone=QUIET))
    return [*blocks, *short_cautions(naming, card.cautions), *next_blocks(commands)]


def card_head(naming: Naming, card: JobCard) -> Iterator[Block]:
    """What to do next, and what is open."""
    if not card.has_plan:
        yield Para(say.NO_PLAN, tone=BAD)
        return
    if card.plan:
        yield Para(say.PLAN_NAMED.format(name=card.plan))
    if not card.lines:
        yield Para(say.NO_STEPS.format(machine=naming.machine), tone=WARN)
    done = sum(x.done is not None for x in card.lines)
    steps = count(len(card.lines), say.STEPS)
    if card.closed is not None:
        yield Para(say.CLOSED.format(by=card.closed.by, second=card.closed.read), tone=STRONG)
    elif card.lines:
        first = next((x for x in card.lines if x.done is None), None)
        ahead = say.ALL_DONE
        if first is not None:
            ahead = say.DO_NEXT.format(number=first.number, name=first.name, text=first.text)
        yield Para(ahead, tone=STRONG)
        if first is not None and first.caution:
            yield Para(say.CAUTION.format(text=first.caution), tone=WARN)
        template = say.PROGRESS if card.open_gates else say.NO_GATES
        yield Para(template.format(done=done, steps=steps, gates=len(card.open_gates)))
    if card.no_step:
        yield Para(say.NO_STEP.format(places=places_in_words(card.no_step)), tone=WARN)


def _short(line: CardLine) -> Iterator[Block]:
    yield Para(line.name if not line.gate else f"{line.name} ({say.GATE})", mark=f"{line.number}.")


def whole_step(naming: Naming, line: CardLine) -> Iterator[Block]:
    """One step with all that belongs to it."""
    head = line.step if not line.gate else f"{line.step} ({say.GATE})"
    if line.done is not None:
        template = say.DONE_READ if line.done.read else say.DONE
        head = f"{head}: {template.format(by=line.done.by, read=line.done.read)}"
    yield Para(f"{head}. {line.text}", mark=f"{line.number}.", tone=STRONG if line.gate else "")
    yield from (Para(text, indent=4) for text in beside(naming, line))
    if line.caution:
        yield Para(say.CAUTION.format(text=line.caution), indent=4, tone=WARN)
