"""A SPARQL 1.1 server as a place of records: what is asked of it, and how its answers are read.

Nothing here reaches out: the fields of the SPARQL 1.1 Protocol (query via POST) are handed to ``post``, which the user
interface makes for the one server that the user named.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from typing import Any

import msgspec
import pyoxigraph as ox

from knockon.graph.exchange.derived import DERIVED
from knockon.graph.model.findings import RecordsError
from knockon.graph.model.names import ID
from knockon.graph.rdf.nesting import DEEPEST, is_too_deep

Fields = Sequence[tuple[str, str]]
VOCABULARY = ox.NamedNode(ID + "graph/vocabulary")
_RESULTS, _TRIPLES = "application/sparql-results+json", "application/n-triples"
_RECORDED = f"{{ GRAPH ?g {{ ?s ?p ?o }} FILTER (?g != {DERIVED}) }}"
"""All but the sizes as numbers, which queries read: they follow from the records."""
_ALL = f"SELECT ?g ?s ?p ?o WHERE {_RECORDED}"
_COUNT = f"SELECT (COUNT(*) AS ?n) WHERE {_RECORDED}"
_GRAPHS = "SELECT DISTINCT ?g WHERE { GRAPH ?g { ?s ?p ?o } }"


class NotAnswered(RecordsError):
    """A server cannot be asked, or did not answer as it must; the message says why."""


class Graphs(msgspec.Struct, frozen=True):
    """The graphs that a query sees: ``default`` together as its default graph, ``named`` by GRAPH."""

    default: tuple[str, ...]
    named: tuple[str, ...]


class Server(msgspec.Struct, frozen=True):
    """A SPARQL 1.1 query service. ``post`` sends the fields of a query, with the media type that is expected, and gives
    the answer; it raises NotAnswered, and bounds time and size."""

    url: str
    post: Callable[[Fields, str], bytes]

    def select(self, query: str, graphs: Graphs | None = None) -> ox.QuerySolutions | ox.QueryBoolean:
        """The answer of a SELECT or ASK query. Raises NotAnswered."""
        content = self._shallow(self._post(query, _RESULTS, graphs), is_json=True)
        try:
            return ox.parse_query_results(content, ox.QueryResultsFormat.JSON)
        except (SyntaxError, ValueError, OSError) as error:
            raise NotAnswered(f"{self.url} did not answer with SPARQL results in JSON: {error}") from error

    def construct(self, query: str, graphs: Graphs | None = None) -> list[ox.Triple]:
        """The triples of a CONSTRUCT or DESCRIBE query. Raises NotAnswered."""
        content = self._shallow(self._post(query, _TRIPLES, graphs), is_json=False)
        try:
            return [q.triple for q in ox.parse(content, format=ox.RdfFormat.N_TRIPLES)]
        except (SyntaxError, ValueError, OSError) as error:
            raise NotAnswered(f"{self.url} did not answer with N-Triples: {error}") from error

    def graphs(self) -> tuple[str, ...]:
        """The IRIs of all named graphs, in order. Raises NotAnswered."""
        found = {s["g"].value for s in self._rows(_GRAPHS) if isinstance(s["g"], ox.NamedNode)}
        return tuple(sorted(found))

    def quads(self) -> list[ox.Quad]:
        """Every statement of every named graph but that of sizes as numbers. Raises NotAnswered, also where the server
        keeps some back."""
        counted = self._rows(_COUNT)
        whole = self._count(counted[0]["n"] if counted else None)
        try:
            found = [ox.Quad(s["s"], s["p"], s["o"], s["g"]) for s in self._rows(_ALL)]
        except (TypeError, ValueError) as error:
            raise NotAnswered(f"{self.url} answered with something that is not a statement: {error}") from error
        if len(found) != whole:
            raise NotAnswered(f"{self.url} sent {len(found)} of {whole} statements. The server cuts its answers off")
        return found

    def _count(self, told: Any) -> int:
        value = told.value.strip() if isinstance(told, ox.Literal) else ""
        if not (value.isascii() and value.isdigit() and len(value) < 20):
            raise NotAnswered(f"{self.url} was asked for the number of its statements and answered {value!r:.40}")
        return int(value)

    def _shallow(self, content: bytes, is_json: bool) -> bytes:
        if is_too_deep(content, is_json):
            raise NotAnswered(f"{self.url} sent an answer that is nested more than {DEEPEST} deep, as no record is")
        return content

    def _rows(self, query: str) -> list[Any]:
        answer = self.select(query)
        if isinstance(answer, ox.QueryBoolean):
            raise NotAnswered(f"{self.url} was asked for a table and answered yes or no")
        try:
            return list(answer)
        except (SyntaxError, ValueError, OSError) as error:
            del answer  # it may not outlive its thread, and an error keeps what it passed
            raise NotAnswered(f"{self.url} sent an answer that breaks off: {error}") from error

    def _post(self, query: str, accept: str, graphs: Graphs | None) -> bytes:
        fields = [("query", query)]
        for name, iris in (("default-graph-uri", graphs.default), ("named-graph-uri", graphs.named)) if graphs else ():
            fields += [(name, iri) for iri in iris]
        return self.post(fields, accept)


def parted(quads: Sequence[ox.Quad]) -> tuple[list[ox.Quad], list[ox.Triple]]:
    """A server's statements: the records, and its vocabulary graph. Sizes as numbers are left aside: they follow."""
    records = [q for q in quads if q.graph_name not in (DERIVED, VOCABULARY)]
    return records, [q.triple for q in quads if q.graph_name == VOCABULARY]
