"""The datatypes of sizes as the shipped vocabulary has them: their names, the sizes of one cell, their base units."""

from __future__ import annotations

import re

import pyoxigraph as ox

from knockon.graph.triples.statements import RDFS, SH, VOCAB, Statements, local_name

WORD = "code"
"""In place of a base unit: a word, which is compared and never added up."""
_WORD_BEGINS = re.compile(r"(?<=[a-z])(?=[A-Z])")
Sizes = dict[str, str]
"""Base units by the name of a component; of the size itself where there are none: by a blank."""


def datatype_name(iri: str) -> str:
    """What cells call a datatype: ``spline pitch`` of kn:splinePitch; another vocabulary's name as it stands."""
    name = local_name(iri)
    return _WORD_BEGINS.sub(" ", name).lower() if iri.startswith(VOCAB) else name


def cell_literal(datatype: str, written: str) -> ox.Literal:
    """A cell as it was written, of a datatype of ours by its name."""
    first, *rest = datatype.split(" ")
    return ox.Literal(written, datatype=ox.NamedNode(VOCAB + first + "".join(word.capitalize() for word in rest)))


def datatypes_of(graph: Statements) -> dict[str, Sizes]:
    """The sizes of each datatype, by its IRI."""
    nodes = {str(node.value): node for node in graph.subjects(RDFS + "Datatype")}
    plain = {iri: graph.text(node, VOCAB + "baseUnit") or WORD for iri, node in nodes.items()}
    found: dict[str, Sizes] = {}
    for iri, node in nodes.items():
        parts = graph.objects(node, VOCAB + "component")
        named = {graph.text(p, SH + "name"): graph.text(p, SH + "datatype") for p in parts}
        found[iri] = {name: plain[datatype] for name, datatype in named.items()} or {"": plain[iri]}
    return found
