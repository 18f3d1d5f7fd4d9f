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
from knockon.graph.mapping.titles import telling_words, words_of_title
from knockon.graph.model.catalogue import name_meant
from knockon.graph.model.nearest import word_key
from knockon.graph.sheets import Head

ENOUGH = 70.0
"""Likeness, 0 to 100, from which a column is proposed."""
SURE = 90.0
"""Likeness from which a title that has some words of several names is taken for the likeliest all the same."""
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
    could_be: tuple[tuple[str, tuple[str, ...]], ...] = ()
    """Titles that may lead to several columns, with these; none is taken."""

    @property
    def can_be_read(self) -> bool:
        """Whether rows can be read by it: some column is alike, and no required one is lacking."""
        return any(self.likeness) and not self.lacking


@lru_cache(maxsize=65536)
def _likeness(title: str, name: str, about: frozenset[str] = frozenset(), other: tuple[str, ...] = ()) -> float:
    """How alike a title and a column's name are, whatever the order of the words; ``about``: the words of what the
    table is of, which may be added; ``other``: what else the trade calls the column."""
    said = " ".join(title.casefold().replace("_", " ").split())
    if not said:
        return 0.0
    known = (name, *OTHER_WORDS.get(name, ()), *map(str.casefold, other))
    alike = (max(fuzz.ratio(said, word), _turned(title, word), _holding(title, word, about)) for word in known)
    return max(one - (0 if word == name else 1) for one, word in zip(alike, known, strict=True))


def _turned(title: str, word: str) -> float:
    """``diameter, major``: alike when both are put in one order."""
    said, known = sorted(telling_words(title)), sorted(telling_words(word))
    return fuzz.ratio(" ".join(said), " ".join(known)) if len(said) > 1 and len(known) > 1 else 0.0


def _holding(title: str, word: str, about: frozenset[str]) -> float:
    """``seal width`` holds ``width`` whole: alike, the more so where the table is of seals."""
    said, known = {*telling_words(title)}, {*telling_words(word)}
    more = said - known
    if not more or not known or not known <= said:
        return 0.0
    return HOLDS - LESS * len(more - about)


def propose(sheet: str, head: Head, target: Target, fixed: tuple[tuple[str, str], ...] = ()) -> Proposal:
    """The best one-to-one matching, greedy by likeness; columns that resemble nothing are passed over."""
    given = {name for name, _ in fixed}
    about = frozenset(w for words in _words_of(target) for w in words_of_title(words))
    pairs = sorted(
        (
            (-_likeness(title, column.name, about, column.other), place, order, column.name)
            for place, title in enumerate(head.titles)
            for order, column in enumerate(target.columns)
            if column.name not in given
        ),
    )
    chosen: dict[int, tuple[str, float]] = {}
    could: dict[int, tuple[str, ...]] = {}
    for negative, place, _, name in pairs:
        taken = {n for n, _ in chosen.values()}
        if -negative < ENOUGH or place in chosen or place in could or name in taken:
            continue
        equal = [n for other, at, _, n in pairs if (other, at) == (negative, place)]
        short = _said_short(head.titles[place], target) if -negative < SURE else []
        alike = tuple(n for n in dict.fromkeys((*equal, *short)) if n not in taken)
        if len(alike) > 1:
            could[place] = alike
        else:
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
        could_be=tuple((head.titles[place], options) for place, options in sorted(could.items())),
    )


def _said_short(title: str, target: Target) -> list[str]:
    """The columns of whose name a title has some words: ``diameter`` may be the major or the minor one."""
    said = {*telling_words(title)}
    found = [c.name for c in target.columns if said < {*telling_words(c.name)}]
    return found if len(found) > 1 else []


def best_target(sheet: str, head: Head, known: dict[str, Target], fixed: tuple[tuple[str, str], ...]) -> Proposal:
    """The proposal that leads to the table whose columns are most alike; nothing lacking comes first."""
    found = [propose(sheet, head, t, fixed) for t in known.values()]
    said = {word_key(sheet), *(word_key(value) for name, value in fixed if name == "feature")} - {""}

    def named(proposal: Proposal) -> bool:
        """Whether the sheet, or the feature of all its rows, is called as the trade calls what the table is of."""
        return any(word_key(word) in said for word in _words_of(known[proposal.mapping.table]))

    return max(found, key=lambda p: (sum(1 for x in p.likeness if x), -len(p.lacking), named(p), sum(p.likeness)))


def table_meant(said: str, known: dict[str, Target]) -> str:
    """The table that is meant: by its name, with or without its folder, by what it is of, or by what the trade calls
    that. Raises UnknownNameError, SeveralReadingsError."""
    others = {name: (name.rpartition("/")[2], *_words_of(target)) for name, target in known.items()}
    return name_meant("record table", said, known, others)


def _words_of(target: Target) -> tuple[str, ...]:
    """What the rows of a table are called: their label, and what else the trade calls that."""
    return (target.shape.label, *target.shape.other)


def said_where_it_can_be(found: Sequence[Proposal], known: dict[str, Target]) -> tuple[Proposal, ...]:
    """What is said of every row, left to the tables that have such a column, if any has: a file may hold several."""
    columns = [{c.name for c in known[p.mapping.table].columns} for p in found]
    somewhere = set().union(*columns)
    fixed = [
        tuple(f for f in p.mapping.fixed if f[0] in own or f[0] not in somewhere)
        for p, own in zip(found, columns, strict=True)
    ]
    return tuple(replace(p, mapping=replace(p.mapping, fixed=f)) for p, f in zip(found, fixed, strict=True))
