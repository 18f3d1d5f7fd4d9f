"""How long the demo's questions take, whole processes and inside one, beside peers in the same run. None is asserted.

Run with ``make bench``. Peers: Python that does nothing, and the same look-up of partners asked of the graph in SPARQL.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time
from collections.abc import Callable
from importlib import resources
from pathlib import Path

import pyoxigraph as ox

from knockon.graph.records import load, read_graph
from knockon.queries.fits import judge_parts
from knockon.queries.partners import partners_of
from knockon.queries.swap import swap

DEMO = Path(str(resources.files("knockon.data_demo")))
RUNS = 5
PARTNERS = """
PREFIX kn: <https://knockon.example/vocab#>
SELECT DISTINCT ?other WHERE {
  GRAPH ?g { ?f a kn:InternalSpline ; kn:of <https://knockon.example/id/parts/ROWAN-241> ; kn:toothCount ?n }
  GRAPH ?h { ?o a kn:ExternalSpline ; kn:of ?other ; kn:toothCount ?n }
}
"""


def median(task: Callable[[], object]) -> float:
    """Median seconds of several runs after one that does not count."""
    task()
    times = []
    for _ in range(RUNS):
        began = time.perf_counter()
        task()
        times.append(time.perf_counter() - began)
    return statistics.median(times)


def process(*arguments: str) -> Callable[[], object]:
    """A whole Python process with these arguments, its output thrown away."""
    return lambda: subprocess.run([sys.executable, *arguments], capture_output=True, check=False)


def row(name: str, seconds: float, peer: float, beside: str) -> None:
    """One line of the table: the time and its ratio to a peer."""
    print(f"{name:<58} {seconds * 1000:9.2f} ms   x{seconds / peer:8.2f} of {beside}")


def main() -> None:
    """Print the table."""
    bare = median(process("-c", "pass"))
    print(f"medians of {RUNS} runs, after one that does not count\n")
    row("whole process: python that does nothing", bare, bare, "itself")
    want = ("--want", "rotor=LARCH-201")
    fits = median(process("-m", "knockon", "fits", "ROWAN-301", "ROWAN-241"))
    row("whole process: knockon fits ROWAN-301 ROWAN-241", fits, bare, "bare python")
    planned = median(process("-m", "knockon", "swap", "tansy-m080", *want))
    row("whole process: knockon swap tansy-m080, with all reasons", planned, bare, "bare python")
    catalogue = load(DEMO).catalogue
    store, _, _ = read_graph(DEMO)

    def look_up() -> int:
        found = store.query(PARTNERS)
        assert isinstance(found, ox.QuerySolutions)
        return sum(1 for _ in found)

    sparql = median(look_up)
    row("in process: equal tooth counts by SPARQL (no verdict)", sparql, sparql, "itself")
    row("in process: fits", median(lambda: judge_parts(catalogue, ["ROWAN-301", "ROWAN-241"])), sparql, "SPARQL")
    row(
        "in process: all partners of ROWAN-241, with verdicts",
        median(lambda: partners_of(catalogue, "ROWAN-241")),
        sparql,
        "SPARQL",
    )
    once = median(lambda: swap(catalogue, "tansy-m080", want=["rotor=LARCH-201"]))
    row("in process: swap with all reasons", once, sparql, "SPARQL")
    row("in process: reading the tables anew", median(lambda: read_graph(DEMO)), sparql, "SPARQL")


if __name__ == "__main__":
    main()
