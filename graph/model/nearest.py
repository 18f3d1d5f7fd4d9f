"""Names most like a name that nothing has: by what the trade calls it, in print, then by spelling."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from functools import cache

from knockon.graph.files.shipped import shipped
from knockon.graph.triples.statements import SKOS, Statements

LOOKALIKES = str.maketrans("oqil", "0011")
"""Letters that are typed for figures in a part number."""
Others = Mapping[str, Iterable[str]]
"""Names, each with what else it is called."""
LIKE_A_NAME, LIKE_ANOTHER_WORD = 60, 82
"""How alike, of 100, a spelling must be to a name, and to another word for it: of those there are many."""


def nearest(text: str, known: Iterable[str], most: int = 3, others: Others | None = None) -> tuple[str, ...]:
    """The known names nearest to what was written, best first: what the trade's word means, what looks the same in
    print, then what is spelt alike, be it the name or another word for it. ``others``: of the known names; without
    them, those of the part types that are shipped."""
    from rapidfuzz import fuzz, process, utils  # only a mistake pays for it

    names = sorted(known)
    words = trade_words() if others is None else others
    meant = meanings(text, words)
    found = [name for label in meant for name in names if _fold(name) == _fold(label)]
    found += [name for name in names if _in_print(name) == _in_print(text) and any(c.isdigit() for c in name)]
    if not found:  # a position of such parts may have more words: brake hose, rear hose
        found = [name for label in meant for name in names if _fold(label) in _fold(name)]
    if meant and found:
        return tuple(dict.fromkeys(found))[:most]
    plain = utils.default_process
    likely = [(score, name) for name, score, _ in process.extract(
        text, names, scorer=fuzz.WRatio, processor=plain, limit=most, score_cutoff=LIKE_A_NAME)]  # fmt: skip
    known_labels = {_fold(name): name for name in reversed(names)}
    called = [(w, known_labels[_fold(n)]) for n, own in words.items() if _fold(n) in known_labels for w in own]
    for _, score, at in process.extract(
        text, [w for w, _ in called], scorer=fuzz.ratio, processor=plain, limit=most, score_cutoff=LIKE_ANOTHER_WORD
    ):
        likely.append((score, called[at][1]))
    likely.sort(key=lambda found: -found[0])
    return tuple(dict.fromkeys((*found, *(name for _, name in likely))))[:most]


def meanings(text: str, others: Others) -> tuple[str, ...]:
    """The name that is this but for blanks, hyphens and a plural's s, else those that are also called this: of several
    (``CV joint``) those in the front or outer place first, since they are asked for more often."""
    asked = word_key(text)
    itself = tuple(name for name in others if asked and word_key(name) == asked)
    if itself:
        return itself
    found = (name for name, words in others.items() if asked and any(word_key(w) == asked for w in words))
    return tuple(sorted(dict.fromkeys(found), key=_outer_first))


def in_own_words(text: str, others: Others) -> Iterator[str]:
    """A name of several words with one of them said as the records say it: ``brake disc on flange`` as ``rotor on
    flange``."""
    words = text.split()
    keys: dict[str, list[str]] = {}
    for name, own in others.items():
        for word in own:
            keys.setdefault(word_key(word), []).append(name)
    for length in range(len(words) - 1, 0, -1):
        for start in range(len(words) - length + 1):
            for name in keys.get(word_key(" ".join(words[start : start + length])), ()):
                yield " ".join((*words[:start], name, *words[start + length :]))


def word_key(text: str) -> str:
    """A word without case, blanks, hyphens and the s of a plural."""
    plain = "".join(c for c in text.casefold() if c.isalnum())
    return plain.removesuffix("s") if len(plain) > 3 else plain


@cache
def trade_words() -> Others:
    """The part types that are shipped, each with what else the trade calls it (``skos:altLabel``)."""
    graph = Statements()
    for name in ("part-types.ttl", "trade-words.ttl"):
        graph.read(shipped("graph", "vocabulary", name).read_bytes(), name)
    concepts = graph.subjects(SKOS + "Concept")
    return {graph.text(c, SKOS + "prefLabel"): tuple(graph.texts(c, SKOS + "altLabel")) for c in concepts}


def _outer_first(label: str) -> tuple[bool, str]:
    return not label.startswith(("outer", "front")), label


def _fold(text: str) -> str:
    return re.sub(r"[\s_-]+", " ", text.strip().casefold())


def _in_print(text: str) -> str:
    return "".join(c for c in text.casefold().translate(LOOKALIKES) if c.isalnum())
