"""How long questions about the demo world take: as whole commands and inside one process, beside peers of the same run.

``make bench`` runs it; ``python tests/bench/bench_questions.py --runs 11`` for steadier figures. Medians are printed;
absolute figures move from machine to machine, the ratios of one run hold. Nothing is asserted.
"""

from __future__ import annotations

import argparse
import os
import platform
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import pyoxigraph as ox

FOLDER = Path(__file__).parents[2] / "data_demo"
SWAP = ("swap", "tansy-m080", "--want", "rotor=LARCH-201")
FITS = ("fits", "ROWAN-301", "ROWAN-241")
PARTNERS = ("partners", "ROWAN-201")
KIT = ("kit", "K1", "--for", "tansy-m080", "--want", "rotor=LARCH-201")

SPLINE_PARTNERS = """
PREFIX kn: <https://knockon.example/vocab#>
SELECT ?flange ?joint WHERE {
  ?stub a kn:ExternalSpline ; kn:of <https://knockon.example/id/parts/ROWAN-201> ; kn:featureName "stub spline" ;
        kn:toothCount ?teeth ; kn:toothPitch ?pitch .
  ?hole a kn:InternalSpline ; kn:of ?flange ; kn:toothCount ?teeth ; kn:toothPitch ?pitch .
  BIND("flange on stub" AS ?joint)
}
"""
"""The nearest that SPARQL comes to the partners of one joint of one part: equal cells, no intervals, no evidence."""


@dataclass(frozen=True)
class Timing:
    """One thing measured: its median and its fastest run, in seconds."""

    name: str
    median: float
    fastest: float


def timed(name: str, work: Callable[[], object], runs: int) -> Timing:
    """The median of some runs, after one that is not counted."""
    work()
    found = []
    for _ in range(runs):
        began = time.perf_counter()
        work()
        found.append(time.perf_counter() - began)
    return Timing(name, statistics.median(found), min(found))


def process(*command: str, cache: str) -> Callable[[], object]:
    """A whole process, its output thrown away."""
    environment = {**os.environ, "KNOCKON_CACHE": cache}

    def run() -> object:
        return subprocess.run([sys.executable, *command], env=environment, stdout=subprocess.DEVNULL, check=False)

    return run


def shown(timings: list[Timing], peer: Timing, than: str) -> None:
    """One line each, with the ratio to the peer."""
    for one in timings:
        ratio = one.median / peer.median
        print(
            f"  {one.name:<58}{one.median * 1000:>10.2f} ms  fastest {one.fastest * 1000:>9.2f}  {ratio:>8.2f} x {than}"
        )


def whole_processes(runs: int) -> None:
    """Commands as a user starts them, from a prepared copy and without one."""
    with tempfile.TemporaryDirectory() as cache:
        bare = timed("python -c pass", process("-c", "pass", cache=cache), runs)
        commands = [
            timed("knockon " + " ".join(c), process("-m", "knockon", *c, cache=cache), runs)
            for c in (FITS, PARTNERS, SWAP, KIT)
        ]
        cold = timed("knockon fits, without a prepared copy", process("-m", "knockon", *FITS, cache="off"), runs)
        sparql = timed(
            "rdflib: read the graph, one SPARQL query", process("-c", _rdflib_program(cache), cache=cache), runs
        )
    print(f"Whole processes, medians of {runs} runs")
    shown([bare, *commands, cold, sparql], bare, "bare Python")


def _rdflib_program(cache: str) -> str:
    """A program that answers the partners of one spline with rdflib alone, from a file that is ready to be read."""
    from knockon.graph.records import read_graph
    from knockon.graph.store import copy_of

    path = Path(cache) / "demo.nt"
    path.write_text(copy_of(read_graph(FOLDER)[0]).serialize(format="nt"), encoding="utf-8")
    return (
        f"import rdflib; g = rdflib.Graph(); g.parse({str(path)!r}, format='nt'); "
        f"print(len(list(g.query({SPLINE_PARTNERS!r}))))"
    )


def one_process(runs: int) -> None:
    """The same inside one process that has read the records."""
    from knockon.graph.layout import Places
    from knockon.graph.records import load_records, read_graph
    from knockon.graph.store import copy_of, dataset_of
    from knockon.queries.checks import Checks
    from knockon.queries.fits import judge_parts
    from knockon.queries.partners import partners_of
    from knockon.queries.planner import Planner
    from knockon.queries.problem import Problem
    from knockon.queries.swap import plan_swap, read_request

    catalogue = load_records(FOLDER)
    places = Places(catalogue.layouts["tansy front axle"])
    request = read_request(catalogue, places, want=["rotor=LARCH-201"])
    vehicle = catalogue.vehicles["tansy-m080"]
    store = read_graph(FOLDER)[0]
    memory, dataset = copy_of(store), dataset_of(store)
    joint = next(j for j in places.joints if j.joint.joint == "flange on stub")
    stubs, flanges = ["ROWAN-201"], [p.part for p in catalogue.parts.values() if p.part_type == "drive flange"]

    def verdicts() -> None:
        checks = Checks(catalogue, places)
        checks.judge_all(joint, stubs, flanges)

    def best_plan() -> None:
        Planner(Problem(Checks(catalogue, places), vehicle, request)).best()

    def embedded() -> int:
        found = store.query(SPLINE_PARTNERS, use_default_graph_as_union=True)
        assert isinstance(found, ox.QuerySolutions)
        return len(list(found))

    def plan_only() -> object:
        return plan_swap(catalogue, "tansy-m080", request, alternatives=0, reasons=False)

    peer = timed("rdflib in memory: SPARQL for one joint", lambda: list(memory.query(SPLINE_PARTNERS)), runs)
    works: list[tuple[str, Callable[[], object]]] = [
        ("rdflib over the embedded store: the same", lambda: list(dataset.query(SPLINE_PARTNERS))),
        ("Oxigraph by itself: the same", embedded),
        ("verdicts of one joint with all its partners", verdicts),
        ("partners_of: all joints, verdicts, claims", lambda: partners_of(catalogue, "ROWAN-201")),
        ("judge_parts: two parts, all evidence", lambda: judge_parts(catalogue, ["ROWAN-301", "ROWAN-241"])),
        ("best plan alone", best_plan),
        ("swap without reasons and alternatives", plan_only),
        ("swap with reasons and alternatives", lambda: plan_swap(catalogue, "tansy-m080", request)),
    ]
    timings = [peer, *(timed(name, work, runs) for name, work in works)]
    answer = partners_of(catalogue, "ROWAN-201")
    print(f"SPARQL finds {embedded()} flanges with the same teeth and pitch as written; partners_of judges "
          f"{sum(len(j.partners) for j in answer.joints)} pairs in {len(answer.joints)} joints")  # fmt: skip
    print(f"Inside one process, medians of {runs} runs")
    shown(timings, peer, "rdflib")


def main() -> None:
    """Print everything."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=5)
    runs = parser.parse_args().runs
    print(f"Python {platform.python_version()}, {platform.machine()}, {os.cpu_count()} processors")
    whole_processes(runs)
    one_process(runs)


if __name__ == "__main__":
    main()
