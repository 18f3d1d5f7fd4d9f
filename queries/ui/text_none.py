"""Why nothing fits, and what would open it, as text."""

from __future__ import annotations

from collections.abc import Sequence

from knockon.queries.reasons import Reason
from knockon.queries.ui.blocks import BAD, QUIET, WARN, Block, Heading, Para, bullets
from knockon.queries.ui.naming import Naming, sentence
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
        links = [f"{s.sort}: {link_body(naming, s)}" for s in reason.steps if s.kind in ("joint", "figure")]
        rules = [RULES.get(s.sort, s.sort) for s in reason.steps if s.kind not in ("joint", "figure")]
        blocks += [Heading("Why"), *bullets(sentence(x) for x in dict.fromkeys((*links, *rules)))]
        blocks.append(Para("Drop any one of these and it is possible again.", tone=QUIET))
        notes = note_blocks(naming.catalogue, [s.evidence for s in reason.steps if s.evidence])
        blocks += [Heading("What members found"), *notes] if notes else []
    if opens:
        blocks += [Heading("What would open it"), *bullets(sentence(o) for o in opens)]
    return blocks
