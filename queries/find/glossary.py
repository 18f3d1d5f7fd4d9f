"""The words that answers, tables and documents use, each with what it means (``graph/vocabulary/glossary.csv``); and
what the trade calls part types, kinds, dimensions and positions."""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping

import msgspec

from knockon.graph.files.shipped import shipped
from knockon.graph.model.catalogue import UnknownNameError
from knockon.graph.model.layouts.called import called
from knockon.graph.model.layouts.mechanism import Layout
from knockon.graph.model.layouts.ready_made import ready_made
from knockon.graph.model.nearest import nearest, word_key
from knockon.graph.model.schema import Vocabulary


class Word(msgspec.Struct, frozen=True):
    """One word: what it means, and how cells and JSON write it."""

    section: str
    word: str
    meaning: str
    written: str

    @property
    def codes(self) -> tuple[str, ...]:
        """The words of cells and JSON, without what stands around them."""
        return tuple(self.written.split("`")[1::2])


class TradeWord(msgspec.Struct, frozen=True):
    """What records call something, and what else the trade calls it; ``sort``: part type, position, kind of feature or
    dimension."""

    name: str
    sort: str
    others: tuple[str, ...]


class WordsAnswer(msgspec.Struct, frozen=True):
    """The words, in the order of their sections; ``trade``: what a word that was asked means in the trade."""

    words: tuple[Word, ...]
    trade: tuple[TradeWord, ...] = ()


def glossary() -> tuple[Word, ...]:
    """Every word, in order."""
    text = shipped("graph", "vocabulary", "glossary.csv").read_text(encoding="utf-8")
    return tuple(Word(*row) for row in list(csv.reader(text.splitlines()))[1:])


def words(
    asked: str = "", vocabulary: Vocabulary | None = None, layouts: Mapping[str, Layout] | None = None
) -> WordsAnswer:
    """All words, or those that have the one that is asked in them; with a vocabulary also what the trade means by it.

    Raises UnknownNameError.
    """
    every = glossary()
    if not asked:
        return WordsAnswer(every)
    folded = asked.casefold()
    found = tuple(w for w in every if folded in (w.word.casefold(), *map(str.casefold, w.codes)))
    trade = _trade(vocabulary, layouts or {}) if vocabulary else ()
    meant = tuple(t for t in trade if word_key(asked) in map(word_key, (t.name, *t.others)))
    found = found or (() if meant else tuple(w for w in every if folded in w.word.casefold()))
    if not found and not meant:
        others = {w.word: () for w in every} | {t.name: t.others for t in trade}
        raise UnknownNameError("word", asked, nearest(asked, others, others=others))
    return WordsAnswer(found, meant)


def _trade(vocabulary: Vocabulary, layouts: Mapping[str, Layout]) -> tuple[TradeWord, ...]:
    """What has a name of its own in records, in a fixed order."""
    found = [TradeWord(t, "part type", known.other) for t, known in sorted(vocabulary.part_types.items())]
    found += [TradeWord(p, "position", said) for p, said in sorted(_positions(vocabulary, layouts)) if said]
    found += [TradeWord(k.label, "kind of feature", k.other) for k in vocabulary.kinds.values()]
    dimensions = {(c.name, c.other) for k in vocabulary.kinds.values() for c in k.columns if c.other}
    return (*found, *(TradeWord(name, "dimension", said) for name, said in sorted(dimensions)))


def _positions(vocabulary: Vocabulary, layouts: Mapping[str, Layout]) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Positions that are no part type's name, each once, with what else they are called."""
    here = {p.position: p.also_called for layout in layouts.values() for p in layout.positions}
    for made in ready_made().values():
        for _, row in made.tables["positions"]:
            own = [w.strip() for w in row.get("also called", "").split(";") if w.strip()]
            here.setdefault(row["position"], called(row["position"], row["part type"], "", own, vocabulary))
    yield from ((name, said) for name, said in here.items() if name not in vocabulary.part_types)
