"""The words of a column's title: what it says, whatever the order and the signs between them."""

from __future__ import annotations

import re
from functools import lru_cache

_FILLING = frozenset({"the", "of", "a", "on", "at", "for", "no"})
"""Words that say nothing of a size: 'no' stands for number."""
_OWNING = re.compile(r"['’]s\b", re.IGNORECASE)
_JOINED = re.compile(r"(?<=[a-z])(?=[A-Z][a-z])")
"""Where a word begins in `StubSplineTeeth`."""


@lru_cache(maxsize=65536)
def words_of_title(text: str) -> tuple[str, ...]:
    """The words of a title in their order, as often as they stand there, in lower case."""
    plain = _OWNING.sub("", _JOINED.sub(" ", text)).casefold().replace("_", " ").replace("⌀", "ø")
    return tuple(w for w in re.split(r"[^\w]+", plain) if w)


def telling_words(text: str) -> tuple[str, ...]:
    """The words of a title without those that only join them; all of them where there is nothing else."""
    words = words_of_title(text)
    return tuple(w for w in words if w not in _FILLING) or words
