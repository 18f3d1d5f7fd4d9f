"""Nodes that shapes cannot tell apart: of many rows of one sort one is checked, and all where that one fails.

The shapes here look at a node's own values only: of which datatype or sort each is, how many there are, whether one is
in a list or in a range. What these see of a node is written down as its ``look``; nodes that look alike conform or fail
alike, whatever their names and other values are. A shape that says anything else (``READ_BY_LOOK`` lists what may be
said) makes all nodes be checked, each by itself.

W3C SHACL (Recommendation of 2017) says what each constraint looks at.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping
from decimal import Decimal
from typing import TYPE_CHECKING, Any

import msgspec
import pyoxigraph as ox

from knockon.graph.model.schema import RDF, RDFS
from knockon.graph.rdf.canonical import XSD, iri_of

if TYPE_CHECKING:
    from rdflib import Graph

READ_BY_LOOK = frozenset(
    (
        "targetClass", "property", "path", "datatype", "nodeKind", "minCount", "maxCount", "in", "minInclusive",
        "maxInclusive", "or", "and", "name", "description", "order", "message", "severity", "group",
    )
)  # fmt: skip
TYPE = RDF + "type"
_NUMBERS = frozenset(XSD + name for name in ("decimal", "integer"))
_NUMBER = re.compile(r"[+-]?([0-9]+(\.[0-9]+)?|\.[0-9]+)")
Look = tuple[Any, ...]


class Sight(msgspec.Struct, frozen=True):
    """What shapes see: the properties at which they look, those whose values they compare with lists, and the ends of
    their ranges."""

    paths: frozenset[str]
    listed: frozenset[str]
    ends: tuple[Decimal, ...]

    @classmethod
    def of(cls, shapes: Graph) -> Sight | None:
        """What these shapes see; None where one looks at more."""
        from rdflib import SH, URIRef

        words = {str(p).removeprefix(str(SH)) for p in shapes.predicates() if str(p).startswith(str(SH))}
        paths = set(shapes.objects(None, SH.path))
        if not words <= READ_BY_LOOK or not all(isinstance(path, URIRef) for path in paths):
            return None
        listed = {str(shapes.value(shape, SH.path)) for shape in shapes.subjects(SH["in"])}
        ends = [shapes.objects(None, end) for end in (SH.minInclusive, SH.maxInclusive)]
        numbers = {str(end) for found in ends for end in found}
        if "None" in listed or not all(_NUMBER.fullmatch(number) for number in numbers):
            return None
        return cls(frozenset(map(str, paths)), frozenset(listed), tuple(sorted(map(Decimal, numbers))))

    def look(self, stated: Iterable[tuple[str, Any]]) -> Look:
        """How a node looks of which this is stated."""
        return tuple(sorted((path, *self._value(path, value)) for path, value in stated))

    def _value(self, path: str, value: Any) -> tuple[str, str, str]:
        if path == TYPE or not isinstance(value, ox.Literal):
            return type(value).__name__, "", str(value) if path == TYPE or path in self.listed else ""
        datatype = value.datatype.value
        plain = datatype in (XSD + "string", RDF + "langString") or not datatype.startswith(XSD)
        if path in self.listed or not plain:
            return datatype, value.language or "", value.value if path in self.listed else self._number(value)
        return datatype, value.language or "", ""

    def _number(self, value: ox.Literal) -> str:
        """Where a number stands among the ends of ranges; any other text as it is."""
        if value.datatype.value not in _NUMBERS or not _NUMBER.fullmatch(value.value):
            return value.value
        if value.datatype.value == XSD + "integer" and "." in value.value:
            return value.value
        number = Decimal(value.value)
        return "".join("<" if number < end else "=" if number == end else ">" for end in self.ends)


def alike(quads: Iterable[ox.Quad], sight: Sight) -> dict[Look, list[Any]] | None:
    """The nodes by how they look, each list sorted; None where a statement says what classes are."""
    stated: dict[Any, dict[tuple[str, Any], None]] = defaultdict(dict)
    for quad in quads:
        path = quad.predicate.value
        if path == RDFS + "subClassOf" or iri_of(quad.object) == RDFS + "Class":
            return None
        if path == TYPE or path in sight.paths:
            stated[quad.subject][(path, quad.object)] = None
    found: dict[Look, list[Any]] = defaultdict(list)
    for node in sorted(stated, key=str):
        found[sight.look(stated[node])].append(node)
    return found


def of_nodes(quads: Iterable[ox.Quad], nodes: Collection[Any]) -> list[ox.Quad]:
    """What is stated of these nodes."""
    return [quad for quad in quads if quad.subject in nodes]


def all_like(nodes: Collection[str], found: Mapping[Look, list[Any]]) -> set[Any]:
    """All nodes that look as these do, which are the first of their look."""
    return {node for same in found.values() if str(getattr(same[0], "value", same[0])) in nodes for node in same}
