"""The answer of ``knockon list`` as text: how many, then one line a thing."""

from __future__ import annotations

from collections.abc import Sequence

from knockon.queries.find.listing import ListAnswer
from knockon.queries.ui.details import next_blocks
from knockon.queries.ui.sentences import find as say
from knockon.queries.ui.terminal.blocks import QUIET, STRONG, WARN, Block, Grid, Para

MOST, NEARLY_ALL = 25, 45
"""So many things are shown unless all are asked for, and up to so many are shown in any case."""


def list_text(answer: ListAnswer, whole: bool, ask: str) -> Sequence[Block]:
    """The answer; ``whole``: all of it. ``ask``: the command so far."""
    sort, found = answer.sort.replace("-", " "), len(answer.listed)
    filters = f": {', '.join(answer.filters)}" if answer.filters else ""
    if not found:
        none = Para(say.NONE_LISTED.format(known=answer.of, things=sort, filters=filters), tone=WARN)
        return [none, *([Para(say.DID_YOU_MEAN.format(names=", ".join(answer.nearest)))] if answer.nearest else [])]
    number = f"{found} of {answer.of}" if answer.filters else str(found)
    things = sort.removesuffix("s") if number == "1" else sort
    head = Para(say.LISTED.format(number=number, things=things, filters=filters), tone=STRONG)
    shown = answer.listed if whole or found <= NEARLY_ALL else answer.listed[:MOST]
    rows = tuple((x.name, x.title, "; ".join(x.about), x.source) for x in shown)
    used = [i for i in range(4) if any(row[i] for row in rows)]
    blocks: list[Block] = [head, Grid(tuple(tuple(row[i] for i in used) for row in rows))]
    if len(shown) == found:
        return blocks
    return [*blocks, Para(say.MORE_LISTED.format(number=found - MOST), tone=QUIET), *next_blocks([f"{ask} --full"])]
