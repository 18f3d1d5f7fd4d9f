"""The answer of ``knockon list`` as text: how many, then one line a thing."""

from __future__ import annotations

from collections.abc import Sequence

from knockon.queries.find.listing import ListAnswer
from knockon.queries.ui.blocks import STRONG, WARN, Block, Grid, Para
from knockon.queries.ui.sentences import find as say


def list_text(answer: ListAnswer) -> Sequence[Block]:
    """The whole answer."""
    sort, found = answer.sort.replace("-", " "), len(answer.listed)
    filters = f": {', '.join(answer.filters)}" if answer.filters else ""
    if not found:
        return [Para(say.NONE_LISTED.format(known=answer.of, things=sort, filters=filters), tone=WARN)]
    number = f"{found} of {answer.of}" if answer.filters else str(found)
    things = sort.removesuffix("s") if number == "1" else sort
    head = Para(say.LISTED.format(number=number, things=things, filters=filters), tone=STRONG)
    rows = tuple((x.name, x.title, "; ".join(x.about), x.source) for x in answer.listed)
    used = [i for i in range(4) if any(row[i] for row in rows)]
    return [head, Grid(tuple(tuple(row[i] for i in used) for row in rows))]
