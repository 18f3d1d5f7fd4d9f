"""RDF out and in: the same statements give the same bytes, and every format keeps every statement with its graph.

Blank nodes are named by RDFC-1.0 (W3C RDF Dataset Canonicalization). N-Quads are sorted lines; the other formats are
written from quads in the order graph, subject, predicate, object. Turtle has no named graphs, so each statement is
told twice there: as a triple, and as an rdf:Statement that says in which graph it stands; reading folds them together.
"""

from __future__ import annotations

import hashlib
from collections import defaultdict
from collections.abc import Iterable, Mapping
from pathlib import Path
from typing import Any

import msgspec
import pyoxigraph as ox

from knockon.graph.files.plain import content_of, why_not
from knockon.graph.model.findings import RecordsError
from knockon.graph.model.names import ID
from knockon.graph.model.schema import DCTERMS, RDF, RDFS, SKOS, VOCAB
from knockon.graph.rdf.blank_nodes import TakesTooLong, named
from knockon.graph.rdf.nesting import DEEPEST, is_too_deep

PROV = "http://www.w3.org/ns/prov#"
XSD = "http://www.w3.org/2001/XMLSchema#"
PREFIXES = {"kn": VOCAB, "dcterms": DCTERMS, "prov": PROV, "rdf": RDF, "rdfs": RDFS, "skos": SKOS, "xsd": XSD}
FORMATS: Mapping[str, ox.RdfFormat] = {
    "nq": ox.RdfFormat.N_QUADS,
    "trig": ox.RdfFormat.TRIG,
    "ttl": ox.RdfFormat.TURTLE,
    "jsonld": ox.RdfFormat.JSON_LD,
}
BYTE_ORDER_MARK = b"\xef\xbb\xbf"
MOST_BLANK_NODES = 2_000
"""A file with more of them is refused; so is one whose blank nodes cannot be told apart in bounded time."""

_STATEMENTS = ID + "statements/"
_TYPE, _SUBJECT, _PREDICATE, _OBJECT = (ox.NamedNode(RDF + n) for n in ("type", "subject", "predicate", "object"))
_STATED_IN = ox.NamedNode(VOCAB + "statedIn")
_NO_GRAPH = ox.NamedNode(VOCAB + "defaultGraph")
_STATEMENT = ox.NamedNode(RDF + "Statement")


class NotRdf(RecordsError):
    """A file cannot be taken in as RDF; the message says where and why."""


def iri_of(node: Any) -> str:
    """The IRI of a node; blank for what has none."""
    return node.value if isinstance(node, ox.NamedNode) else ""


def format_of(path: Path) -> str:
    """The short name of the format of a file, by its extension. Raises NotRdf."""
    extension = path.suffix.lower().removeprefix(".")
    found = {"json": "jsonld", "nquads": "nq", "turtle": "ttl", "nt": "nq"}.get(extension, extension)
    if found not in FORMATS:
        raise NotRdf(f"{path} has no known extension. Use one of .{', .'.join(FORMATS)}")
    return found


def canonical(quads: Iterable[ox.Quad]) -> list[ox.Quad]:
    """Each quad once, blank nodes named by content, in the order graph, subject, predicate, object. Raises NotRdf."""
    unique = set(quads)
    blank = {t for q in unique for t in (q.subject, q.object, q.graph_name) if isinstance(t, ox.BlankNode)}
    if blank:
        if len(blank) > MOST_BLANK_NODES:
            raise NotRdf(f"{len(blank)} blank nodes. At most {MOST_BLANK_NODES} can be named. Give them IRIs")
        try:
            unique = named(unique)
        except TakesTooLong as error:
            raise NotRdf(
                f"{len(blank)} blank nodes are so alike that telling them apart takes more than {error}. Give them IRIs"
            ) from error
    return sorted(unique, key=_place)


def _place(quad: ox.Quad) -> tuple[str, str, str, str]:
    return str(quad.graph_name), str(quad.subject), str(quad.predicate), str(quad.object)


def without_blank_nodes(quads: Iterable[ox.Quad]) -> list[ox.Quad]:
    """Canonical quads with each blank node given an IRI made of all that is said of it, so that sets of quads can be
    united by content.

    The IRI depends on the whole set: the same file gives the same IRIs. Raises NotRdf.
    """
    ordered = canonical(quads)
    blank = [q for q in ordered if any(isinstance(t, ox.BlankNode) for t in (q.subject, q.object, q.graph_name))]
    if not blank:
        return ordered
    digest = hashlib.sha256("\n".join(map(str, blank)).encode()).hexdigest()[:16]

    def with_iri(term: Any) -> Any:
        return ox.NamedNode(f"{ID}nodes/{digest}/{term.value}") if isinstance(term, ox.BlankNode) else term

    found = {ox.Quad(with_iri(q.subject), q.predicate, with_iri(q.object), with_iri(q.graph_name)) for q in ordered}
    return sorted(found, key=_place)


