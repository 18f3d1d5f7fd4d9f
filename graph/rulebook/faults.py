"""A fault in a club's Turtle, and the Turtle that it is looked for in: whose statement is whose."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from typing import Any

import msgspec
import pyoxigraph as ox

from knockon.graph.triples.datatypes import Sizes, datatypes_of
from knockon.graph.triples.statements import DCTERMS, FORMULA, RDF, RDFS, SH, SKOS, VOCAB, XSD, Statements

PREFIXES = {
    "kn": VOCAB,
    "formula": FORMULA,
    "rdf": RDF,
    "rdfs": RDFS,
    "sh": SH,
    "skos": SKOS,
    "dcterms": DCTERMS,
    "xsd": XSD,
}
Node = Any  # pyoxigraph's nodes: NamedNode, BlankNode, Literal


class Fault(msgspec.Struct, frozen=True):
    """One thing wrong with what is said of ``root``: of its ``predicate``, of a ``value`` of that, in the dimension
    whose property is ``path``. ``out``: what is said of ``root`` is left out for it."""

    root: Node
    problem: str
    expected: str = ""
    predicate: str = ""
    value: Node = None
    path: str = ""
    known: tuple[str, ...] = ()
    out: bool = True


class Book(msgspec.Struct, frozen=True):
    """What is shipped and what a club says (``own``), and both together."""

    shipped: Statements
    own: Statements
    every: Statements
    owners: dict[Node, tuple[Node, ...]] = msgspec.field(default_factory=dict)
    datatypes: dict[str, Sizes] = msgspec.field(default_factory=dict)
    """The sizes of each datatype. No club can add one: the readers of cells would not know it."""

    @classmethod
    def of(cls, shipped: Statements, triples: Iterable[ox.Triple | ox.Quad]) -> Book:
        """The book of a club's statements; those about what is shipped already are no part of it."""
        own = Statements(t for t in triples if t.subject not in shipped.by_subject)
        every = Statements()
        every.by_subject.update(shipped.by_subject)
        every.by_subject.update(own.by_subject)
        return cls(shipped, own, every, owners_of(own), datatypes_of(shipped))

    @property
    def roots(self) -> list[Node]:
        """What a club's statements are about: no part of another."""
        return [s for s in self.own.by_subject if s not in self.owners]

    def roots_of(self, node: Node) -> tuple[Node, ...]:
        """The things that a node is a part of, or itself."""
        return self.owners.get(node, (node,))

    def own_of(self, type_iri: str) -> list[Node]:
        """The club's things of this type."""
        return self.own.subjects(type_iri)


def owners_of(own: Statements) -> dict[Node, tuple[Node, ...]]:
    """For each blank node that something names, and each property shape: the things that it is a part of."""
    above: dict[Node, list[Node]] = defaultdict(list)
    for subject, said in own.by_subject.items():
        for predicate, objects in said.items():
            for node in objects:
                part = isinstance(node, ox.BlankNode) or (predicate == SH + "property" and node in own.by_subject)
                if part and node != subject:
                    above[node].append(subject)
    return {node: tuple(_tops(node, above)) for node in above}


def _tops(node: Node, above: dict[Node, list[Node]]) -> Iterator[Node]:
    way = [node]
    for one in way:  # grows while it is walked: everything above, each once
        way += [a for a in above.get(one, ()) if a not in way]
    tops = [one for one in way if one not in above]
    yield from tops or way[:1]


def short(node: Node) -> str:
    """A node as a finding shows it."""
    text = str(getattr(node, "value", node))
    if isinstance(node, ox.Literal | ox.BlankNode):
        return text
    for prefix, space in PREFIXES.items():
        if text.startswith(space):
            return f"{prefix}:{text.removeprefix(space)}"
    return text
