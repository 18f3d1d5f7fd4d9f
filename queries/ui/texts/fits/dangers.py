"""What is wrong on a vehicle as it stands, as text: it belongs to the head of an answer, before its verdict."""

from __future__ import annotations

from collections.abc import Sequence

from knockon.graph.model.layout_words import DANGER
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.ui.naming import Naming, listed, places_in_words, sentence
from knockon.queries.ui.sentences import fits as say
from knockon.queries.ui.terminal.blocks import BAD, Block, Para
from knockon.queries.ui.texts.fits.links import no_sentence


def danger_blocks(naming: Naming, wrong: Sequence[Evidence]) -> list[Block]:
    """What is wrong on the vehicle as it stands: this belongs to the head of an answer, before its verdict."""
    blocks: list[Block] = []
    for evidence in wrong:
        lead = naming.words[DANGER] if evidence.safety_critical else evidence.verdict.upper()
        template = say.DANGER_NOW if evidence.safety_critical else say.NO_NOW
        lead = template.format(lead=lead, machine=naming.machine)
        says = f"{no_sentence(naming, evidence)}."
        places = places_in_words(evidence.places)
        text = say.DANGER_AT.format(
            lead=lead, check=sentence(evidence.check).removesuffix("."), places=places, says=says
        )
        text += _inspect(evidence)
        blocks.append(Para(text, mark="!", tone=BAD))
    return blocks


def _inspect(evidence: Evidence) -> str:
    """What has to be looked at where two things stand together that must not: each may have spoilt the other."""
    found: dict[str, None] = {}
    failing = [v for line in evidence.lines if line.state == "no" for v in line.values if v.written != "absent"]
    for thing, place in zip(evidence.things, evidence.places, strict=False):
        features = dict.fromkeys(v.dimension.feature for v in failing if v.of == thing)
        found |= {say.FEATURE_OF.format(feature=feature, place=place): None for feature in features}
    if evidence.kind != "joint" or not found:
        return ""
    return say.INSPECT.format(features=listed(list(found)))
