"""How to see which side a part is for, of all handed parts of a list."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from knockon.graph.model.things import SIDES
from knockon.queries.ui.naming import Naming, sentence
from knockon.queries.ui.sentences import parts as say
from knockon.queries.ui.terminal.blocks import Block, Heading, Para


def hand_blocks(naming: Naming, numbers: Iterable[str]) -> Iterator[Block]:
    """A line for each part type of which a left or a right part is in the list: how its hand is seen."""
    catalogue = naming.catalogue
    handed = (catalogue.parts[n] for n in numbers if n in catalogue.parts)
    types = sorted({p.part_type for p in handed if p.hand in SIDES})
    for place, name in enumerate(types):
        if not place:
            yield Heading(say.HANDS)
        sign = catalogue.vocabulary.hand_sign(name)
        said = say.HAND_SIGN.format(sign=sign) if sign else say.NO_HAND_SIGN
        yield Para(say.HAND_OF.format(name=sentence(name).removesuffix("."), sign=said), mark="-")
