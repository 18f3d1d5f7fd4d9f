"""What positions are also called: in their own rows, by their part type, and as the trade calls that."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from knockon.graph.model.schema import Vocabulary


def called(position: str, part_type: str, axle: str, own: Sequence[str], vocabulary: Vocabulary) -> tuple[str, ...]:
    """Every other name of a position, its own first: ``rotor`` and ``brake disc`` for a ``front rotor``, ``top ball
    stud`` for an ``upper ball pin``."""
    words = [*own, *_by_type(position, part_type, axle, vocabulary)]
    if axle:
        words += [f"{axle} {word}" for word in words if not word.startswith(f"{axle} ")]
    return tuple(dict.fromkeys(w for w in words if w != position))


def _by_type(position: str, part_type: str, axle: str, vocabulary: Vocabulary) -> Iterator[str]:
    known = vocabulary.part_types.get(part_type)
    labels = (part_type, *(known.other if known else ()))
    plain = position.removeprefix(f"{axle} ") if axle else position
    yield plain
    yield from labels
    of_type = re.compile(rf"\b{re.escape(part_type)}\b")
    for name in (position, plain):
        before, found, after = _parted(of_type, name)
        yield from (f"{before}{label}{after}" for label in labels if found)


def _parted(of_type: re.Pattern[str], name: str) -> tuple[str, str, str]:
    """What stands before the part type in a position's name, the part type, and what stands behind it."""
    match = of_type.search(name)
    return (name[: match.start()], match[0], name[match.end() :]) if match else (name, "", "")
