"""What was not decided in the time, as blocks: it is unknown, and nothing else is said of it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from knockon.graph.model.layouts.layout import Place
from knockon.queries.plan.openings.openings import Opening
from knockon.queries.plan.reasons.reasons import Reason
from knockon.queries.plan.solving.undecided import BEST, PLAN, NotDecided, is_undecided
from knockon.queries.ui.naming import Naming, listed, places_in_words
from knockon.queries.ui.sentences.plan import undecided as say
from knockon.queries.ui.terminal.blocks import WARN, Block, Heading, Para, bullets
from knockon.queries.ui.texts.plan.no_plan import none_blocks


def undecided_blocks(not_decided: Sequence[NotDecided], best_said: bool = False) -> list[Block]:
    """What was not decided, and what to do; nothing where all was. ``best_said``: that a better plan may exist is said
    already."""
    left = [one for one in not_decided if one.what != BEST]
    blocks: list[Block] = []
    if is_undecided(not_decided, BEST) and not best_said:
        blocks.append(Para(say.BEST_FOUND, tone=WARN))
    if left:
        blocks += [Heading(say.HEADING), *bullets(map(_line, left), tone=WARN)]
    return [*blocks, Para(say.LONGER)] if not_decided else []


def _line(one: NotDecided) -> str:
    left = say.LEFT[one.what]
    return say.LEFT_OF.format(left=left, names=_names(one.names)) if one.names else say.LEFT_HERE.format(left=left)


def _names(names: Iterable[str]) -> str:
    """Places, or the numbers of parts."""
    named = list(names)
    places = [name for name in named if isinstance(name, Place)]
    return places_in_words(places) if places else listed(named)


def without_plan_blocks(
    naming: Naming,
    reason: Reason | None,
    opens: Sequence[Opening],
    cautions: Sequence[str],
    not_decided: Sequence[NotDecided],
) -> list[Block]:
    """Why there is no plan; where that is not decided, that none was found."""
    if is_undecided(not_decided, PLAN):
        return [Para(say.NO_PLAN_YET, tone=WARN), Para(say.LONGER), Para(cautions[0], tone=WARN)]
    return [*none_blocks(naming, reason, opens, cautions), *undecided_blocks(not_decided)]
