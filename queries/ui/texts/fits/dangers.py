"""What is wrong on a vehicle as it stands, as text: it belongs to the head of an answer, before its verdict."""

from __future__ import annotations

from collections.abc import Sequence

from knockon.graph.model.layout_words import DANGER
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.ui.blocks import BAD, Block, Para
from knockon.queries.ui.naming import Naming, listed, places_in_words
from knockon.queries.ui.texts.fits.links import no_sentence


def danger_blocks(naming: Naming, wrong: Sequence[Evidence]) -> list[Block]:
    """What is wrong on the vehicle as it stands: this belongs to the head of an answer, before its verdict."""
    blocks: list[Block] = []
    for evidence in wrong:
        lead = naming.words[DANGER] if evidence.safety_critical else evidence.verdict.upper()
        where = f"{evidence.check}, {places_in_words(evidence.places)}"
        text = f"{lead}, as the {naming.machine} stands: {where}: {no_sentence(naming, evidence)}.{_inspect(evidence)}"
        blocks.append(Para(text, mark="!", tone=BAD))
    return blocks


def _inspect(evidence: Evidence) -> str:
    """What has to be looked at where two things stand together that must not: each may have spoilt the other."""
    found: dict[str, None] = {}
    failing = [v for line in evidence.lines if line.state == "no" for v in line.values if v.written != "absent"]
    for thing, place in zip(evidence.things, evidence.places, strict=False):
        features = dict.fromkeys(v.dimension.feature for v in failing if v.of == thing)
        found |= {f"the {feature} of the {place}": None for feature in features}
    if evidence.kind != "joint" or not found:
        return ""
    return f" Inspect {listed(list(found))} before anything is fitted there."
