"""The glossary as text, and as the page ``docs/words.md``."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from knockon.queries.find.glossary import Word, WordsAnswer
from knockon.queries.ui.sentences import find as say
from knockon.queries.ui.terminal.blocks import Block, Grid, Heading, Para


def words_text(answer: WordsAnswer) -> Sequence[Block]:
    """A table for each section; one word alone in two lines; then what the trade means by it."""
    blocks: list[Block] = []
    if len(answer.words) == 1:
        (word,) = answer.words
        blocks = [Para(f"{word.word}: {word.meaning}."), Para(say.WRITTEN.format(written=_plain(word)))]
    if answer.trade:
        rows = tuple((t.name, t.sort, ", ".join(t.others)) for t in answer.trade)
        blocks += [Heading(say.TRADE_WORDS), Grid(rows, (say.IN_RECORDS, say.WHAT_IT_IS, say.ALSO_SAID))]
    if len(answer.words) == 1:
        return blocks
    for section, words in _sections(answer.words):
        rows = tuple((w.word, w.meaning, _plain(w)) for w in words)
        blocks += [Heading(section), Grid(rows, (say.WORD, say.MEANING, say.IN_CELLS))]
    return blocks


def words_page(words: Sequence[Word]) -> str:
    """The page of words as Markdown."""
    lines = [say.WORDS_PAGE]
    for section, found in _sections(words):
        lines += [f"## {section}\n", f"| {say.WORD} | {say.MEANING} | {say.IN_CELLS} |", "| --- | --- | --- |"]
        lines += [f"| {w.word} | {w.meaning} | {w.written} |" for w in found]
        lines.append("")
    return "\n".join([*lines, say.WORDS_END]) + "\n"


def _plain(word: Word) -> str:
    return word.written.replace("`", "")


def _sections(words: Sequence[Word]) -> Iterator[tuple[str, tuple[Word, ...]]]:
    for section, found in groupby(words, lambda w: w.section):
        yield section, tuple(found)
