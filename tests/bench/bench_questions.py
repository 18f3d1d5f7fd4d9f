"""How long questions about the demo world take: as whole commands and inside one process, beside peers of one run.

``make bench`` runs it; ``python tests/bench/bench_questions.py --runs 11`` for steadier figures. All is told in
processor time, which other work on the machine disturbs less than the clock. Absolute figures move from machine to
machine, the ratios of one run hold. Nothing is asserted.
"""

from __future__ import annotations

import argparse
import csv
import os
import platform
import random
import resource
import shlex
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

import pyoxigraph as ox

if TYPE_CHECKING:
    from knockon.graph.model.layouts.layout import Place
    from knockon.queries.plan.solving.planner import Planner

FOLDER = Path(__file__).parents[2] / "data_demo"
SWAP = ("swap", "tansy-m080", "--want", "rotor=LARCH-201")
QUESTIONS = (
    ("fits", "ROWAN-301", "ROWAN-241"),
    ("partners", "ROWAN-201"),
    ("part", "ROWAN-201"),
    ("combinations", "tansy front axle", "--with", "rotor=LARCH-201"),
    ("kit", "K1", "--for", "tansy-m080", "--want", "rotor=LARCH-201"),
    SWAP,
)
MANY, WAITING = 20_000, 5_000
"""Rows of a large sheet, and of one that cannot be read at all."""
BIG_SWAPS = (
    ("tansy-mk-a", "rotor=LARCH-201"),
    ("tansy-mk-a", "wheel=MAPLE-301"),
    ("tansy-mk-b", "brake drum=LARCH-101"),
    ("tansy-mk-b", "rotor=LARCH-301"),
    ("tansy-mk-c", "brake drum=LARCH-101"),
    ("tansy-mk-c", "rotor=LARCH-201"),
)
"""Each model with a part of each other: nearly everything is turned over."""

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
        began = time.process_time()
        work()
        found.append(time.process_time() - began)
    return Timing(name, statistics.median(found), min(found))


def process(*command: str, scratch: str, cache: str = "") -> Callable[[], float]:
    """A whole process, its output thrown away, with compiled modules as an installed copy has them; gives the seconds
    of processor time that it took."""
    environment = {k: v for k, v in os.environ.items() if k != "PYTHONDONTWRITEBYTECODE"}
    environment |= {"KNOCKON_CACHE": cache or scratch, "PYTHONPYCACHEPREFIX": str(Path(scratch) / "compiled")}

    def run() -> float:
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        done = subprocess.run(
            [sys.executable, *command], env=environment, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE, check=False
        )
        # answered, or answered with a no, for which a failure of Python's own has the same status
        if done.returncode not in (0, 1) or b"Traceback (most recent" in done.stderr:
            raise SystemExit(f"{shlex.join(command)} failed: there is no time to tell\n{done.stderr.decode()}")
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        return after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime

    return run


def in_processor_time(name: str, run: Callable[[], float], runs: int) -> Timing:
    """The median of some whole processes, after one that is not counted."""
    run()
    found = [run() for _ in range(runs)]
    return Timing(name, statistics.median(found), min(found))


def shown(timings: Sequence[Timing], peer: Timing, than: str) -> None:
    """One line each, with the ratio to the peer."""
    for one in timings:
        ratio = one.median / peer.median
        print(
            f"  {one.name:<66}{one.median * 1000:>10.2f} ms  fastest {one.fastest * 1000:>9.2f}  {ratio:>8.2f} x {than}"
        )


def whole_processes(runs: int) -> None:
    """Commands as a user starts them, from a prepared copy and without one."""
    with tempfile.TemporaryDirectory() as scratch:

        def measured(name: str, *command: str, cache: str = "") -> Timing:
            return in_processor_time(name, process(*command, scratch=scratch, cache=cache), runs)

        bare = measured("python -c pass", "-c", "pass")
        rdflib = measured('python -c "import rdflib"', "-c", "import rdflib")
        commands = [measured("knockon " + shlex.join(c), "-m", "knockon", *c) for c in QUESTIONS]
        cold = measured("knockon fits, without a prepared copy", "-m", "knockon", *QUESTIONS[0], cache="off")
        sparql = measured("rdflib: read the graph, one SPARQL query", "-c", _rdflib_program(scratch))
        print(f"Whole processes, processor time, medians of {runs} runs")
        shown([bare, rdflib, *commands, cold, sparql], rdflib, "import rdflib")
        runs = min(runs, 3)
        swaps = [measured(f"knockon swap {v} --want {w!r}", "-m", "knockon", "swap", v, "--want", w)
                 for v, w in BIG_SWAPS]  # fmt: skip
        print(f"Swaps that turn over nearly everything, with all their reasons, medians of {runs} runs")
        shown(swaps, rdflib, "import rdflib")


