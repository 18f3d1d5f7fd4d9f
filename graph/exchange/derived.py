"""Sizes as numbers, for queries: what the catalogue computes with, as statements of a graph of their own.

Records keep a size as it was written ("1 1/16 in"); a query that compares needs numbers. Each stated size of each
thing (with those of the drawing that it shares) becomes a kn:Size with its bounds in the base unit (mm, degrees, kPa or
a bare number), what was written, the source and its standing.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import msgspec
import pyoxigraph as ox

from knockon.graph.judge.beliefs import computing
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.names import ID, iri
from knockon.graph.model.schema import RDF, VOCAB, own_files, vocabulary_files
from knockon.graph.model.things import STANDINGS, Statement
from knockon.graph.rdf.canonical import XSD

DERIVED = ox.NamedNode(ID + "graph/derived")


def thing_node(catalogue: Catalogue, thing: str) -> ox.NamedNode:
    """The IRI of a part, an item or a set's member."""
    table = "parts" if thing in catalogue.parts else "items" if thing in catalogue.items else "set_members"
    return ox.NamedNode(iri(table, thing))


def sizes_as_numbers(catalogue: Catalogue) -> Iterator[ox.Quad]:
    """The derived graph of a catalogue."""
    for thing, features in catalogue.features.items():
        node = thing_node(catalogue, thing)
        for feature in features.values():
            kind = catalogue.vocabulary.kinds[feature.kind]
            for dimension, statements in feature.dimensions.items():
                best, unit = computing(statements), catalogue.vocabulary.shown_unit(kind, dimension)
                of = _Of(node, feature.name, kind.label, dimension, unit)
                for number, statement in enumerate(statements):
                    size = ox.NamedNode(iri("sizes", thing, feature.name, dimension, str(number)))
                    yield from _size(size, of, statement, statement in best)


class _Of(msgspec.Struct, frozen=True):
    """What a size is of: a dimension of a feature of a thing, in its unit."""

    thing: ox.NamedNode
    feature: str
    kind: str
    dimension: str
    unit: str


def _size(size: ox.NamedNode, of: _Of, stated: Statement, computes: bool) -> Iterator[ox.Quad]:
    def say(name: str, value: ox.NamedNode | ox.Literal) -> ox.Quad:
        return ox.Quad(size, ox.NamedNode(VOCAB + name), value, DERIVED)

    yield ox.Quad(size, ox.NamedNode(RDF + "type"), ox.NamedNode(VOCAB + "Size"), DERIVED)
    yield say("sizeOf", of.thing)
    texts = {"feature": of.feature, "kind": of.kind, "dimension": of.dimension, "written": stated.written}
    texts |= {
        "unit": of.unit,
        "code": stated.code or "",
        "standing": STANDINGS[stated.rank - 1],
    }
    for name, text in texts.items():
        if text:
            yield say(name, ox.Literal(text))
    for name, number in (("low", stated.low), ("high", stated.high)):
        if number is not None:
            yield say(name, ox.Literal(repr(float(number)), datatype=ox.NamedNode(XSD + "double")))
    if stated.source:
        yield say("source", ox.NamedNode(iri("sources", stated.source)))
    flags = {
        "unknown": stated.unknown,
        "nominal": stated.nominal,
        "computes": computes,
    }
    for name, flag in flags.items():
        yield say(name, ox.Literal("true" if flag else "false", datatype=ox.NamedNode(XSD + "boolean")))


def vocabulary_quads(folder: Path | None = None) -> Iterator[ox.Quad]:
    """The vocabulary (kinds, rules, part types, shapes) as statements of a graph of its own."""
    graph = ox.NamedNode(ID + "graph/vocabulary")
    for _, text in vocabulary_files():
        for quad in ox.parse(text, format=ox.RdfFormat.TURTLE, rename_blank_nodes=True):
            yield ox.Quad(quad.subject, quad.predicate, quad.object, graph)
    own = tuple(own_files(folder))
    if own:
        from knockon.graph.rulebook.own import usable_triples  # brings the shapes, which only a club's own Turtle needs

        for triple in usable_triples(own):
            yield ox.Quad(triple.subject, triple.predicate, triple.object, graph)
