"""A club's Turtle against the shapes of a vocabulary (``shapes.ttl``), by pyshacl."""

from __future__ import annotations

import logging
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from functools import cache
from typing import TYPE_CHECKING, Any

import pyoxigraph as ox

from knockon.graph.files.shipped import shipped
from knockon.graph.rulebook.faults import Book, Fault, short
from knockon.graph.triples import statements as st

if TYPE_CHECKING:
    from rdflib import BNode, Graph, Literal, URIRef

_CLOSED, _IN = "ClosedConstraintComponent", "InConstraintComponent"
_LACKING = ("MinCountConstraintComponent", "QualifiedMinCountConstraintComponent")
_TWICE = ("MaxCountConstraintComponent", "QualifiedMaxCountConstraintComponent")


@cache
def _shapes(datatypes: tuple[str, ...]) -> Graph:
    """The shapes, with the datatypes of sizes among the words that sh:datatype takes."""
    from rdflib import SH, Graph, URIRef
    from rdflib.collection import Collection

    text = shipped("graph", "rulebook", "shapes.ttl").read_bytes()
    shapes = Graph().parse(data=text, format="turtle")
    for listed in [o for s in shapes.subjects(SH.path, SH.datatype) for o in shapes.objects(s, SH["in"])]:
        words = Collection(shapes, listed)
        words += [URIRef(datatype) for datatype in datatypes]
    return shapes


@contextmanager
def _quietly() -> Iterator[None]:
    """A literal that is not what its datatype says is a finding, no line in a log."""
    logger = logging.getLogger("rdflib.term")
    before, logger.disabled = logger.disabled, True
    try:
        yield
    finally:
        logger.disabled = before


def shape_faults(book: Book) -> list[Fault]:
    """What of a club's Turtle is against the shapes."""
    import pyshacl  # takes a second to load, which only a vocabulary of a club's own pays, once
    from rdflib import RDF, SH, Graph

    with _quietly():
        nodes: dict[Any, Any] = {}
        data = Graph()
        for triple in _triples(book):
            data.add(triple[0])
            nodes |= dict(zip(triple[0], triple[1], strict=True))
        shapes = _shapes(tuple(sorted(book.datatypes)))
        _, report, _ = pyshacl.validate(data, shacl_graph=shapes, inference="none", advanced=False, meta_shacl=False)
        if not isinstance(report, Graph):
            return []
        results = list(report.subjects(RDF.type, SH.ValidationResult))
        return [f for result in results for f in _faults(book, shapes, report, result, nodes)]


def _triples(book: Book) -> Iterable[tuple[tuple[Any, Any, Any], tuple[Any, Any, Any]]]:
    for subject, said in book.own.by_subject.items():
        for predicate, objects in said.items():
            for node in objects:
                property_ = ox.NamedNode(predicate)
                yield (_term(subject), _term(property_), _term(node)), (subject, property_, node)


def _term(node: Any) -> URIRef | BNode | Literal:
    from rdflib import BNode, Literal, URIRef

    if isinstance(node, ox.NamedNode):
        return URIRef(node.value)
    if isinstance(node, ox.BlankNode):
        return BNode(node.value)
    if node.language:
        return Literal(node.value, lang=node.language)
    if node.datatype.value == st.XSD + "string":
        return Literal(node.value)
    return Literal(node.value, datatype=URIRef(node.datatype.value), normalize=False)


def _faults(book: Book, shapes: Graph, report: Graph, result: Any, nodes: Mapping[Any, Any]) -> Iterator[Fault]:
    from rdflib import SH, URIRef

    focus = nodes.get(report.value(result, SH.focusNode))
    path, value = report.value(result, SH.resultPath), report.value(result, SH.value)
    component = st.local_name(str(report.value(result, SH.sourceConstraintComponent)))
    shape = report.value(result, SH.sourceShape)
    predicate = str(path) if isinstance(path, URIRef) else ""
    problem, expected, known = _words(shapes, component, shape, predicate, bool(book.own.objects(focus, predicate)))
    about = nodes.get(value) if component != _CLOSED and value is not None else None
    warning = report.value(result, SH.resultSeverity) == SH.Warning
    for root in book.roots_of(focus):
        inside = book.own.text(focus, st.SH + "path") if root != focus else ""
        yield Fault(
            root=root,
            problem=problem,
            expected=expected,
            predicate=predicate,
            value=about,
            path=inside,
            known=known,
            out=not warning,
        )


def _words(shapes: Graph, component: str, shape: Any, predicate: str, there: bool) -> tuple[str, str, tuple[str, ...]]:
    """The problem, what is expected, and the words among which the one that was meant may be."""
    from rdflib import SH
    from rdflib.collection import Collection

    said = shapes.value(shape, SH.description)
    expected = "" if said is None else str(said)
    listed = shapes.value(shape, SH["in"])
    words = [short(_ox(n)) for n in Collection(shapes, listed)] if listed is not None else []
    if component == _CLOSED:
        allowed = [str(p) for s in shapes.objects(shape, SH.property) for p in shapes.objects(s, SH.path)]
        known = tuple(sorted(short(ox.NamedNode(p)) for p in allowed))
        return "nothing reads this word here", "one of " + ", ".join(known), known
    expected = expected or ("one of " + ", ".join(words) if words else "")
    if component in _LACKING:
        return (f"{short(ox.NamedNode(predicate))} " + ("cannot be read" if there else "is missing")), expected, ()
    if component in _TWICE:
        return f"{short(ox.NamedNode(predicate))} stands more than once", "one " + short(ox.NamedNode(predicate)), ()
    if component == _IN:
        return "no such word", expected, tuple(words)
    return "cannot be read", expected, ()


def _ox(node: Any) -> Any:
    from rdflib import URIRef

    return ox.NamedNode(str(node)) if isinstance(node, URIRef) else ox.Literal(str(node))
