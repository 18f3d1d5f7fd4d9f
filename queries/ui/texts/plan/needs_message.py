"""A specification as a message to a seller: plain sentences, ready to paste, that need no word of ours."""

from __future__ import annotations

from collections.abc import Iterator

from knockon.queries.answers import with_article
from knockon.queries.plan.needs import NeedsAnswer
from knockon.queries.plan.openings.specified import NOT_RECORDED_BESIDE, OF_SEVERAL, REQUIRED, Specification
from knockon.queries.ui.naming import Naming, listed
from knockon.queries.ui.sentences.plan import needs as say
from knockon.queries.ui.terminal.blocks import Block, Para, bullets
from knockon.queries.ui.texts.plan.needed_sizes import feature_lines
from knockon.queries.ui.texts.plan.specification import limits_of


def message_blocks(naming: Naming, answer: NeedsAnswer) -> list[Block]:
    """The message; that there is none where nothing is needed, or nothing can be."""
    blocks: list[Block] = []
    for spec in answer.specifications:
        if spec.is_possible:
            blocks += _of_one(naming, answer, spec)
    if not blocks:
        return [Para(say.NOTHING_TO_ASK)]
    return [*blocks, Para(f"{say.SEND_SIZES} {say.SAY_UNKNOWN}")]


def _of_one(naming: Naming, answer: NeedsAnswer, spec: Specification) -> Iterator[Block]:
    yield Para(say.LOOKING_FOR.format(part=with_article(spec.part_type), pieces=_pieces(answer, spec)))
    lines = list(feature_lines(spec))
    if lines:
        yield Para(say.SIZES_MATTER)
        yield from bullets(line[0].upper() + line[1:] for line in lines)
    sums = [f"{s.value}, {limits_of(s)}" for s in spec.stated if s.because == OF_SEVERAL and s.need == REQUIRED]
    if sums:
        yield Para(say.RIGHT_IF)
        yield from bullets(f"{text}." for text in dict.fromkeys(sums))
    beside = _beside(naming, spec)
    if beside:
        yield Para(say.GO_BESIDE)
        yield from bullets(f"{text}." for text in beside)


def _pieces(answer: NeedsAnswer, spec: Specification) -> str:
    number = answer.quantity * len(spec.places) // max(1, len(answer.places))
    pieces = say.ONE_PIECE if number == 1 else say.PIECES.format(number=number)
    sides = [p.side for p in spec.places if p.side]
    if not sides:
        return pieces
    return say.FOR_SIDES.format(pieces=pieces, sides=say.SIDES[len(sides)].format(side=sides[0]))


def _beside(naming: Naming, spec: Specification) -> list[str]:
    """The parts beside of which a size is lacking, by their number and name, with what they are there for."""
    checks: dict[str, dict[str, None]] = {}
    for one in spec.stated:
        if one.because == NOT_RECORDED_BESIDE and one.need == REQUIRED:
            for size in one.lacking:
                number = size.thing.rpartition(", ")[0] or size.thing
                checks.setdefault(number, {})[one.check] = None
    known = naming.catalogue.parts
    return [
        say.BESIDE.format(part=naming.part(number), checks=listed(list(found)))
        for number, found in checks.items()
        if number in known
    ]
