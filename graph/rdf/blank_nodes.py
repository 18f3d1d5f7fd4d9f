"""Naming blank nodes by RDFC-1.0 in bounded time: ``python -m knockon.graph.rdf.blank_nodes`` reads N-Quads from
the standard input and writes them with the names that the standard gives.

On a graph made for that the standard's method takes exponential time, and nothing stops it once it runs; so what could
is named in a process of its own, which the system ends.
"""

from __future__ import annotations

import sys
from collections import Counter
from collections.abc import Iterable
from contextlib import suppress
from typing import Any

import pyoxigraph as ox

MOST_SECONDS = 5


class TakesTooLong(ValueError):
    """The blank nodes are too alike to be told apart in bounded time."""


def named(quads: set[ox.Quad]) -> set[ox.Quad]:
    """The quads with each blank node named by content. Raises TakesTooLong."""
    if _all_differ(quads):
        return _canonical(quads)
    import subprocess

    lines = ox.serialize(quads, format=ox.RdfFormat.N_QUADS) or b""
    command = [sys.executable, "-m", "knockon.graph.rdf.blank_nodes"]
    try:
        done = subprocess.run(command, input=lines, capture_output=True, timeout=4 * MOST_SECONDS, check=False)
    except subprocess.TimeoutExpired as error:
        raise TakesTooLong(f"{4 * MOST_SECONDS} s") from error
    if done.returncode != 0:
        raise TakesTooLong(f"{MOST_SECONDS} s of processor time")
    return set(ox.parse(done.stdout, format=ox.RdfFormat.N_QUADS))


def _canonical(quads: Iterable[ox.Quad]) -> set[ox.Quad]:
    dataset = ox.Dataset(quads)
    dataset.canonicalize(ox.CanonicalizationAlgorithm.RDFC_1_0)
    return set(dataset)


def _all_differ(quads: Iterable[ox.Quad]) -> bool:
    """Whether what is said of each blank node tells it from all others, which no path has to be followed for."""
    said: dict[Any, list[str]] = {}
    for quad in quads:
        terms = (quad.subject, quad.predicate, quad.object, quad.graph_name)
        for node in {t for t in terms if isinstance(t, ox.BlankNode)}:
            seen = ("_:self" if t == node else "_:other" if isinstance(t, ox.BlankNode) else str(t) for t in terms)
            said.setdefault(node, []).append(" ".join(seen))
    return all(count == 1 for count in Counter(tuple(sorted(lines)) for lines in said.values()).values())


def main() -> int:
    """Name what stands on the standard input; the system ends it after MOST_SECONDS of processor time."""
    with suppress(ImportError, ValueError, OSError):
        import resource

        resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS))
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
    quads = _canonical(ox.parse(sys.stdin.buffer.read(), format=ox.RdfFormat.N_QUADS))
    sys.stdout.buffer.write(ox.serialize(quads, format=ox.RdfFormat.N_QUADS) or b"")
    return 0


if __name__ == "__main__":
    sys.exit(main())
