"""Usual checks, read from Turtle: what people look at where certain part types meet."""

# Types stand here as types, not as texts: a prepared copy would evaluate each text whenever it is opened.
from collections.abc import Iterator
from typing import Any

import msgspec

from knockon.graph.triples.statements import DCTERMS, RDFS, SH, SKOS, VOCAB, Statements


class UsualCheck(msgspec.Struct, frozen=True):
    """A joint or a chain of sizes that is usual, all by label.

    Of a joint: the ``rules`` that may judge it, each a part type ``first`` and ``other`` (of several any). Of a chain:
    its name, the part types that it runs ``through`` and the ``dimensions`` that it takes there. ``why`` is one
    sentence; ``source`` and ``standing`` say where it comes from.
    """

    label: str
    order: int
    why: str
    source: str
    standing: str
    rules: tuple[str, ...] = ()
    first: tuple[str, ...] = ()
    other: tuple[str, ...] = ()
    chain: str = ""
    through: tuple[str, ...] = ()
    dimensions: tuple[str, ...] = ()


def usual_checks(graph: Statements) -> tuple[UsualCheck, ...]:
    """Every usual check of these statements, in its order."""
    found = (_check(graph, node) for node in graph.subjects(VOCAB + "UsualCheck"))
    return tuple(sorted(found, key=lambda c: (c.order, c.label)))


def _check(graph: Statements, node: Any) -> UsualCheck:
    def labels(predicate: str, label: str) -> Iterator[str]:
        yield from sorted(graph.text(o, label) for o in graph.objects(node, VOCAB + predicate))

    return UsualCheck(
        label=graph.text(node, RDFS + "label"),
        order=int(graph.number(node, SH + "order") or 0),
        why=graph.text(node, VOCAB + "why"),
        source=graph.text(node, DCTERMS + "source"),
        standing=graph.text(node, VOCAB + "standing"),
        rules=tuple(labels("judgedBy", RDFS + "label")),
        first=tuple(labels("partType", SKOS + "prefLabel")),
        other=tuple(labels("otherPartType", SKOS + "prefLabel")),
        chain=graph.text(node, VOCAB + "chain"),
        through=tuple(labels("through", SKOS + "prefLabel")),
        dimensions=tuple(graph.texts(node, VOCAB + "dimension")),
    )
