"""Cautions, read from Turtle: sentences of warning that answers about layouts with certain part types show."""

# Types stand here as types, not as texts: a prepared copy would evaluate each text whenever it is opened.
from functools import cache

import msgspec

from knockon.graph.files.shipped import shipped
from knockon.graph.triples.statements import RDFS, SH, SKOS, VOCAB, Statements


class Caution(msgspec.Struct, frozen=True):
    """One sentence or a few: where it stands among the others, and the part types (by label) that bring it;
    ``in_short``: one sentence instead, where there is no room for more."""

    order: int
    text: str
    part_types: tuple[str, ...]
    in_short: str = ""


def cautions(graph: Statements) -> tuple[Caution, ...]:
    """Every caution of these statements, in its order."""
    found = (
        Caution(
            order=int(graph.number(node, SH + "order") or 0),
            text=graph.text(node, RDFS + "comment"),
            part_types=tuple(
                sorted(graph.text(o, SKOS + "prefLabel") for o in graph.objects(node, VOCAB + "partType"))
            ),
            in_short=graph.text(node, VOCAB + "inShort"),
        )
        for node in graph.subjects(VOCAB + "Caution")
    )
    return tuple(sorted(found, key=lambda c: (c.order, c.text)))


@cache
def shipped_cautions() -> tuple[Caution, ...]:
    """The cautions that are shipped, for answers without records; their part types have no labels here."""
    graph = Statements()
    name = "cautions.ttl"
    graph.read(shipped("graph", "vocabulary", name).read_bytes(), name)
    return cautions(graph)
