"""The record as text: what changed and what rests on what, in short, in full, and for an inspector or insurer."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.job.record import NO_PLAN, NOT_CLOSED, RecordAnswer
from knockon.queries.ui.details import Shown, next_blocks
from knockon.queries.ui.naming import Naming, count, listed
from knockon.queries.ui.record_in_words import (
    changed_in_short,
    changed_lines,
    day_of,
    facts,
    inspector_sections,
    named,
    short_sections,
    whole_sections,
)
from knockon.queries.ui.sentences import job as say
from knockon.queries.ui.terminal.blocks import BAD, STRONG, WARN, Block, Heading, Para, bullets
from knockon.queries.ui.texts.plan.swap.head import cautions, short_cautions

MOST_CHANGES = 14
"""So many lines of what changed stand on the first page."""


def record_pages(
    catalogue: Catalogue, answer: RecordAnswer, shown: Shown, inspector: bool, commands: Sequence[str]
) -> list[Block]:
    """The first page, the whole record, or the sheet for an inspector."""
    naming = Naming.on(catalogue, answer.vehicle)
    if answer.open:
        return [*_open(answer), *next_blocks(commands)]
    if inspector:
        return [*_inspector(naming, answer), *cautions(answer.cautions), *next_blocks(commands)]
    blocks = [*_head(naming, answer), Heading(say.AS_FOUND_AS_BUILT)]
    lines = changed_lines(naming, answer) if shown.full else changed_in_short(naming, answer)
    most = len(lines) if shown.full else MOST_CHANGES
    blocks += bullets(lines[:most])
    if len(lines) > most:
        blocks.append(Para(say.MORE_LINES.format(count=count(len(lines) - most, say.LINES))))
    blocks.append(Para(say.STAY.format(count=count(answer.stay, say.PLACES)))) if answer.stay else None
    if shown.full:
        for heading, lines in whole_sections(answer):
            blocks += [Heading(heading), *bullets(lines)]
        return [*blocks, *cautions(answer.cautions)]
    for heading, lines in short_sections(answer):
        blocks += [Heading(heading), *bullets(lines)]
    return [*blocks, *short_cautions(naming, answer.cautions), *next_blocks(commands)]


def _open(answer: RecordAnswer) -> Iterator[Block]:
    if NO_PLAN in answer.open:
        yield Para(say.RECORD_NO_PLAN.format(plan=answer.plan), tone=BAD)
        return
    yield Para(say.RECORD_OPEN.format(plan=answer.plan), tone=STRONG)
    still = [name for name in answer.open if name != NOT_CLOSED]
    if still:
        yield Para(say.RECORD_STILL.format(names=listed(still)))


def _head(naming: Naming, answer: RecordAnswer) -> Iterator[Block]:
    yield Para(say.RECORD_OF.format(plan=answer.plan, vehicle=named(answer)))
    if answer.built is None:
        yield Para(say.RECORD_NEXT.format(machine=naming.machine), tone=STRONG)
    else:
        built = say.RECORD_BUILT.format(machine=naming.machine, by=answer.built.by, at=day_of(answer.built.at))
        yield Para(built, tone=STRONG)
    yield from map(Para, facts(answer))


def _inspector(naming: Naming, answer: RecordAnswer) -> Iterator[Block]:
    yield Para(say.INSPECTOR_TITLE.format(vehicle=named(answer)), tone=STRONG)
    yield from (Para(line, tone=WARN) for line in say.INSPECTOR_IS.splitlines())
    yield from map(Para, facts(answer))
    yield Heading(say.AS_FOUND_AS_BUILT)
    yield from bullets(changed_lines(naming, answer))
    for heading, lines in inspector_sections(answer):
        yield Heading(heading)
        yield from bullets(lines)
