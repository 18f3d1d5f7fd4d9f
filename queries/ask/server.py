"""Ask a SPARQL 1.1 server: the same queries, run where the records are when they outgrow one machine.

The protocol knows no bindings. So each parameter is put in as VALUES at the head of every WHERE group, the term written
by the RDF library, never by the user's own text.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import islice
from typing import Any

import pyoxigraph as ox

from knockon.graph.exchange.server import Graphs, NotAnswered, Server
from knockon.graph.exchange.view import left_out
from knockon.queries.ask.ask import (
    MOST_ROWS,
    PREFIXES_OF_QUERIES,
    AskAnswer,
    QueryRefused,
    ReadyMade,
    form_of,
    guard,
    names_graphs,
    places_of_groups,
    shown_rows,
)
from knockon.queries.ask.process import has_order, plain


def ask_server(server: Server, query: ReadyMade, bindings: Mapping[str, Any], without: Sequence[str] = ()) -> AskAnswer:
    """Run a query on a server, all its named graphs together as the default graph, without those left out.

    Raises QueryRefused as ``ask`` does, NotAnswered where the server does not answer as it must, RecordsError where
    ``without`` names what the server does not hold.
    """
    guard(query.text)
    if names_graphs(query.text):  # the graphs that the protocol is told stand before a FROM
        raise QueryRefused(
            "FROM is not allowed with a server. Name graphs with GRAPH, or leave some out with --without"
        )
    graphs = server.graphs()
    if not graphs:
        raise NotAnswered(f"{server.url} has no named graphs. Put some there with knockon export")
    out = left_out(graphs, without)
    seen = tuple(g for g in graphs if g not in out)
    text = bound(query.text, bindings)
    if form_of(query.text) in ("CONSTRUCT", "DESCRIBE"):
        triples = server.construct(text, Graphs(seen, seen))
        columns, rows = ["subject", "predicate", "object"], [_row(t) for t in triples[: MOST_ROWS + 1]]
    else:
        columns, rows = _table(server, server.select(text, Graphs(seen, seen)))
    table = {"columns": columns, "rows": rows[:MOST_ROWS], "whole": len(rows) <= MOST_ROWS}
    return shown_rows(query, table | {"unordered": not has_order(query.text)}, bindings)


def bound(text: str, bindings: Mapping[str, Any]) -> str:
    """The query with the usual prefixes and its parameters' values. Raises QueryRefused where there is no WHERE."""
    places = places_of_groups(text)
    if bindings and not places:
        raise QueryRefused("with a server, a query with parameters must write WHERE before its group")
    values = "".join(f" VALUES ?{name} {{ {term} }}" for name, term in sorted(bindings.items()))
    for place in sorted(places, reverse=True):
        text = f"{text[:place]}{values}{text[place:]}"
    return " ".join(f"PREFIX {name}: <{iri}>" for name, iri in PREFIXES_OF_QUERIES.items()) + "\n" + text


def _table(server: Server, answer: ox.QuerySolutions | ox.QueryBoolean) -> tuple[list[str], list[list[Any]]]:
    if isinstance(answer, ox.QueryBoolean):
        return ["answer"], [[["literal", "yes" if answer else "no"]]]
    columns = [v.value for v in answer.variables]
    try:
        rows = [[plain(s[i]) for i in range(len(columns))] for s in islice(answer, MOST_ROWS + 1)]
    except (SyntaxError, ValueError, OSError) as error:
        del answer  # it may not outlive its thread, and an error keeps what it passed
        raise NotAnswered(f"{server.url} sent an answer that breaks off: {error}") from error
    return columns, rows


def _row(triple: ox.Triple) -> list[Any]:
    return [plain(term) for term in (triple.subject, triple.predicate, triple.object)]
