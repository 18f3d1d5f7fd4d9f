"""What is worked out of a catalogue once, and forgotten with it."""

from __future__ import annotations

import weakref
from collections.abc import Callable
from functools import wraps
from typing import TypeVar

from knockon.graph.model.catalogue import Catalogue

Made = TypeVar("Made")


def per_catalogue(*fields: str) -> Callable[[Callable[[Catalogue], Made]], Callable[[Catalogue], Made]]:
    """Remember what a function makes of these fields of a catalogue, for as long as the catalogue lives.

    A catalogue on trial, which shares the fields with the one that it was made of, shares what was made of them. What
    is made must not hold the catalogue itself, or neither is ever forgotten.
    """

    def remembering(make: Callable[[Catalogue], Made]) -> Callable[[Catalogue], Made]:
        made: dict[tuple[int, ...], tuple[Made, tuple[object, ...], weakref.ref[Catalogue]]] = {}

        @wraps(make)
        def remembered(catalogue: Catalogue) -> Made:
            read = tuple(getattr(catalogue, name) for name in fields)
            key = tuple(map(id, read))  # no other object has such an id while the entry holds these
            entry = made.get(key)
            if entry is None:
                entry = (make(catalogue), read, weakref.ref(catalogue, lambda _: made.pop(key, None) and None))
                made[key] = entry
            return entry[0]

        return remembered

    return remembering
