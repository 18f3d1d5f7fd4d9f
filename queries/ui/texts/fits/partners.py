"""The answer of ``knockon partners`` as text: at each joint the parts by verdict, what goes together first."""

from __future__ import annotations

from collections.abc import Sequence

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.queries.answers import everywhere
from knockon.queries.fits.partners import Partner, PartnersAnswer, PartnersAt
from knockon.queries.ui.blocks import QUIET, STRONG, WARN, Block, Gap, Heading, Para
from knockon.queries.ui.naming import Naming, listed, sentence
from knockon.queries.ui.texts.fits.evidence import TONES
from knockon.queries.ui.texts.fits.number_chain import superseded
from knockon.queries.ui.texts.fits.skipped import aside_blocks


def partners_text(catalogue: Catalogue, answer: PartnersAnswer) -> Sequence[Block]:
    """The whole answer."""
    naming = Naming(catalogue)
    blocks: list[Block] = [Para(f"{answer.part} {answer.name}".strip(), tone=STRONG)]
    blocks.append(Para("Joints only: stacks and figures over more parts are judged by fits, swap and combinations."))
    blocks += [*aside_blocks(answer.set_aside), Para(answer.cautions[0], tone=WARN)]
    if answer.superseded_by:
        blocks.append(Para(superseded(answer.part, answer.superseded_by), tone=WARN))
    if not answer.joints:
        blocks.append(Para("No joint of any layout has a place for it.", tone=WARN))
    for joint in answer.joints:
        blocks += _joint(naming, joint)
    return [*blocks, Gap(), *(Para(c, tone=QUIET) for c in answer.cautions[1:] if c in everywhere(catalogue))]


def _joint(naming: Naming, joint: PartnersAt) -> list[Block]:
    blocks: list[Block] = [Heading(f"{joint.joint}: with the {joint.other_position}")]
    if not joint.partners:
        return [*blocks, Para(f"No part of the records goes in the {joint.other_position}.", tone=WARN)]
    for verdict in Verdict:
        found = [p for p in joint.partners if p.verdict is verdict]
        if found:
            word = verdict.upper() if verdict is Verdict.DO_NOT_USE else sentence(verdict).rstrip(".")
            names = "; ".join(_name(naming, p) for p in found)
            blocks.append(
                Para(f"{word}: {names}.", mark="!" if verdict is Verdict.DO_NOT_USE else "-", tone=TONES[verdict])
            )
    return blocks


def _name(naming: Naming, partner: Partner) -> str:
    claimed = " (claimed to belong to it)" if partner.claimed and partner.verdict.is_no else ""
    claimed += f" ({partner.set_fault})" if partner.set_fault else ""
    claimed += f" (said to be superseded by {listed(partner.superseded_by)})" if partner.superseded_by else ""
    numbers = naming.hands([partner.number, partner.mirror])
    return f"{numbers} {naming.name_of(partner.number)}".strip() + claimed
