"""The answer of ``knockon part`` as text."""

from __future__ import annotations

from collections.abc import Sequence

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.notes.outcomes import outcome_rank
from knockon.queries.fits.part import FeatureShown, PartAnswer, Touch
from knockon.queries.ui import units
from knockon.queries.ui.blocks import QUIET, STRONG, WARN, Block, Gap, Grid, Heading, Para, bullets
from knockon.queries.ui.naming import Naming, listed, sentence
from knockon.queries.ui.texts.club.notes import note_text
from knockon.queries.ui.texts.fits.number_chain import chain_blocks


def part_text(catalogue: Catalogue, answer: PartAnswer) -> Sequence[Block]:
    """The whole answer."""
    naming = Naming(catalogue)
    blocks: list[Block] = [Para(f"{answer.part} {answer.name}".strip(), tone=STRONG), *_about(naming, answer)]
    blocks += [Heading("Features")]
    if not answer.features:
        blocks.append(Para("No feature is recorded: nothing can be said of where it fits.", tone=WARN))
    for feature in answer.features:
        blocks += _feature(naming, feature, answer.part)
    blocks += _touches(answer)
    if answer.claims:
        blocks += [Heading("What is claimed, without sizes"), *bullets([sentence(c) for c in answer.claims])]
    blocks += chain_blocks(naming, answer.part, answer.chain)
    if answer.offers:
        offers = tuple((o.supplier, f"{o.price:.2f}", _surcharge(o.surcharge)) for o in answer.offers)
        blocks += [Heading("Offers, each"), Grid(offers, right=(1,), indent=2)]
    notes = sorted((catalogue.notes[n] for n in answer.notes), key=lambda n: (outcome_rank(n.outcome), n.note))
    if notes:
        blocks += [Heading("What members found"), *bullets([note_text(n) for n in notes])]
    return [*blocks, Gap(), *(Para(c, tone=QUIET) for c in answer.cautions)]


def _surcharge(surcharge: float) -> str:
    return f"{surcharge:.2f} of it for the exchange, where no old part is handed in" if surcharge else ""


def _about(naming: Naming, answer: PartAnswer) -> list[Block]:
    hand = "" if answer.hand == "either" else f"{answer.hand} hand"
    once = "one use: renew it once disturbed" if answer.one_use else ""
    said = [sentence(", ".join(x for x in (answer.part_type, hand, once) if x))]
    if answer.positions:
        said.append(f"Stands in: {', '.join(answer.positions)}.")
    if answer.mirror_of:
        said.append(f"The other hand is {naming.part(answer.mirror_of)}.")
    if answer.drawn_as:
        said.append(f"Same drawing as {naming.part(answer.drawn_as)}.")
    if answer.members:
        said.append(f"A set of {listed(answer.members)}.")
    if answer.maker:
        said.append(f"Made by {answer.maker}.")
    blocks: list[Block] = [Para(" ".join(said))]
    if answer.as_written:
        blocks.append(Para(f"As written: {answer.as_written}", tone=QUIET))
    if answer.source:
        blocks.append(Para(f"Recorded by {answer.source}.", tone=QUIET))
    return blocks


def _feature(naming: Naming, feature: FeatureShown, part: str) -> list[Block]:
    of = "" if feature.of == part else f", {naming.thing(feature.of)}"
    title = f"{feature.name} ({feature.kind}{of})"
    if feature.absent_by:
        blocks: list[Block] = [Para(f"{title}: known absent, by {listed(list(feature.absent_by))}.", mark="-")]
    else:
        blocks = [Para(f"{title}:", mark="-")]
    rows = tuple(
        (v.dimension, units.size(v), naming.source(v.source, v.standing), "" if v.computes else "not used")
        for v in feature.sizes
    )
    if rows:
        blocks.append(Grid(rows, indent=4))
    if feature.not_recorded:
        blocks.append(Para(f"Not recorded: {', '.join(feature.not_recorded)}.", indent=4, tone=WARN))
    return blocks


def _touches(answer: PartAnswer) -> list[Block]:
    if not answer.touches:
        return []
    rows = tuple((t.joint, _own(t, answer), t.other_position) for t in answer.touches)
    blocks: list[Block] = [Heading("What it touches"), Grid(rows, ("joint", "by its", "of the"), indent=2)]
    if answer.figures:
        blocks.append(Para(f"Stacks and figures that it is in: {'; '.join(answer.figures)}.", indent=2))
    return blocks


def _own(touch: Touch, answer: PartAnswer) -> str:
    return touch.feature if len(answer.positions) < 2 else f"{touch.feature} (as {touch.position})"
