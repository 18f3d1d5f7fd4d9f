"""The part numbers that are known, prepared for finding one however it is written."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Mapping

_LOOKALIKES = str.maketrans("OQILSBZ", "0011582")
"""Letters that are typed for figures."""

_MOST_OFFERED = 8
_HANDS = {"L": "left", "R": "right"}
_NOISE = frozenset({"same", "as", "the", "one", "see", "for", "a", "an", "of", "from", "on", "and"})


class PartIndex:
    """The known part numbers and their names, prepared once for the reading of many cells.

    `names` maps each part number to the part's name, which may be empty. Look-ups cost the length
    of the text; the close matches of an unknown number cost one pass over all numbers.
    """

    def __init__(self, names: Mapping[str, str]) -> None:
        self.names = dict(names)
        self._by_key: dict[str, list[str]] = defaultdict(list)
        self._by_shape: dict[str, list[str]] = defaultdict(list)
        self._by_stem: dict[str, list[str]] = defaultdict(list)
        self._by_word: dict[str, list[str]] = defaultdict(list)
        for number in sorted(self.names):
            self._by_key[_key(number)].append(number)
            self._by_shape[_shape(number)].append(number)
            if number[-1:].upper() in ("L", "R"):
                self._by_stem[_key(number[:-1])].append(number)
            for word in set(_words(self.names[number])):
                self._by_word[word].append(number)

    def spelled(self, text: str) -> tuple[str, ...]:
        """Known numbers that differ from `text` in case, blanks and signs only."""
        return tuple(self._by_key.get(_key(text), ()))

    def handed(self, text: str) -> tuple[str, ...]:
        """Known numbers that are `text` with a hand behind it."""
        return tuple(self._by_stem.get(_key(text), ()))

    def contained(self, text: str) -> tuple[str, ...]:
        """Known numbers, with or without their hand, that stand in `text` among other words."""
        pieces = _PIECES.split(text.strip())
        found: dict[str, None] = {}
        for length in (3, 2, 1):
            for begin in range(len(pieces) - length + 1):
                key = _key("".join(pieces[begin : begin + length]))
                found |= dict.fromkeys((*self._by_key.get(key, ()), *self._by_stem.get(key, ())))
        return tuple(found)[:_MOST_OFFERED]

    def alike(self, text: str) -> tuple[str, ...]:
        """Known numbers that differ in letters typed for figures or lost zeros; else close ones."""
        same_shape = self._by_shape.get(_shape(text), [])
        return tuple(same_shape[:_MOST_OFFERED]) or self._close(text)

    def named(self, text: str) -> tuple[str, ...]:
        """Known numbers whose names share the most words with `text`."""
        found: dict[str, int] = defaultdict(int)
        for word in set(_words(text)) - _NOISE:
            for number in self._by_word.get(word, ()):
                found[number] += 1
        most = max(found.values(), default=0)
        return tuple(sorted(n for n, shared in found.items() if shared == most)[:_MOST_OFFERED])

    def of_hand(self, numbers: tuple[str, ...], hands: frozenset[str]) -> tuple[str, ...]:
        """The numbers, those of a pair replaced by the one of the hand that is said; of both where both may be."""
        found: dict[str, None] = {}
        for number in numbers:
            pair = self._by_stem.get(_key(number[:-1]), []) if number[-1:].upper() in ("L", "R") else []
            if not hands or not pair:
                found[number] = None
            else:
                found |= dict.fromkeys(n for n in pair if _HANDS[n[-1].upper()] in hands)
        return tuple(found)

    def _close(self, text: str) -> tuple[str, ...]:
        from rapidfuzz import process
        from rapidfuzz.distance import DamerauLevenshtein

        keys = process.extract(
            _key(text),
            list(self._by_key),
            scorer=DamerauLevenshtein.distance,
            score_cutoff=1,
            limit=_MOST_OFFERED,
        )
        return tuple(number for key, _, _ in keys for number in self._by_key[key])[:_MOST_OFFERED]


_PIECES = re.compile(r"[\s,;&+()]+")


def _key(text: str) -> str:
    """`text` without case, blanks and signs."""
    return "".join(c for c in text.upper() if c.isalnum())


def _shape(text: str) -> str:
    """The key with look-alike letters made figures and leading zeros of each figure group dropped."""
    figures = _key(text).translate(_LOOKALIKES)
    out: list[str] = []
    for character in figures:
        inside_number = bool(out) and out[-1].isdigit()
        if character == "0" and not inside_number:
            continue
        out.append(character)
    return "".join(out)


def _words(text: str) -> list[str]:
    return "".join(c if c.isalnum() else " " for c in text.casefold()).split()
