"""The answer of ``knockon partners`` as text: at each joint the parts by verdict, what goes together first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.queries.answers import everywhere
from knockon.queries.fits.partners import Partner, PartnersAnswer, PartnersAt
from knockon.queries.ui.details import Shown, next_blocks
from knockon.queries.ui.naming import Naming, count, listed, sentence
from knockon.queries.ui.sentences import parts as say
from knockon.queries.ui.terminal.blocks import QUIET, STRONG, WARN, Block, Gap, Heading, Para
from knockon.queries.ui.texts.cautions import in_short
from knockon.queries.ui.texts.fits.evidence import TONES
from knockon.queries.ui.texts.fits.number_chain import superseded
from knockon.queries.ui.texts.fits.skipped import aside_blocks

MOST_SHOWN = 60
"""So many parts are all named on the first page; of more, the first of each verdict at each joint."""
FIRST_OF_MANY = 1


def partners_pages(catalogue: Catalogue, answer: PartnersAnswer, shown: Shown, ask: str) -> Sequence[Block]:
    """The first page, where parts that do not fit are counted; with ``--others`` or ``--full`` all are named."""
    if shown.full or shown.others or not answer.joints:
        return partners_text(catalogue, answer)
    naming = Naming(catalogue)
    blocks = [*_head(answer), Gap()]
    shown_parts = sum(p.verdict is not Verdict.DOES_NOT_FIT for joint in answer.joints for p in joint.partners)
    most = FIRST_OF_MANY if shown_parts > MOST_SHOWN else None
    hidden = most is not None
    for joint in answer.joints:
        apart = [p for p in joint.partners if p.verdict is Verdict.DOES_NOT_FIT]
        claimed = [_name(naming, p) for p in apart if p.claimed]  # somebody sells them as what fits
        others = len(apart) - len(claimed)
        hidden |= bool(others)
        head = say.JOINT_HEAD_COUNTED if others else say.JOINT_HEAD
        named = {"joint": joint.joint, "position": joint.other_position}
        named |= {"parts": count(others, "part"), "verb": say.DO_NOT if others > 1 else say.DOES_NOT} if others else {}
        blocks.append(Para(head.format(**named), tone=STRONG))
        blocks += _by_verdict(naming, joint, but=(Verdict.DOES_NOT_FIT,), most=most)
        if claimed:
            text = say.NOT_FITTING.format(parts=_first(claimed, most))
            blocks.append(Para(text, mark="-", tone=TONES[Verdict.DOES_NOT_FIT]))
    return [
        *blocks,
        Gap(),
        in_short(catalogue, answer.cautions),
        *next_blocks([f"{ask} {'--others' if hidden else '--full'}"]),
    ]


def partners_text(catalogue: Catalogue, answer: PartnersAnswer) -> Sequence[Block]:
    """The whole answer."""
    naming = Naming(catalogue)
    blocks: list[Block] = [*_head(answer)]
    if not answer.joints:
        blocks.append(Para(say.NO_JOINT, tone=WARN))
    for joint in answer.joints:
        blocks.append(Heading(say.JOINT.format(joint=joint.joint, position=joint.other_position)))
        blocks += _by_verdict(naming, joint)
    return [*blocks, Gap(), *(Para(c, tone=QUIET) for c in answer.cautions[1:] if c in everywhere(catalogue))]


def _head(answer: PartnersAnswer) -> Iterator[Block]:
    yield Para(f"{answer.part} {answer.name}".strip(), tone=STRONG)
    yield Para(say.JOINTS_ONLY)
    yield from aside_blocks(answer.set_aside)
    yield Para(answer.cautions[0], tone=WARN)
    if answer.superseded_by:
        yield Para(superseded(answer.part, answer.superseded_by), tone=WARN)


def _by_verdict(
    naming: Naming, joint: PartnersAt, but: Sequence[Verdict] = (), most: int | None = None
) -> Iterator[Block]:
    """The parts that meet it at a joint, a line a verdict; ``but``: verdicts that are left out; ``most``: parts named
    in one line."""
    if not joint.partners:
        yield Para(say.NOTHING_THERE, tone=WARN)
    for verdict in (v for v in Verdict if v not in but):
        found = [p for p in joint.partners if p.verdict is verdict]
        if found:
            danger = verdict is Verdict.DO_NOT_USE
            word = verdict.upper() if danger else sentence(verdict).rstrip(".")
            text = say.OF_VERDICT.format(verdict=word, parts=_first([_name(naming, p) for p in found], most))
            yield Para(text, mark="!" if danger else "-", tone=TONES[verdict])


def _first(names: Sequence[str], most: int | None) -> str:
    if most is None or len(names) <= most:
        return "; ".join(names)
    return say.AND_MORE.format(parts="; ".join(names[:most]), number=len(names) - most)


def _name(naming: Naming, partner: Partner) -> str:
    said = say.CLAIMED if partner.claimed and partner.verdict.is_no else ""
    said += say.FAULT.format(fault=partner.set_fault) if partner.set_fault else ""
    if partner.superseded_by:
        said += say.SUPERSEDED_IN_BRIEF.format(numbers=listed(partner.superseded_by))
    numbers = naming.hands([partner.number, partner.mirror])
    return f"{numbers} {naming.name_of(partner.number)}".strip() + said
