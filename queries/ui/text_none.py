"""Why nothing fits, and what would open it, as text."""

from __future__ import annotations

from collections.abc import Sequence

from knockon.graph.verdicts import Verdict
from knockon.queries.arrangements import GivenUp
from knockon.queries.reasons import Reason, Step
from knockon.queries.ui.blocks import BAD, QUIET, WARN, Block, Heading, Para, bullets
from knockon.queries.ui.naming import Naming, sentence
from knockon.queries.ui.text_evidence import measured_words
from knockon.queries.ui.text_links import link_body
from knockon.queries.ui.text_notes import note_blocks

RULES = {
    "axle rule": "both hands must carry the same part, or its mirror",
    "arrangement": "one arrangement must hold as a whole",
    "unknown not allowed": "a part of unknown size may not stand in for one that fits",
}


def none_blocks(naming: Naming, reason: Reason | None, opens: Sequence[str], cautions: Sequence[str]) -> list[Block]:
    """The answer where no consistent filling exists."""
    blocks: list[Block] = [Para("NOTHING FITS: no filling of the layout meets this without a no.", tone=BAD)]
    blocks.append(Para(cautions[0], tone=WARN))
    if reason is not None and reason.steps:
        blocks += [Heading("Why"), *_links(naming, reason)]
        blocks.append(Para("Drop any one of these and it is possible again.", tone=QUIET))
        notes = note_blocks(naming.catalogue, [s.evidence for s in reason.steps if s.evidence])
        blocks += [Heading("What members found"), *notes] if notes else []
    return [*blocks, *_openings(opens)]


def unknown_blocks(naming: Naming, reason: Reason | None, opens: Sequence[str]) -> list[Block]:
    """Why a plan rests on what is not known: what stands in the way of every plan without that."""
    if reason is None:
        return []
    blocks: list[Block] = [Heading("Why it is not known yet")]
    blocks.append(Para("On known sizes and claims alone nothing fits:", tone=WARN))
    return [*blocks, *_links(naming, reason, told=("unknown not allowed",)), *_openings(opens)]


def _links(naming: Naming, reason: Reason, told: tuple[str, ...] = ()) -> list[Block]:
    """The links of a reason, one a line, its rules last; without those rules that were told already."""
    links = [
        f"{s.sort}{_of_parts(naming, s)}: {_link(naming, s)}" for s in reason.steps if s.kind in ("joint", "figure")
    ]
    rules = [
        RULES.get(s.sort, s.sort) for s in reason.steps if s.kind not in ("joint", "figure") and s.sort not in told
    ]
    return list(bullets(sentence(x) for x in dict.fromkeys((*links, *rules))))


def _of_parts(naming: Naming, step: Step) -> str:
    """The parts of a stack or figure, in brackets; a joint names its two by itself."""
    if step.kind != "figure" or step.evidence is None:
        return ""
    return f" ({naming.hands(n for n in (*step.evidence.first.split(', '), step.evidence.second) if n)})"


def _link(naming: Naming, step: Step) -> str:
    """One link; where too much is unknown, what to measure."""
    evidence = step.evidence
    if evidence is None or evidence.verdict is not Verdict.NOT_KNOWN:
        return link_body(naming, step)
    words = measured_words(naming, evidence.to_measure)
    between = f"{evidence.first} with {evidence.second}" if evidence.second else evidence.first
    return f"{between}: not known" + (f"; measure {'; '.join(words)}" if words else "")


def given_up_blocks(naming: Naming, unasked: GivenUp, costs: str) -> list[Block]:
    """What stands in the way of the vehicle's arrangement, given up unasked; ``costs``: what keeping it would cost."""
    start = f"The {unasked.arrangement} arrangement is given up, though that was not asked for."
    if unasked.costs is None:
        start += " With it nothing fits:"
    else:
        start += f" A plan that keeps it: {costs}." + (" On what is known it is closed by:" if unasked.reason else "")
    lines = _links(naming, unasked.reason, ("unknown not allowed",)) if unasked.reason else []
    return [Para(start, tone=WARN), *lines]


def _openings(opens: Sequence[str]) -> list[Block]:
    return [Heading("What would open it"), *bullets(sentence(o) for o in opens)] if opens else []
