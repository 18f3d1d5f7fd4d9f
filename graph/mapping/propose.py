"""A proposal of which columns are which, by likeness of names. It is shown, and never applied unasked."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from functools import lru_cache

import msgspec
from msgspec.structs import replace
from rapidfuzz import fuzz

from knockon.graph.files.shipped import shipped
from knockon.graph.mapping.model import ColumnMap, Mapping, Target
from knockon.graph.sheets import Head

ENOUGH = 70.0
"""Likeness, 0 to 100, from which a column is proposed."""
HOLDS, LESS = 96.0, 6.0
"""Likeness of a title that holds a column's name whole, and how much less it is for each word more."""


def _other_words() -> dict[str, tuple[str, ...]]:
    text = shipped("graph", "mapping", "column-words.csv").read_text(encoding="utf-8")
    found: dict[str, tuple[str, ...]] = {}
    for row in csv.DictReader(text.splitlines()):
        found[row["column"]] = (*found.get(row["column"], ()), *row["words"].split("; "))
    return found


OTHER_WORDS = _other_words()
"""Words that people write for a record column, in several languages: the trade's usual terms and abbreviations."""


class Proposal(msgspec.Struct, frozen=True):
    """A mapping to confirm, with how alike each column is (0 to 100), and what it lacks of the required columns."""

    mapping: Mapping
    likeness: tuple[float, ...]
    lacking: tuple[str, ...]
    sourceless: bool = False
    """Whether the table has a column of sources and nothing fills it."""

    @property
    def can_be_read(self) -> bool:
        """Whether rows can be read by it: some column is alike, and no required one is lacking."""
        return any(self.likeness) and not self.lacking


@lru_cache(maxsize=65536)
def _likeness(title: str, name: str, about: frozenset[str] = frozenset()) -> float:
    """How alike a title and a column's name are; ``about``: the words of what the table is of, which may be added."""
    said = " ".join(title.casefold().replace("_", " ").split())
    if not said:
        return 0.0
    known = (name, *OTHER_WORDS.get(name, ()))
    return max(max(fuzz.ratio(said, word), _holding(said, word, about)) - (0 if word == name else 1) for word in known)


def _holding(said: str, word: str, about: frozenset[str]) -> float:
    """``seal width`` holds ``width`` whole: alike, the more so where the table is of seals."""
    more = set(said.split()) - set(word.split())
    if not more or not set(word.split()) <= set(said.split()):
        return 0.0
    return HOLDS - LESS * len(more - about)


def propose(sheet: str, head: Head, target: Target, fixed: tuple[tuple[str, str], ...] = ()) -> Proposal:
    """The best one-to-one matching, greedy by likeness; columns that resemble nothing are passed over."""
    given = {name for name, _ in fixed}
    about = frozenset(target.shape.label.casefold().split())
    pairs = sorted(
        (
            (-_likeness(title, column.name, about), place, order, column.name)
            for place, title in enumerate(head.titles)
            for order, column in enumerate(target.columns)
            if column.name not in given
        ),
    )
    chosen: dict[int, tuple[str, float]] = {}
    for negative, place, _, name in pairs:
        if -negative >= ENOUGH and place not in chosen and name not in {n for n, _ in chosen.values()}:
            chosen[place] = (name, -negative)
    columns = tuple(
        ColumnMap(title, chosen.get(place, ("", 0.0))[0], unit)
        for place, (title, unit) in enumerate(zip(head.titles, head.units, strict=True))
    )
    filled = given | {c.name for c in columns}
    return Proposal(
        mapping=Mapping(sheet, target.table, columns, tuple(sorted(fixed))),
        likeness=tuple(chosen.get(place, ("", 0.0))[1] for place in range(len(columns))),
        lacking=tuple(n for n in target.required if n not in filled),
        sourceless=any(c.name == "source" for c in target.columns) and "source" not in filled,
    )


def best_target(sheet: str, head: Head, known: dict[str, Target], fixed: tuple[tuple[str, str], ...]) -> Proposal:
    """The proposal that leads to the table whose columns are most alike; nothing lacking comes first."""
    found = [propose(sheet, head, t, fixed) for t in known.values()]
    return max(found, key=lambda p: (sum(1 for x in p.likeness if x), -len(p.lacking), sum(p.likeness)))


def said_where_it_can_be(found: Sequence[Proposal], known: dict[str, Target]) -> tuple[Proposal, ...]:
    """What is said of every row, left to the tables that have such a column, if any has: a file may hold several."""
    columns = [{c.name for c in known[p.mapping.table].columns} for p in found]
    somewhere = set().union(*columns)
    fixed = [
        tuple(f for f in p.mapping.fixed if f[0] in own or f[0] not in somewhere)
        for p, own in zip(found, columns, strict=True)
    ]
    return tuple(replace(p, mapping=replace(p.mapping, fixed=f)) for p, f in zip(found, fixed, strict=True))
