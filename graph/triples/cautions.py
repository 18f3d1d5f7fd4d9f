"""Cautions, read from Turtle: sentences of warning that answers about layouts with certain part types show."""

from __future__ import annotations

import msgspec

from knockon.graph.triples.statements import RDFS, SH, SKOS, VOCAB, Statements


class Caution(msgspec.Struct, frozen=True):
    """One sentence or a few: where it stands among the others, and the part types (by label) that call for it."""

    order: int
    text: str
    part_types: tuple[str, ...]


def cautions(graph: Statements) -> tuple[Caution, ...]:
    """Every caution of these statements, in its order."""
    found = (
        Caution(
            order=int(graph.number(node, SH + "order") or 0),
            text=graph.text(node, RDFS + "comment"),
            part_types=tuple(
                sorted(graph.text(o, SKOS + "prefLabel") for o in graph.objects(node, VOCAB + "partType"))
            ),
        )
        for node in graph.subjects(VOCAB + "Caution")
    )
    return tuple(sorted(found, key=lambda c: (c.order, c.text)))