def sheets(runs: int) -> None:
    """Sheets of many rows taken in for the first time and once more, and the list of what waits in quarantine."""
    size = random.Random(1)
    drawn = [f"{size.uniform(10, 90):.3f}" for _ in range(2 * MANY)]
    cases = [
        (f"import {MANY} rows, all sizes different", MANY, True, drawn),
        (f"import {MANY} rows of 60 sizes", MANY, True, [drawn[n % 60] for n in range(2 * MANY)]),
        (f"import {WAITING} unreadable rows on one part", WAITING, False, ["28?!"] * 2 * WAITING),
        (f"import {WAITING} unreadable rows, a part each", WAITING, True, ["28?!"] * 2 * WAITING),
    ]
    with tempfile.TemporaryDirectory() as scratch:
        peer = in_processor_time("import rdflib", process("-c", "import rdflib", scratch=scratch), runs)
        timings = []
        for name, rows, own_parts, sizes in cases:
            folder, sheet = _with_sheet(Path(scratch) / name, rows, own_parts, sizes)
            taking = ["-m", "knockon", "import", str(sheet), "--accept-mapping", "--records", str(folder)]
            taking += ["--table", "features/rolling_bearing", "--feature", "bearing", "--source", "N02"]
            listing = ["-m", "knockon", "quarantine", "--records", str(folder)]
            first = process(*taking, scratch=scratch)()
            timings.append(Timing(f"knockon {name}", first, first))
            if sizes[0] == drawn[0]:
                name, again = "  the same once more", process(*taking, scratch=scratch)
            else:
                name, again = "  knockon quarantine then", process(*listing, scratch=scratch)
            once = again()
            timings.append(Timing(name, once, once))
        print("Sheets, processor time of whole processes, one run each")
        shown([*timings, peer], peer, "import rdflib")


def _with_sheet(place: Path, rows: int, own_parts: bool, sizes: Sequence[str]) -> tuple[Path, Path]:
    """A copy of the demo world, with bearings of its own where asked for, and a sheet about bearings beside it."""
    folder, sheet = place / "records", place / "sheet.csv"
    shutil.copytree(FOLDER, folder, ignore=shutil.ignore_patterns("*.py", "__pycache__", "*.md"))
    numbers = [f"BENCH-{n}" if own_parts else "ALDER-211" for n in range(rows)]
    if own_parts:
        with (folder / "parts.csv").open("r+", encoding="utf-8", newline="") as stream:
            head = next(csv.reader(stream))
            cells = {"name": "bearing", "part type": "wheel bearing", "hand": "either", "one use": "no"}
            stream.seek(0, os.SEEK_END)
            csv.writer(stream, lineterminator="\n").writerows(
                [number if column == "part" else cells.get(column, "") for column in head] for number in numbers
            )
    with sheet.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream, lineterminator="\n")
        writer.writerow(["Part No", "Bore (mm)", "Outside diameter (mm)"])
        writer.writerows(zip(numbers, sizes[::2], sizes[1::2], strict=True))
    return folder, sheet


def _rdflib_program(cache: str) -> str:
    """A program that answers the partners of one spline with rdflib alone, from a file that is ready to be read."""
    from knockon.graph.rdf.store import copy_of
    from knockon.graph.records import read_graph

    path = Path(cache) / "demo.nt"
    path.write_text(copy_of(read_graph(FOLDER)[0]).serialize(format="nt"), encoding="utf-8")
    return (
        f"import rdflib; g = rdflib.Graph(); g.parse({str(path)!r}, format='nt'); "
        f"print(len(list(g.query({SPLINE_PARTNERS!r}))))"
    )


def one_process(runs: int) -> None:
    """The same inside one process that has read the records."""
    from knockon.graph.model.layouts.layout import Places
    from knockon.graph.rdf.store import copy_of, dataset_of
    from knockon.graph.records import load_records, read_graph
    from knockon.queries.fits.checking.checks import Checks
    from knockon.queries.fits.fits import judge_parts
    from knockon.queries.fits.partners import partners_of
    from knockon.queries.plan.solving.planner import Planner
    from knockon.queries.plan.solving.problem import Problem
    from knockon.queries.plan.swap import plan_swap, read_request

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
    print(f"Inside one process, processor time, medians of {runs} runs")
    shown(timings, peer, "rdflib")


