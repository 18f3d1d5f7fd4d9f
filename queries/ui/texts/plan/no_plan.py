"""Why there is no plan, and what would help, as text."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from knockon.graph.judge.verdicts import Verdict
from knockon.queries.answers import with_article
from knockon.queries.plan.arrangements import GivenUp
from knockon.queries.plan.openings.openings import Beside, Opening
from knockon.queries.plan.reasons.reasons import Reason, Step
from knockon.queries.ui import units
from knockon.queries.ui.naming import Naming, as_options, count, listed, sentence
from knockon.queries.ui.sentences.plan import no_plan as say
from knockon.queries.ui.terminal.blocks import BAD, QUIET, WARN, Block, Heading, Para, bullets
from knockon.queries.ui.texts.club.notes import note_blocks
from knockon.queries.ui.texts.fits.evidence import measured_words
from knockon.queries.ui.texts.fits.links import has, link_body

JUDGED = ("joint", "figure")


def none_blocks(
    naming: Naming, reason: Reason | None, opens: Sequence[Opening], cautions: Sequence[str]
) -> list[Block]:
    """The answer where no consistent set of parts exists."""
    blocks: list[Block] = [Para(say.NO_PLAN, tone=BAD), Para(cautions[0], tone=WARN)]
    if reason is not None and reason.steps:
        links = _links(naming, reason)
        blocks += [Heading(say.WHY), *links]
        blocks += [Para(say.ALL_NEEDED, tone=QUIET)] if len(links) > 1 else []
        notes = note_blocks(naming.catalogue, [s.evidence for s in reason.steps if s.evidence])
        blocks += [Heading(say.MEMBERS), *notes] if notes else []
    return [*blocks, *_openings(naming, opens)]


def unknown_blocks(naming: Naming, reason: Reason | None, opens: Sequence[Opening]) -> list[Block]:
    """Why a plan rests on what is not known: what stands in the way of every plan without that."""
    if reason is None:
        return []
    blocks: list[Block] = [Heading(say.NOT_KNOWN_YET), Para(say.ON_KNOWN_SIZES, tone=WARN)]
    return [*blocks, *_links(naming, reason, told=("unknown",)), *_openings(naming, opens)]


def _links(naming: Naming, reason: Reason, told: tuple[str, ...] = ()) -> list[Block]:
    """The links of a reason, one a line, its rules last; without rules of a kind that was told already."""
    links = [_link(naming, s) for s in reason.steps if s.kind in JUDGED]
    rules = [_rule(s) for s in reason.steps if s.kind not in JUDGED and s.kind not in told]
    return list(bullets(sentence(x) for x in dict.fromkeys((*links, *rules))))


def reason_line(naming: Naming, reason: Reason | None, first: Callable[[Step], bool] | None = None) -> str:
    """A reason in one line: the link that is meant by ``first``, else where its chain ends; how many more there are."""
    steps = reason.steps if reason is not None else ()
    links = list(dict.fromkeys(_link(naming, s) for s in steps if s.kind in JUDGED))
    rules = [_rule(s) for s in steps if s.kind not in JUDGED]
    meant = [_link(naming, s) for s in steps if first is not None and s.kind in JUDGED and first(s)]
    said = meant[:1] or links[-1:] or rules[:1]
    if not said:
        return say.NO_PART
    more = len(links) - 1
    return say.MORE_REASONS.format(reason=said[0], more=count(more, "more reason")) if more > 0 else said[0]


def _rule(step: Step) -> str:
    """A rule that stands in the way; of the axle rule, what the two hands would carry."""
    rule = say.RULES.get(step.sort, step.sort)
    if step.sort == "axle rule" and step.given and step.ruled_out:
        return say.BOTH_KEPT.format(
            place=step.given_place, part=step.given, other_place=step.place, other=step.ruled_out, rule=rule
        )
    return rule


def _link(naming: Naming, step: Step) -> str:
    """One link behind its check; of a stack or figure with its parts, since a joint names its two by itself."""
    if step.kind != "figure" or step.evidence is None:
        return say.LINK.format(check=step.sort, reason=_reason(naming, step))
    parts = naming.hands(step.evidence.numbers)
    return say.OF_PARTS.format(check=step.sort, parts=parts, reason=_reason(naming, step))


def _reason(naming: Naming, step: Step) -> str:
    """Why; where too much is unknown, what to measure."""
    evidence = step.evidence
    if evidence is None or evidence.verdict is not Verdict.NOT_KNOWN:
        return link_body(naming, step)
    words = "; ".join(measured_words(naming, evidence.to_measure))
    between: str = evidence.first
    if evidence.second:
        between = say.BETWEEN.format(part=evidence.first, other=evidence.second)
    if not words:
        return say.NOT_KNOWN.format(between=between)
    return say.NOT_KNOWN_MEASURE.format(between=between, sizes=words)


def given_up_blocks(naming: Naming, unasked: GivenUp, costs: str) -> list[Block]:
    """What stands in the way of the vehicle's arrangement, given up unasked; ``costs``: what keeping it would cost."""
    said = [say.GIVEN_UP.format(arrangement=unasked.arrangement)]
    if unasked.costs is None:
        said.append(say.NOTHING_KEEPS)
    else:
        said += [say.KEEPING_COSTS.format(costs=costs), *([say.CLOSED_BY] if unasked.reason else [])]
    lines = _links(naming, unasked.reason, ("unknown",)) if unasked.reason else []
    return [Para(" ".join(said), tone=WARN), *lines]


def _openings(naming: Naming, opens: Sequence[Opening]) -> list[Block]:
    said = [_opening(naming, o) for o in opens]
    return [Heading(say.HELPS), *bullets(sentence(o) for o in said)] if said else []


def _opening(naming: Naming, opening: Opening) -> str:
    """One thing that would help, in words."""
    if opening.wishes:
        template = say.MEET_WISH if len(opening.wishes) == 1 else say.MEET_WISHES
        return template.format(wishes=listed([f'"{w}"' for w in opening.wishes]))
    if opening.dropped:
        options = listed(as_options(opening.dropped))
        if opening.not_known:
            return say.DROP_NOT_KNOWN.format(options=options, checks=count(opening.not_known, "check"))
        return say.DROP.format(options=options)
    if opening.figure is not None:
        line, parts = opening.figure.lines[0], naming.hands(opening.figure.numbers)
        check = opening.figure.check
        if line.margin is not None and line.margin < 0:
            return say.OTHER_PARTS_NOW.format(parts=parts, check=check, missed=units.margin(line))
        return say.OTHER_PARTS.format(parts=parts, check=check)
    others = listed([_beside(naming, b) for b in opening.beside])
    return say.AGREES_WITH.format(part=with_article(opening.position), others=others)


def _beside(naming: Naming, beside: Beside) -> str:
    sizes: dict[tuple[str, str], str] = {}
    for value in beside.sizes:
        text = units.size_or_designation(value)
        sizes.setdefault((value.dimension.feature, value.dimension.column), text)
    part = say.WHAT_IS_THERE
    if beside.number:
        part = say.THE_PART.format(position=beside.position, number=naming.hands([beside.number])).strip()
    if sizes:
        return say.WITH_SIZES.format(part=part, sizes=has(sizes))
    return say.AT_CHECK.format(part=part, check=beside.check)
