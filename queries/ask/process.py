"""The process in which a query runs: statements in, rows out. Its memory and time are bounded; it reaches nowhere.

Standard input: one line of JSON (query, bindings, prefixes, most, seconds), then N-Quads. Standard output: JSON.
"""

from __future__ import annotations

import json
import sys
from contextlib import suppress
from itertools import islice
from typing import Any

import pyoxigraph as ox

MOST_MEMORY = 4 * 1024**3


def main() -> None:
    """Answer the query on the standard input."""
    order = json.loads(sys.stdin.buffer.readline())
    _bound(order["seconds"])
    store = ox.Store()
    store.bulk_load(sys.stdin.buffer.read(), format=ox.RdfFormat.N_QUADS)
    try:
        answer = answered(store, order)
    except (SyntaxError, ValueError, RuntimeError, OSError) as error:
        answer = {"error": str(error)}
    json.dump(answer, sys.stdout)


def _bound(seconds: float) -> None:
    """Bound memory and processor time, where the system can."""
    with suppress(ImportError, ValueError, OSError):
        import resource

        resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
        resource.setrlimit(resource.RLIMIT_CPU, (int(seconds) + 2, int(seconds) + 2))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def answered(store: ox.Store, order: dict[str, Any]) -> dict[str, Any]:
    """Columns and rows of an answer, cut off at ``most`` rows."""
    bound = {ox.Variable(name): _read(text) for name, text in order["bindings"].items()}
    found = store.query(
        order["query"],
        prefixes=order["prefixes"],
        use_default_graph_as_union=order["union"],  # a FROM of the query would not be heeded
        substitutions=bound or None,
    )
    if isinstance(found, ox.QueryBoolean):
        said = "yes" if found else "no"
        return {"columns": ["answer"], "rows": [[["literal", said]]], "whole": True, "unordered": False}
    if isinstance(found, ox.QuerySolutions):
        columns = [v.value for v in found.variables]
        rows = [[plain(solution[i]) for i in range(len(columns))] for solution in islice(found, order["most"] + 1)]
    else:
        columns = ["subject", "predicate", "object"]
        rows = [[plain(t.subject), plain(t.predicate), plain(t.object)] for t in islice(found, order["most"] + 1)]
    whole = len(rows) <= order["most"]
    unordered = not has_order(order["query"])
    return {"columns": columns, "rows": rows[: order["most"]], "whole": whole, "unordered": unordered}


def _read(text: str) -> Any:
    """A term from its N-Triples form."""
    quads = list(ox.parse(f"<x:s> <x:p> {text} .".encode(), format=ox.RdfFormat.N_TRIPLES))
    return quads[0].object


def has_order(query: str) -> bool:
    """Whether a query says in which order its rows come."""
    return "order by" in " ".join(query.lower().split())


def plain(term: Any) -> list[str] | None:
    """A term as JSON holds it: what it is, its value, and of a literal the datatype and language."""
    if term is None:
        return None
    if isinstance(term, ox.NamedNode):
        return ["iri", term.value]
    if isinstance(term, ox.Literal):
        return ["literal", term.value, term.datatype.value, term.language or ""]
    return ["blank", str(term)]


if __name__ == "__main__":
    main()