def classes_or_pairs(runs: int) -> None:
    """All joints of a layout on all parts that may stand there: by interface class, and pair by pair."""
    from knockon.graph.judge.beliefs import interface_of
    from knockon.graph.judge.conditions import judge
    from knockon.graph.model.layouts.layout import Places
    from knockon.graph.records import load_records
    from knockon.queries.fits.checking.candidates import candidates_of
    from knockon.queries.fits.checking.checks import Checks

    catalogue = load_records(FOLDER)
    places = Places(catalogue.layouts["tansy front axle"])
    every, _ = candidates_of(catalogue, places, None)
    ends = [([c.thing for c in every[at.first]], [c.thing for c in every[at.second]]) for at in places.joints]

    def by_class() -> None:
        checks = Checks(catalogue, places)
        for at, (firsts, seconds) in zip(places.joints, ends, strict=True):
            checks.judge_all(at, firsts, seconds)

    def pair_by_pair() -> None:
        checks = Checks(catalogue, places)
        for at, (firsts, seconds) in zip(places.joints, ends, strict=True):
            rule = checks.rule_of(at)
            names = (at.joint.feature, at.joint.other_feature)
            for first in firsts:
                for second in seconds:
                    both = (catalogue.features_of(t).get(n) for t, n in zip((first, second), names, strict=True))
                    sides = [interface_of(f, d) for f, d in zip(both, checks.dimensions(rule), strict=True)]
                    judge(rule, sides[:1], sides[1:])

    pairs = sum(len(a) * len(b) for a, b in ends)
    print(
        f"All {len(places.joints)} joints of a layout on all {pairs} pairs that may stand there, medians of {runs} runs"
    )
    peer = timed("pair by pair", pair_by_pair, runs)
    shown([timed("by interface class", by_class, runs), peer], peer, "pair by pair")


def reasons(runs: int) -> None:
    """The minimal reasons of every forced change of a swap: as the program finds them, and by deletion one by one."""
    from knockon.graph.model.layouts.layout import Places
    from knockon.graph.records import load_records
    from knockon.queries.fits.checking.checks import Checks
    from knockon.queries.plan.reasons.reasons import Reasoner, places_asked
    from knockon.queries.plan.solving.patience import Patience
    from knockon.queries.plan.solving.planner import Planner
    from knockon.queries.plan.solving.problem import Problem
    from knockon.queries.plan.swap import read_request

    catalogue = load_records(FOLDER)
    places = Places(catalogue.layouts["tansy front axle"])
    request = read_request(catalogue, places, want=["rotor=LARCH-201"])

    def found(search: Callable[[Planner, Reasoner, Place], tuple[str, ...]]) -> list[tuple[str, ...]]:
        ample = Patience(600.0)  # a clock's time: on a busy machine the slower way takes long
        planner = Planner(Problem(Checks(catalogue, places), catalogue.vehicles["tansy-m080"], request), ample)
        may_stay = planner.may_stay(unknown_limited=False)
        forced = [p for p in planner.problem.found if p not in may_stay]
        reasoner = Reasoner(planner, None, places_asked(w.places for w in request.wants))
        return [search(planner, reasoner, p) for p in forced if p.side != "right"]

    def remembering(planner: Planner, reasoner: Reasoner, kept: Place) -> tuple[str, ...]:
        return reasoner.cites(kept, unknown_limited=False)

    def by_deletion(planner: Planner, reasoner: Reasoner, kept: Place) -> tuple[str, ...]:
        cited = [s for s in reasoner.ranked(kept) if s != "unknown"]
        for sort in reversed(cited[:]):
            planner.forget()
            without = [s for s in cited if s != sort]
            if not planner.is_possible(without, kept):
                cited = without
        return tuple(cited)

    same = found(remembering) == found(by_deletion)
    print(f"Reasons of {len(found(remembering))} forced changes, the same by both: {same}; medians of {runs} runs")
    peer = timed("a check left out at a time, each time solved", lambda: found(by_deletion), runs)
    shown([timed("earlier fillings and proofs remembered", lambda: found(remembering), runs), peer], peer, "deletion")


def main() -> None:
    """Print everything."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--runs", type=int, default=3)
    sections = {f.__name__: f for f in (whole_processes, sheets, one_process, classes_or_pairs, reasons)}
    parser.add_argument("--only", choices=sections, action="append", help="a part of it; may be given several times")
    asked = parser.parse_args()
    print(f"Python {platform.python_version()}, {platform.machine()}, {os.cpu_count()} processors")
    for name in asked.only or sections:
        sections[name](min(asked.runs, 3) if name in ("sheets", "reasons") else asked.runs)


if __name__ == "__main__":
    main()
