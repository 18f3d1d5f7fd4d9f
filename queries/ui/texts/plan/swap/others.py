"""The other plans, none of which is better in all."""

from __future__ import annotations

from collections.abc import Sequence

from knockon.graph.model.layouts.layout import Place
from knockon.queries.plan.swap import Alternative, Plan
from knockon.queries.ui.naming import places_in_words, sentence
from knockon.queries.ui.sentences.plan import why as say
from knockon.queries.ui.terminal.blocks import Block, Heading, Para
from knockon.queries.ui.texts.plan.levels import cost_words


def other_plans(plan: Plan, alternatives: Sequence[Alternative]) -> list[Block]:
    """Each with what it costs more or less, and where it differs."""
    if not alternatives:
        return []
    blocks: list[Block] = [Heading(say.OTHER_PLANS)]
    for i, other in enumerate(alternatives, 2):
        pairs: dict[tuple[str, str], list[Place]] = {}
        for place, first, second in other.differs:
            pairs.setdefault((first, second), []).append(place)
        said = "; ".join(exchanged(places_in_words(places), *pair) for pair, places in pairs.items())
        costs = sentence(cost_words(other.costs, plan.costs)).removesuffix(".")
        blocks.append(Para(say.OTHER_PLAN.format(costs=costs, changes=sentence(said).removesuffix(".")), mark=f"{i}."))
    return blocks


def exchanged(places: str, old: str, new: str) -> str:
    """One part for another, a part where nothing was, or nothing where a part was."""
    if old and new:
        return say.INSTEAD.format(places=places, new=new, old=old)
    return say.ADDED.format(places=places, new=new) if new else say.LEFT_OUT.format(places=places, old=old)
