"""Which tools a card needs, stage by stage, each once, with the sizes that it takes on the parts of the plan."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from knockon.graph.model.catalogue import UnknownNameError
from knockon.graph.model.nearest import nearest
from knockon.graph.model.work import ADJUST, CHECK, FIT, GATE, INSPECT, MAKE_SAFE, REMOVE
from knockon.queries.answers import SHORT_CAUTIONS, Answer
from knockon.queries.as_typed import fold
from knockon.queries.job.card import CardLine, JobCard, ToolSize

BENCH = "bench"
STAGES = {
    MAKE_SAFE: MAKE_SAFE,
    REMOVE: REMOVE,
    INSPECT: BENCH,
    FIT: FIT,
    ADJUST: ADJUST,
    CHECK: ADJUST,
    GATE: ADJUST,
}
"""The stage to which each kind of step belongs."""


class ToolNeeded(msgspec.Struct, frozen=True):
    """A tool at one stage (make safe, remove, bench, fit, adjust). ``sizes``: those that it takes, on which part; one
    without a size is not recorded. ``steps``: those that need it."""

    stage: str
    tool: str
    sizes: tuple[ToolSize, ...]
    steps: tuple[str, ...]


class ToolsAnswer(Answer, frozen=True):
    """The tools that the card of a plan needs; ``have``: those that were left out, since somebody has them."""

    vehicle: str
    title: str
    has_plan: bool
    tools: tuple[ToolNeeded, ...]
    have: tuple[str, ...] = ()
    cautions: tuple[str, ...] = SHORT_CAUTIONS


def tools_for(card: JobCard, have: Sequence[str] = ()) -> ToolsAnswer:
    """The tools of a card but for those that somebody has. Raises UnknownNameError for a tool that no step needs."""
    return ToolsAnswer(
        card.vehicle, card.title, card.has_plan, tools_of(card.lines, have), tuple(have), cautions=card.cautions
    )


def tools_of(lines: Sequence[CardLine], have: Sequence[str] = ()) -> tuple[ToolNeeded, ...]:
    """The tools of a card but for those that somebody has. Raises UnknownNameError for a tool that no step needs."""
    known = {fold(line.tool): line.tool for line in lines if line.tool}
    for name in have:
        if fold(name) not in known:
            raise UnknownNameError("tool on this card", name, nearest(name, known.values()))
    left_out = {fold(name) for name in have}
    found: dict[tuple[str, str], list[CardLine]] = {}
    for line in (x for x in lines if x.tool and fold(x.tool) not in left_out):
        found.setdefault((STAGES[line.kind], line.tool), []).append(line)
    stages = list(dict.fromkeys(STAGES.values()))
    return tuple(
        ToolNeeded(
            stage,
            tool,
            tuple(dict.fromkeys(size for line in of_it for size in line.tool_sizes)),
            tuple(dict.fromkeys(line.step for line in of_it)),
        )
        for (stage, tool), of_it in sorted(found.items(), key=lambda pair: stages.index(pair[0][0]))
    )
