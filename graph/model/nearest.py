"""Names most like a name that nothing has: by letters, by figures typed as letters, by what the trade calls it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from functools import cache

from knockon.graph.files.shipped import shipped
from knockon.graph.triples.statements import SKOS, Statements

LOOKALIKES = str.maketrans("oqil", "0011")
"""Letters that are typed for figures in a part number."""


def nearest(text: str, known: Iterable[str], most: int = 3) -> tuple[str, ...]:
    """The known names nearest to what was written, best first: what the trade's word means, what looks the same in
    print, then what is spelt alike."""
    from rapidfuzz import fuzz, process, utils  # only a mistake pays for it

    names = sorted(known)
    meant = meant_by(text)
    found = [name for label in meant for name in names if _fold(name) == label]
    found += [name for name in names if _in_print(name) == _in_print(text) and any(c.isdigit() for c in name)]
    if not found:  # a position of such parts may have more words: brake hose, rear hose
        found = [name for label in meant for name in names if label in _fold(name)]
    spelt = process.extract(text, names, scorer=fuzz.WRatio, processor=utils.default_process, limit=most,
                            score_cutoff=60)  # fmt: skip
    likely = () if meant and found else (name for name, _, _ in spelt)
    return tuple(dict.fromkeys((*found, *likely)))[:most]


def meant_by(text: str) -> tuple[str, ...]:
    """The part types that the trade also calls this, folded; of one or several (``CV joint``, ``wheel bearings``)."""
    words, asked = trade_words(), _fold(text)
    return words.get(asked) or words.get(asked.removesuffix("s"), ())


@cache
def trade_words() -> Mapping[str, tuple[str, ...]]:
    """The labels of part types by each other name (``skos:altLabel``) that the shipped vocabulary gives them, both
    folded."""
    graph = Statements()
    name = "part-types.ttl"
    graph.read(shipped("graph", "vocabulary", name).read_bytes(), name)
    found: dict[str, list[str]] = {}
    for concept in graph.subjects(SKOS + "Concept"):
        for other in graph.texts(concept, SKOS + "altLabel"):
            found.setdefault(_fold(other), []).append(_fold(graph.text(concept, SKOS + "prefLabel")))
    return {other: tuple(sorted(labels, key=_outer_first)) for other, labels in found.items()}


def _outer_first(label: str) -> tuple[bool, str]:
    """Of two that share a name, the one in the front or outer place is asked for more often."""
    return not label.startswith(("outer", "front")), label


def _fold(text: str) -> str:
    return re.sub(r"[\s_-]+", " ", text.strip().casefold())


def _in_print(text: str) -> str:
    return "".join(c for c in text.casefold().translate(LOOKALIKES) if c.isalnum())
