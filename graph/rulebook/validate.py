"""Checking a graph against the shapes: SHACL on a copy in memory, findings in the same form as those of rows."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import TYPE_CHECKING
from urllib.parse import unquote

import msgspec
import pyoxigraph as ox

from knockon.graph.model.findings import Finding
from knockon.graph.model.names import ID
from knockon.graph.model.schema import RDF, VOCAB, own_files, vocabulary_files
from knockon.graph.rdf.store import copy_of, store_of
from knockon.graph.rulebook.alike import Sight, alike, all_like, of_nodes
from knockon.graph.rulebook.own import usable_triples

if TYPE_CHECKING:
    from rdflib import Graph
    from rdflib.term import Node

TYPE = ox.NamedNode(RDF + "type")


class ShapeReport(msgspec.Struct, frozen=True):
    """Findings, and how much was checked: a run over no shapes or no nodes proves nothing."""

    findings: tuple[Finding, ...]
    shapes: int
    nodes: int


def shapes_graph(folder: Path | None = None) -> Graph:
    """All shapes: the shipped ones and those of a records folder that are in order."""
    from rdflib import Graph

    shapes = Graph()
    for name, text in vocabulary_files():
        shapes.parse(data=text, format="turtle", publicID=f"https://knockon.example/{name}")
    own = own_files(folder)
    if own:
        kept = ox.serialize(usable_triples(tuple(own)), format=ox.RdfFormat.N_TRIPLES)
        shapes.parse(data=kept or b"", format="nt")
    _type_words(shapes)
    return shapes


def _type_words(shapes: Graph) -> None:
    """Type the words that a code may be as cells of codes are typed: SHACL takes no plain word for a code."""
    from rdflib import SH, BNode, URIRef
    from rdflib.collection import Collection

    code = URIRef(VOCAB + "code")
    for shape in list(shapes.subjects(SH.datatype, code)):
        for head in list(shapes.objects(shape, SH["in"])):
            words = [str(word) for word in Collection(shapes, head)]
            shapes.set((shape, SH["in"], Collection(shapes, BNode(), _codes(words)).uri))


def _codes(words: list[str]) -> list[Node]:
    from rdflib import Literal, URIRef

    return [Literal(word, datatype=URIRef(VOCAB + "code")) for word in (*words, "?")]


def validate(store: ox.Store, folder: Path | None = None, each: bool = False) -> ShapeReport:
    """Check every statement of a store against the shapes; ``each``: each node by itself, also where many are alike."""
    from rdflib import SH

    shapes, quads = shapes_graph(folder), list(store)
    targets = set(shapes.objects(None, SH.targetClass))
    classes = {ox.NamedNode(str(target)) for target in targets}
    nodes = len({q.subject for q in quads if q.predicate == TYPE and q.object in classes})
    sight = None if each else Sight.of(shapes)
    found = alike(quads, sight) if sight else None
    if found is None:
        findings, _ = _checked(quads, shapes)
        return ShapeReport(findings, len(targets), nodes)
    findings, failed = _checked(of_nodes(quads, {same[0] for same in found.values()}), shapes)
    if failed:
        findings, _ = _checked(of_nodes(quads, all_like(failed, found)), shapes)
    return ShapeReport(findings, len(targets), nodes)


def _checked(quads: Iterable[ox.Quad], shapes: Graph) -> tuple[tuple[Finding, ...], set[str]]:
    """The findings about these statements, and the nodes that they are about."""
    import pyshacl
    from rdflib import RDF as WORDS
    from rdflib import SH, Graph

    data = copy_of(store_of(quads))
    _, report, _ = pyshacl.validate(data, shacl_graph=shapes, inference="none", advanced=False, meta_shacl=False)
    results = list(report.subjects(WORDS.type, SH.ValidationResult)) if isinstance(report, Graph) else []
    found = {_finding(report, shapes, result) for result in results} if isinstance(report, Graph) else set()
    failed = {str(node) for result in results for node in report.objects(result, SH.focusNode)}
    return tuple(sorted(found)), failed


def _finding(report: Graph, shapes: Graph, result: Node) -> Finding:
    from rdflib import SH

    def text(predicate: Node) -> str:
        value = report.value(result, predicate)
        return "" if value is None else str(value)

    shape = report.value(result, SH.sourceShape)
    named = [shapes.value(shape, p) for p in (SH.name, SH.description)] if shape is not None else []
    name, expected = (("" if v is None else str(v)) for v in (named or (None, None)))
    focus = unquote(text(SH.focusNode).removeprefix(ID))
    message = text(SH.resultMessage)
    return Finding(
        file=f"graph: {focus}",
        column=name or text(SH.resultPath),
        written=text(SH.value),
        problem=message,
        expected=expected,
        set_aside=False,
    )
