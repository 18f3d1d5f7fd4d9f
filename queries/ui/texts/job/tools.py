"""The tools of a card as text, stage by stage."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.job.tools import ToolNeeded, ToolsAnswer
from knockon.queries.ui.details import next_blocks
from knockon.queries.ui.naming import Naming, listed
from knockon.queries.ui.sentences import job as say
from knockon.queries.ui.terminal.blocks import BAD, STRONG, Block, Heading, Para, bullets
from knockon.queries.ui.texts.plan.swap.head import short_cautions


def tools_page(catalogue: Catalogue, answer: ToolsAnswer, commands: Sequence[str]) -> list[Block]:
    """All tools with their sizes."""
    naming = Naming.on(catalogue, answer.vehicle)
    if not answer.has_plan:
        return [Para(say.NO_PLAN, tone=BAD)]
    head = say.TOOLS_OF.format(vehicle=answer.title or answer.vehicle) if answer.tools else say.TOOLS_NONE
    blocks: list[Block] = [Para(head, tone=STRONG)]
    for stage, tools in groupby(answer.tools, key=lambda t: t.stage):
        blocks += [Heading(say.STAGES[stage]), *bullets([_line(t) for t in tools])]
    return [*blocks, *short_cautions(naming, answer.cautions), *next_blocks(commands)]


def _line(tool: ToolNeeded) -> str:
    sizes = [
        (say.TOOL_FOR if s.size else say.TOOL_MEASURE).format_map({"size": s.size, "part": s.part, "what": s.what})
        for s in tool.sizes
    ]
    return say.TOOL_LINE.format(tool=tool.tool, sizes=listed(sizes)) if sizes else tool.tool
