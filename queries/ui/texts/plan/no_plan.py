"""Why nothing fits, and what would open it, as text."""

from __future__ import annotations

from collections.abc import Sequence

from knockon.graph.judge.verdicts import Verdict
from knockon.queries.answers import with_article
from knockon.queries.plan.arrangements import GivenUp
from knockon.queries.plan.openings.openings import Beside, Opening
from knockon.queries.plan.reasons.reasons import Reason, Step
from knockon.queries.ui import units
from knockon.queries.ui.blocks import BAD, QUIET, WARN, Block, Heading, Para, bullets
from knockon.queries.ui.naming import Naming, asked_words, count, listed, sentence
from knockon.queries.ui.texts.club.notes import note_blocks
from knockon.queries.ui.texts.fits.evidence import dimension_word, feature_word, measured_words
from knockon.queries.ui.texts.fits.links import has, link_body

RULES = {
    "axle rule": "both hands must carry the same part, or its mirror",
    "arrangement": "one arrangement must hold as a whole",
    "unknown not allowed": "a part of unknown size may not stand in for one that fits",
}


def none_blocks(
    naming: Naming, reason: Reason | None, opens: Sequence[Opening], cautions: Sequence[str]
) -> list[Block]:
    """The answer where no consistent filling exists."""
    blocks: list[Block] = [Para("NOTHING FITS: no filling of the layout meets this without a no.", tone=BAD)]
    blocks.append(Para(cautions[0], tone=WARN))
    if reason is not None and reason.steps:
        blocks += [Heading("Why"), *_links(naming, reason)]
        blocks.append(Para("Drop any one of these and it is possible again.", tone=QUIET))
        notes = note_blocks(naming.catalogue, [s.evidence for s in reason.steps if s.evidence])
        blocks += [Heading("What members found"), *notes] if notes else []
    return [*blocks, *_openings(naming, opens)]


def unknown_blocks(naming: Naming, reason: Reason | None, opens: Sequence[Opening]) -> list[Block]:
    """Why a plan rests on what is not known: what stands in the way of every plan without that."""
    if reason is None:
        return []
    blocks: list[Block] = [Heading("Why it is not known yet")]
    blocks.append(Para("On known sizes and claims alone nothing fits:", tone=WARN))
    return [*blocks, *_links(naming, reason, told=("unknown not allowed",)), *_openings(naming, opens)]


def _links(naming: Naming, reason: Reason, told: tuple[str, ...] = ()) -> list[Block]:
    """The links of a reason, one a line, its rules last; without those rules that were told already."""
    links = [
        f"{s.sort}{_of_parts(naming, s)}: {_link(naming, s)}" for s in reason.steps if s.kind in ("joint", "figure")
    ]
    rules = [_rule(s) for s in reason.steps if s.kind not in ("joint", "figure") and s.sort not in told]
    return list(bullets(sentence(x) for x in dict.fromkeys((*links, *rules))))


def reason_line(naming: Naming, reason: Reason | None) -> str:
    """A reason in one line: where its chain ends, and how many more links there are."""
    steps = [s for s in reason.steps if s.kind in ("joint", "figure")] if reason is not None else []
    last = list(dict.fromkeys(f"{s.sort}{_of_parts(naming, s)}: {_link(naming, s)}" for s in steps))
    rules = [_rule(s) for s in reason.steps if s.kind not in ("joint", "figure")] if reason is not None else []
    said = last[-1:] or rules[:1]
    more = f" ({count(len(last) - 1, 'more link')} in its own answer)" if len(last) > 1 else ""
    return f"{said[0]}{more}" if said else "no known part meets what is asked"


def _rule(step: Step) -> str:
    """A rule that stands in the way; of the axle rule, what the two hands would carry."""
    rule = RULES.get(step.sort, step.sort)
    if step.sort == "axle rule" and step.given and step.ruled_out:
        return f"{step.given_place} {step.given} and {step.place} {step.ruled_out} are both to be kept, but {rule}"
    return rule


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


def _openings(naming: Naming, opens: Sequence[Opening]) -> list[Block]:
    said = [_opening(naming, o) for o in opens]
    return [Heading("What would open it"), *bullets(sentence(o) for o in said)] if said else []


def _opening(naming: Naming, opening: Opening) -> str:
    """One thing that would open it, in words."""
    if opening.wishes:
        wishes = listed([f'"{w}"' for w in opening.wishes])
        none = "none in the records is" if len(opening.wishes) == 1 else "none in the records meets them together"
        return f"a part that is known to meet {wishes}: {none} (an unrecorded size never meets a wish)"
    if opening.dropped:
        but = f", with {count(opening.not_known, 'check')} not known" if opening.not_known else ""
        return f"not to ask for {asked_words(opening.dropped)}: without that there is a plan{but}"
    if opening.figure is not None:
        line, parts = opening.figure.lines[0], naming.hands(opening.figure.first.split(", "))
        lacking = f": now {units.margin(line)}" if line.margin is not None and line.margin < 0 else ""
        return f"other parts than {parts} at {opening.figure.check}{lacking}"
    beside = [_beside(naming, b) for b in opening.beside]
    return f"{with_article(opening.position)} that agrees with {listed(beside)}"


def _beside(naming: Naming, beside: Beside) -> str:
    sizes: dict[tuple[str, str], str] = {}
    for value in beside.sizes:
        text = units.size_or_designation(value)
        sizes.setdefault((feature_word(value.dimension), dimension_word(value.dimension)), text)
    named = f"the {beside.position} {naming.hands([beside.number])}".strip() if beside.number else "what is there"
    return f"{named} ({has(sizes)})" if sizes else f"{named} at {beside.check}"
