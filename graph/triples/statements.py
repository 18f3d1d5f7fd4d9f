"""Statements of Turtle files, by subject; and where a number, a word or a list stands among them."""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator
from typing import Any

import pyoxigraph as ox

VOCAB = "https://knockon.example/vocab#"
FORMULA = "https://knockon.example/formula#"
RDF = "http://www.w3.org/1999/02/22-rdf-syntax-ns#"
RDFS = "http://www.w3.org/2000/01/rdf-schema#"
SH = "http://www.w3.org/ns/shacl#"
SKOS = "http://www.w3.org/2004/02/skos/core#"
DCTERMS = "http://purl.org/dc/terms/"
XSD = "http://www.w3.org/2001/XMLSchema#"


class VocabularyError(ValueError):
    """A Turtle file of the vocabulary says something that cannot be used; the message names the node."""


class Statements:
    """Triples of the vocabulary, indexed by subject; blank nodes keep their file apart."""

    def __init__(self, triples: Iterable[ox.Triple | ox.Quad] = ()) -> None:
        self.by_subject: dict[Any, dict[str, list[Any]]] = defaultdict(lambda: defaultdict(list))
        for triple in triples:
            self.by_subject[triple.subject][triple.predicate.value].append(triple.object)

    def read(self, text: bytes, name: str) -> None:
        """Add the statements of one Turtle file; raises VocabularyError."""
        for triple in triples_of(text, name):
            self.by_subject[triple.subject][triple.predicate.value].append(triple.object)

    def subjects(self, type_iri: str) -> list[Any]:
        """All subjects of this type, in a fixed order."""
        found = [s for s, p in self.by_subject.items() if any(o.value == type_iri for o in p.get(RDF + "type", ()))]
        return sorted(found, key=lambda s: str(s.value))

    def text(self, subject: Any, predicate: str, default: str = "") -> str:
        """One value as text: in English, or without a language, where there is such a one."""
        found = self.by_subject[subject].get(predicate, ()) if subject in self.by_subject else ()
        ours = [o for o in found if is_english(o)]
        values = sorted(str(o.value) for o in ours or found)
        return values[0] if values else default

    def texts(self, subject: Any, predicate: str) -> list[str]:
        """All values as texts, sorted."""
        return sorted(str(o.value) for o in self.objects(subject, predicate))

    def objects(self, subject: Any, predicate: str) -> list[Any]:
        """All values as nodes."""
        return list(self.by_subject[subject].get(predicate, ())) if subject in self.by_subject else []

    def number(self, subject: Any, predicate: str) -> float | None:
        """One value as a finite number; raises VocabularyError."""
        text = self.text(subject, predicate)
        try:
            number = float(text) if text else None
        except ValueError as error:
            raise VocabularyError(f"{subject}: {predicate} is {text!r}, not a number") from error
        if number is not None and not math.isfinite(number):
            raise VocabularyError(f"{subject}: {predicate} is no finite number")
        return number

    def flag(self, subject: Any, predicate: str) -> bool:
        """Whether the value is yes."""
        return self.text(subject, predicate) in ("true", "1")

    def items(self, subject: Any, predicate: str) -> Iterator[str]:
        """The members of an RDF list."""
        nodes = self.objects(subject, predicate)
        node = nodes[0] if nodes else None
        seen = 0
        while node is not None and node.value != RDF + "nil" and seen < 10_000:
            yield self.text(node, RDF + "first")
            rest = self.objects(node, RDF + "rest")
            node = rest[0] if rest else None
            seen += 1


def triples_of(text: bytes, name: str) -> list[ox.Triple | ox.Quad]:
    """The statements of one Turtle file in the order in which they stand; raises VocabularyError."""
    try:
        return list(ox.parse(text, format=ox.RdfFormat.TURTLE, rename_blank_nodes=True))
    except (SyntaxError, ValueError, OSError) as error:
        raise VocabularyError(f"{name}: {error}") from error


def local_name(iri: str) -> str:
    """The part of an IRI after the last # or /."""
    return iri.replace("#", "/").rsplit("/", 1)[-1]


def is_english(node: Any) -> bool:
    """Whether a literal is in English, or in no language that it names."""
    return (getattr(node, "language", None) or "en").lower().partition("-")[0] == "en"