def to_bytes(quads: Iterable[ox.Quad], form: str) -> bytes:
    """The quads in a format of FORMATS; the same quads give the same bytes. Raises NotRdf."""
    ordered = canonical(quads)
    if form == "nq":
        lines = _serialized(ordered, ox.RdfFormat.N_QUADS).splitlines(keepends=True)
        return b"".join(sorted(lines))
    if form == "jsonld":
        return msgspec.json.format(_serialized(ordered, ox.RdfFormat.JSON_LD), indent=1) + b"\n"  # a value a line
    if form == "ttl":
        return _serialized(_told_twice(ordered), ox.RdfFormat.TURTLE, PREFIXES)
    return _serialized(ordered, FORMATS[form], PREFIXES)


def _serialized(quads: Iterable[Any], form: ox.RdfFormat, prefixes: dict[str, str] | None = None) -> bytes:
    written = ox.serialize(quads, format=form, prefixes=prefixes)
    return written or b""


def _told_twice(ordered: list[ox.Quad]) -> list[ox.Triple]:
    found: set[ox.Triple] = {quad.triple for quad in ordered}
    named = {quad.triple for quad in ordered if quad.graph_name != ox.DefaultGraph()}
    for quad in ordered:
        if quad.triple not in named:
            continue
        graph = _NO_GRAPH if isinstance(quad.graph_name, ox.DefaultGraph) else quad.graph_name
        digest = hashlib.sha256(str(quad.triple).encode()).hexdigest()[:32]
        statement = ox.NamedNode(_STATEMENTS + digest)
        found.add(ox.Triple(statement, _TYPE, _STATEMENT))
        found.add(ox.Triple(statement, _SUBJECT, quad.subject))
        found.add(ox.Triple(statement, _PREDICATE, quad.predicate))
        found.add(ox.Triple(statement, _OBJECT, quad.object))
        found.add(ox.Triple(statement, _STATED_IN, graph))
    return sorted(found, key=lambda t: (str(t.subject), str(t.predicate), str(t.object)))


def from_bytes(content: bytes, form: str, name: str) -> list[ox.Quad]:
    """The canonical quads of a text in a format of FORMATS. Nothing is fetched. Raises NotRdf, naming `name`."""
    content = content.removeprefix(BYTE_ORDER_MARK)  # as some editors put before a text
    if is_too_deep(content, form == "jsonld"):
        raise NotRdf(f"{name}: nested more than {DEEPEST} deep, as no record is")
    try:
        quads = set(ox.parse(content, format=FORMATS[form]))
    except (SyntaxError, ValueError, OSError) as error:
        raise NotRdf(f"{name} is not {FORMATS[form].name}: {error}") from error
    if any(isinstance(q.object, ox.Triple) for q in quads):
        raise NotRdf(f"{name}: statements about statements (RDF 1.2 triple terms) are not read")
    try:
        return canonical(_folded(quads) if form == "ttl" else quads)
    except NotRdf as error:
        raise NotRdf(f"{name}: {error}") from error


def _folded(quads: set[ox.Quad]) -> set[ox.Quad]:
    """Quads of a Turtle text, each told statement put back in its graph."""
    about: dict[Any, dict[ox.NamedNode, list[Any]]] = defaultdict(lambda: defaultdict(list))
    for quad in quads:
        if isinstance(quad.subject, ox.NamedNode) and quad.subject.value.startswith(_STATEMENTS):
            about[quad.subject][quad.predicate].append(quad.object)
    told = {s: a for s, a in about.items() if all(len(a[p]) == 1 for p in (_SUBJECT, _PREDICATE, _OBJECT))}
    found = {q for q in quads if q.subject not in told}
    for statement in told.values():
        subject, predicate, value = (statement[p][0] for p in (_SUBJECT, _PREDICATE, _OBJECT))
        found.discard(ox.Quad(subject, predicate, value))
        for graph in statement[_STATED_IN]:
            found.add(ox.Quad(subject, predicate, value, None if graph == _NO_GRAPH else graph))
    return found


def read_rdf(path: Path) -> list[ox.Quad]:
    """The canonical quads of a file. Raises NotRdf."""
    form = format_of(path)
    try:
        content = content_of(path)
    except OSError as error:
        raise NotRdf(f"{path} cannot be read: {why_not(error)}") from error
    return from_bytes(content, form, str(path))
