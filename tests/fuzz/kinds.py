"""What a kind of input is: how one is made from a seed, and how the program takes it."""

from __future__ import annotations

import random
from collections.abc import Callable
from dataclasses import dataclass


@dataclass(frozen=True)
class Input:
    """One broken input: its bytes, the name that it goes by, and what was done to it."""

    content: bytes
    name: str
    changes: tuple[str, ...]


@dataclass(frozen=True)
class Kind:
    """A kind of input. ``take`` gives what came of it in a word or two, and raises whatever should not be."""

    name: str
    make: Callable[[random.Random], Input]
    take: Callable[[Input], str]
    warm: Callable[[], object]
    """Loads what all inputs share, once."""


def input_of(kind: Kind, seed: int, number: int) -> Input:
    """The input of this number: the same one each time."""
    return kind.make(random.Random(f"{kind.name}/{seed}/{number}"))
