"""``knockon words``: what the words of answers mean."""

from __future__ import annotations

from collections.abc import Sequence

import click

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.schema import read_vocabulary, vocabulary_files
from knockon.queries.find.glossary import words as words_of
from knockon.queries.ui.asking import Settings, answering, deliver, load, mistakes_told
from knockon.queries.ui.sentences.help import find as say
from knockon.queries.ui.terminal.blocks import Block
from knockon.queries.ui.texts.find.words import words_text


@click.command(help=say.WORDS)
@click.argument("word", metavar="[WORD]", required=False, default="")
@answering
def words(settings: Settings, word: str) -> int:
    """What the words of answers mean."""
    with mistakes_told():
        if word and (settings.records or settings.server):
            catalogue = load(settings).catalogue
            answer = words_of(word, catalogue.vocabulary, catalogue.layouts)
        else:
            answer = words_of(word, read_vocabulary(vocabulary_files()) if word else None)

    def text(_: Catalogue) -> Sequence[Block]:
        return words_text(answer)

    return deliver(settings, "words", answer, True, text)
