"""The datatypes of sizes as the shipped vocabulary has them: which sizes one cell has, and the base unit of each."""

from __future__ import annotations

from knockon.graph.triples.statements import RDFS, SH, VOCAB, Statements

WORD = "code"
"""In place of a base unit: a word, which is compared and never added up."""
Sizes = dict[str, str]
"""Base units by the name of a component; of the size itself where there are none: by a blank."""


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
