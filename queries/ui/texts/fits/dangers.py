"""What is wrong on a vehicle as it stands, as text: it belongs to the head of an answer, before its verdict."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TypeVar

from knockon.graph.model.layout_words import DANGER
from knockon.queries.fits.as_it_stands import Wrong
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.ui import units
from knockon.queries.ui.naming import Naming, listed, places_in_words, sentence
from knockon.queries.ui.sentences import fits as say
from knockon.queries.ui.terminal.blocks import BAD, WARN, Block, Para
from knockon.queries.ui.texts.fits.links import no_sentence

Judged = TypeVar("Judged", Evidence, Wrong)


def danger_blocks(naming: Naming, wrong: Sequence[Evidence]) -> list[Block]:
    """What is wrong on the vehicle as it stands: this belongs to the head of an answer, before its verdict."""
    blocks: list[Block] = []
    for evidence in dangers_first(wrong):
        is_danger = evidence.safety_critical and not evidence.is_remark
        lead = naming.words[DANGER] if is_danger else evidence.verdict.upper()
        template = say.REMARK_NOW if evidence.is_remark else say.DANGER_NOW if is_danger else say.NO_NOW
        lead = template.format(lead=lead, machine=naming.machine)
        says = f"{no_sentence(naming, evidence)}."
        places = places_in_words(evidence.places)
        text = say.DANGER_AT.format(
            lead=lead, check=sentence(evidence.check).removesuffix("."), places=places, says=says
        )
        text += _inspect(evidence) + remark_within(evidence)
        blocks.append(Para(text, mark="-" if evidence.is_remark else "!", tone=WARN if evidence.is_remark else BAD))
    return blocks


def dangers_first(wrong: Iterable[Judged]) -> list[Judged]:
    """What is wrong, remarks last."""
    return sorted(wrong, key=lambda e: e.is_remark)


def remark_within(evidence: Evidence) -> str:
    """Why a no of a vehicle as it stands is only a remark; blank where it is more."""
    if evidence.remark_within is None:
        return ""
    room = evidence.remark_within
    amount = units.amount(room, room, evidence.lines[0].unit)
    return say.REMARK_WITHIN.format(amount=amount, source=evidence.remark_source or say.NO_SOURCE_OF_ROOM)


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
