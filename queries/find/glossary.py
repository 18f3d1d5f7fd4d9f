"""The words that answers, tables and documents use, each with what it means: ``graph/vocabulary/glossary.csv``."""

from __future__ import annotations

import csv

import msgspec

from knockon.graph.files.shipped import shipped
from knockon.graph.model.catalogue import UnknownNameError
from knockon.graph.model.nearest import nearest


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


class WordsAnswer(msgspec.Struct, frozen=True):
    """The words, in the order of their sections."""

    words: tuple[Word, ...]


def glossary() -> tuple[Word, ...]:
    """Every word, in order."""
    text = shipped("graph", "vocabulary", "glossary.csv").read_text(encoding="utf-8")
    return tuple(Word(*row) for row in list(csv.reader(text.splitlines()))[1:])


def words(asked: str = "") -> WordsAnswer:
    """All words, or those that have the one that is asked in them. Raises UnknownNameError."""
    every = glossary()
    if not asked:
        return WordsAnswer(every)
    folded = asked.casefold()
    found = tuple(w for w in every if folded in (w.word.casefold(), *map(str.casefold, w.codes)))
    found = found or tuple(w for w in every if folded in w.word.casefold())
    if not found:
        names = [w.word for w in every]
        raise UnknownNameError("word", asked, nearest(asked, names))
    return WordsAnswer(found)
