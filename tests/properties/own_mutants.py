"""One character changed in a club's Turtle: which mutants there are, and what each may change at all."""

from __future__ import annotations

import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import pyoxigraph as ox

from knockon.graph.triples.lines import Places, Token, tokens
from knockon.graph.triples.statements import DCTERMS, RDFS, SH, VOCAB, VocabularyError
from knockon.graph.triples.sums import parse_sum

ALPHABET = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789_-.:;,#/+*=<>()[]@^'\"\\ \n\u00e9"
"""What is written in place of a character: letters, digits, each mark of Turtle and of sums, a blank, an umlaut."""
HUMAN_TEXTS = frozenset(
    {RDFS + w for w in ("label", "comment")}
    | {SH + "description"}
    | {VOCAB + w for w in ("method", "saysNo", "saysTogether")}
    | {DCTERMS + w for w in ("source", "title")}
)
"""The properties whose literals only people read. A label that the tables name something by (a rule's) is among them,
but a slip in it is found, because then the tables name nothing; ``skos:prefLabel`` is no such text."""
SORTS = ("iri", "name", "text", "number", "tag")


@dataclass(frozen=True)
class Said:
    """A token and the property whose value it is, or stands in; blank of a subject, a property and a prefix."""

    token: Token
    predicate: str


@dataclass(frozen=True)
class Mutant:
    """A text with one character changed or left out in ``said``; ``new`` is what then stands there."""

    said: Said
    text: str
    new: str

    @property
    def shown(self) -> str:
        return f"line {self.said.token.line}: {self.said.token.text} -> {self.new!r}"

    @property
    def is_turtle(self) -> bool:
        """Whether it can be read at all: what cannot is one finding, for the whole file."""
        try:
            return bool(list(ox.parse(self.text.encode(), format=ox.RdfFormat.TURTLE)))
        except (SyntaxError, ValueError):
            return False

    @property
    def says_to_people(self) -> bool:
        """Whether only a text for people is another now, with no quote of it lost."""
        token = self.said.token
        return token.sort == "text" and self.said.predicate in HUMAN_TEXTS and self._one("text")

    @property
    def says_another_number(self) -> bool:
        """Whether a number became another number, or only factors and signs of a sum are others: a valid statement,
        and no check can know that it was not meant."""
        token = self.said.token
        if token.sort == "number":
            return self._one("number")
        if token.sort != "text" or not self._one("text"):
            return False
        if self.said.predicate == VOCAB + "value":
            return _sizes(token.text) == _sizes(self.new)
        return all(_is_number(text[1:-1]) for text in (token.text, self.new))

    def _one(self, sort: str) -> bool:
        found = list(tokens(self.new))
        return [t.sort for t in found] == [sort] and found[0].text == self.new


def _sizes(written: str) -> list[tuple[str, str]]:
    try:
        return [(t.role, t.dimension) for t in parse_sum(written.strip("\"'"))[0]]
    except VocabularyError:
        return [("", written)]


def _is_number(text: str) -> bool:
    try:
        return bool(float(text)) or True
    except ValueError:
        return False


def said_in(text: str) -> list[Said]:
    """Every name, address, literal and language of a Turtle text, with the property that it is said by."""
    statements = Places.of("", text).statements
    found = {s.token.start: s for statement in statements for s in _by_property(statement)}
    return [found.get(t.start, Said(t, "")) for t in tokens(text) if t.sort in SORTS and t.text != "a"]


def _by_property(statement: Sequence[Token]) -> Iterator[Said]:
    property_: dict[int, str] = {}
    expected, outer = False, [0]
    for at, token in enumerate(statement):
        if token.sort == "mark":
            if token.text in ("[", "("):
                outer.append(token.group)
                property_[token.group] = property_.get(outer[-2], "") if token.text == "(" else ""
                expected = token.text == "["
            elif token.text in ("]", ")") and len(outer) > 1:
                outer.pop()
                expected = expected and token.text != "]"
            elif token.text == ";":
                expected = True
            continue
        if at == 0:
            expected = True
        elif expected and token.sort in ("iri", "name"):
            property_[token.group] = token.means
            expected = False
        else:
            yield Said(token, property_.get(token.group, ""))


def mutants_of(text: str, changes: int, seed: int) -> list[Mutant]:
    """For each token ``changes`` mutants with another character and one that lacks one, in the order of the text; the
    same ones each time."""
    dice = random.Random(seed)
    found: dict[str, Mutant] = {}
    for said in said_in(text):
        old, start = said.token.text, said.token.start
        for turn in range(changes + 1):
            at = dice.randrange(len(old))
            other = dice.choice([c for c in ALPHABET if c != old[at]]) if turn else ""
            new = old[:at] + other + old[at + 1 :]
            whole = text[:start] + new + text[start + len(old) :]
            found.setdefault(whole, Mutant(said, whole, new))
    return list(found.values())
