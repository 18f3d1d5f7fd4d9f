"""Notes in PROV-O: who is responsible, when it was, what a later word took back.

W3C PROV-O for the responsibility, DCTERMS for the date of what was found. A date is given as it was written and, where
it can be read, in the extended date-time format of ISO 8601-2 (EDTF), which can be as vague as the words were.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import pyoxigraph as ox

from knockon.graph.model import names
from knockon.graph.model.schema import DCTERMS, RDF, VOCAB
from knockon.graph.quantity import CellError, read_cell
from knockon.graph.rdf.canonical import PROV, XSD

TYPE = ox.NamedNode(RDF + "type")
NOTE, MEMBER, DATE, WITHDRAWN = (ox.NamedNode(VOCAB + n) for n in ("Note", "member", "date", "withdrawn"))
ENTITY, AGENT, PERSON, ATTRIBUTED, INVALIDATED, GENERATED = (
    ox.NamedNode(PROV + n)
    for n in ("Entity", "Agent", "Person", "wasAttributedTo", "invalidatedAtTime", "generatedAtTime")
)
EDTF = ox.NamedNode("http://id.loc.gov/datatypes/edtf/EDTF")
DATE_TIME = ox.NamedNode(XSD + "dateTime")


def read_when(written: str) -> str:
    """A date as written, in EDTF; blank where it says nothing that can be read."""
    try:
        return read_cell(written, "date")[""].code or ""
    except CellError:
        return ""


def member_node(member: str) -> ox.NamedNode:
    """The IRI of a member: initials only."""
    return ox.NamedNode(names.iri("members", member))


def provenance_of(quads: Iterable[ox.Quad]) -> Iterator[ox.Quad]:
    """What PROV-O and DCTERMS say of the notes among these quads, each statement in its note's graph."""
    rows = [q for q in quads if q.predicate in (TYPE, MEMBER, DATE)]
    notes = {(q.subject, q.graph_name) for q in rows if q.predicate == TYPE and q.object == NOTE}
    for note, graph in notes:
        yield ox.Quad(note, TYPE, ENTITY, graph)
    for quad in rows:
        if (quad.subject, quad.graph_name) not in notes or not isinstance(quad.object, ox.Literal):
            continue
        if quad.predicate == MEMBER:
            member = member_node(quad.object.value)
            yield ox.Quad(quad.subject, ATTRIBUTED, member, quad.graph_name)
            yield ox.Quad(member, TYPE, PERSON, quad.graph_name)
        elif quad.predicate == DATE and (when := read_when(quad.object.value)):
            when_node = ox.Literal(when, datatype=EDTF)
            yield ox.Quad(quad.subject, ox.NamedNode(DCTERMS + "date"), when_node, quad.graph_name)
