"""The answer of ``knockon partners`` as text: at each joint the parts by verdict, what goes together first."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.queries.answers import everywhere
from knockon.queries.fits.partners import (
    CountedAt,
    Partner,
    PartnersAnswer,
    PartnersAt,
    PartnersCounted,
    claimed_of,
    counted,
    first_of,
)
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
MOST_LINES = 50
"""If that took more lines than this, at each joint only the first of the best verdict is named and the rest counted;
wrapped lines and what stands above and below leave it on a screen."""
NAMED_JOINTS = 16
"""At more joints than these nothing is named, all is counted."""


def partners_pages(
    catalogue: Catalogue, answer: PartnersAnswer | PartnersCounted, shown: Shown, ask: str
) -> Sequence[Block]:
    """The first page, where parts that do not fit are counted; with ``--others`` or ``--full`` all are named."""
    if shown.full or shown.others or not answer.joints:
        return partners_text(catalogue, answer)
    naming = Naming(catalogue)
    blocks = [*_head(answer), Gap()]
    shown_parts = sum(n for at in answer.joints for v, n in counted(at).items() if v is not Verdict.DOES_NOT_FIT)
    most = FIRST_OF_MANY if shown_parts > MOST_SHOWN else None
    hidden = most is not None
    if hidden and sum(1 + len(counted(at)) for at in answer.joints) > MOST_LINES:
        for joint in answer.joints:
            blocks += _in_short(naming, joint, len(answer.joints) <= NAMED_JOINTS)
    else:
        for joint in answer.joints:
            said, others = _at_joint(naming, joint, most)
            hidden |= others
            blocks += said
    return [
        *blocks,
        Gap(),
        in_short(catalogue, answer.cautions),
        *next_blocks([f"{ask} {'--others' if hidden else '--full'}"]),
    ]


def _at_joint(naming: Naming, joint: PartnersAt | CountedAt, most: int | None) -> tuple[list[Block], bool]:
    """A joint with its parts by verdict, those that do not fit counted; and whether there are such."""
    claimed = [_name(naming, p) for p in claimed_of(joint, Verdict.DOES_NOT_FIT)]  # somebody sells them as what fits
    others = counted(joint).get(Verdict.DOES_NOT_FIT, 0) - len(claimed)
    head = say.JOINT_HEAD_COUNTED if others else say.JOINT_HEAD
    named = {"joint": joint.joint, "position": joint.other_position}
    named |= {"parts": count(others, "part"), "verb": say.DO_NOT if others > 1 else say.DOES_NOT} if others else {}
    blocks: list[Block] = [Para(head.format(**named), tone=STRONG)]
    blocks += _by_verdict(naming, joint, but=(Verdict.DOES_NOT_FIT,), most=most)
    if claimed:
        text = say.NOT_FITTING.format(parts=_first(claimed, most, len(claimed)))
        blocks.append(Para(text, mark="-", tone=TONES[Verdict.DOES_NOT_FIT]))
    return blocks, bool(others)


def _in_short(naming: Naming, joint: PartnersAt | CountedAt, named: bool) -> Iterator[Block]:
    """A joint in two or three lines: the first of the best verdict, if it is to be ``named``, and the rest counted."""
    yield Para(say.JOINT_HEAD.format(joint=joint.joint, position=joint.other_position), tone=STRONG)
    if not joint.partners:
        yield Para(say.NOTHING_THERE, tone=WARN)
        return
    found = counted(joint)
    best = next(iter(found))
    if named and best is not Verdict.DOES_NOT_FIT:
        yield from _by_verdict(naming, joint, but=[v for v in Verdict if v is not best], most=FIRST_OF_MANY)
        del found[best]
    if found:
        counts = (say.COUNTED.format(verdict=_word(verdict), number=number) for verdict, number in found.items())
        danger = Verdict.DO_NOT_USE in found
        yield Para(" ".join(counts), mark="!" if danger else "-", tone=TONES[Verdict.DO_NOT_USE if danger else best])


def partners_text(catalogue: Catalogue, answer: PartnersAnswer | PartnersCounted) -> Sequence[Block]:
    """The whole answer."""
    naming = Naming(catalogue)
    blocks: list[Block] = [*_head(answer)]
    if not answer.joints:
        blocks.append(Para(say.NO_JOINT, tone=WARN))
    for joint in answer.joints:
        blocks.append(Heading(say.JOINT.format(joint=joint.joint, position=joint.other_position)))
        blocks += _by_verdict(naming, joint)
    return [*blocks, Gap(), *(Para(c, tone=QUIET) for c in answer.cautions[1:] if c in everywhere(catalogue))]


def _head(answer: PartnersAnswer | PartnersCounted) -> Iterator[Block]:
    yield Para(f"{answer.part} {answer.name}".strip(), tone=STRONG)
    yield Para(say.JOINTS_ONLY)
    yield from aside_blocks(answer.set_aside)
    yield Para(answer.cautions[0], tone=WARN)
    if answer.superseded_by:
        yield Para(superseded(answer.part, answer.superseded_by), tone=WARN)


def _by_verdict(
    naming: Naming, joint: PartnersAt | CountedAt, but: Sequence[Verdict] = (), most: int | None = None
) -> Iterator[Block]:
    """The parts that meet it at a joint, a line a verdict; ``but``: verdicts that are left out; ``most``: parts named
    in one line."""
    if not joint.partners:
        yield Para(say.NOTHING_THERE, tone=WARN)
    for verdict, number in counted(joint).items():
        if verdict not in but:
            danger = verdict is Verdict.DO_NOT_USE
            names = [_name(naming, p) for p in first_of(joint, verdict, most)]
            text = say.OF_VERDICT.format(verdict=_word(verdict), parts=_first(names, most, number))
            yield Para(text, mark="!" if danger else "-", tone=TONES[verdict])


def _word(verdict: Verdict) -> str:
    return verdict.upper() if verdict is Verdict.DO_NOT_USE else sentence(verdict).rstrip(".")


def _first(names: Sequence[str], most: int | None, number: int) -> str:
    if most is None or number <= most:
        return "; ".join(names)
    return say.AND_MORE.format(parts="; ".join(names[:most]), number=number - most)


def _name(naming: Naming, partner: Partner) -> str:
    said = say.CLAIMED if partner.claimed and partner.verdict.is_no else ""
    said += say.FAULT.format(fault=partner.set_fault) if partner.set_fault else ""
    if partner.superseded_by:
        said += say.SUPERSEDED_IN_BRIEF.format(numbers=listed(partner.superseded_by))
    numbers = naming.hands([partner.number, partner.mirror])
    return f"{numbers} {naming.name_of(partner.number)}".strip() + said
