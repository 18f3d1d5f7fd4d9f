"""How time and memory grow with the number of parts: every question on made-up worlds, beside peers of the same run.

``make bench`` runs it at 300 and 1,000 parts, each command once after one run that is not counted, so that all benches
together end within ten minutes; ``python tests/bench/bench_scale.py --sizes 1000 10000 --limit 120 --runs 3`` goes
further. Each world is made anew (tests/bench/worlds.py), once with sizes that parts share (zipf) and once with a value
of its own for every size (distinct). Told is processor time, as multiples of the demo world's swap and of ``import
rdflib`` in this run too; a command that does not end within its limit is told as more than that. Nothing is asserted.
"""

from __future__ import annotations

import argparse
import json
import math
import os
import platform
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path
from typing import Any, NamedTuple

sys.path.insert(0, str(Path(__file__).parents[2]))  # so that the file runs by its path

from tests.bench.bench_questions import QUESTIONS as DEMO_QUESTIONS
from tests.bench.bench_questions import SWAP
from tests.bench.limited import Cost, Limits, environment, median_of, run

LOADING = """
import json, sys, time
from pathlib import Path
from knockon.graph.records import load
began = time.process_time()
load(Path(sys.argv[1]), ())
print(json.dumps({"seconds": time.process_time() - began}))
"""
"""Reading alone, without starting Python and importing; what it keeps for the next time is part of it."""
MORE = {"combinations": ("--first", "20"), "disputes": ()}
QUESTIONS = tuple((*q, *MORE.get(q[0], ())) for q in (*DEMO_QUESTIONS, ("disputes",)))
UNREDUCED = "swap, not reduced"
"""The peer of swap: tests/bench/unreduced.py."""
RECORDS = ("load", "reopen", "one line changed")
ENGINES = (
    "floor",
    "knockon",
    "knockon, all joints",
    "duckdb",
    "pandas",
    "oxigraph",
    "oxigraph, pairs written out",
    "rdflib",
)
ASKED = ("partners", "chain")
SECTIONS = (*RECORDS, *(q[0] for q in QUESTIONS), UNREDUCED, *(f"{a} beside peers" for a in ASKED))


class Cell(NamedTuple):
    """One thing measured at one size of one world; ``seconds`` None where it did not end."""

    world: str
    parts: int
    question: str
    engine: str
    seconds: float | None
    megabytes: float
    found: int | None
    why: str


class Bench:
    """One run: a scratch folder, the limits, and everything measured so far."""

    def __init__(self, scratch: Path, limits: Limits, only: Sequence[str], kept: Path | None) -> None:
        self.scratch = scratch
        self.kept = kept
        self.limits = limits
        self.only = only
        self.cells: list[Cell] = []
        self.around = environment(str(scratch / "cache"), str(scratch / "compiled"))
        ample = limits._replace(seconds=600)
        rdflib = median_of(lambda: run(["-c", "import rdflib"], ample, self.around), ample)
        demo = median_of(lambda: run(["-m", "knockon", *SWAP], ample, self.around), ample)
        self.rdflib, self.demo = rdflib.seconds, demo.seconds
        if math.isinf(self.rdflib + self.demo):
            raise SystemExit(f"there is nothing to compare with: {rdflib.told} {demo.told}")

    def world(self, world: str, parts: int, seed: int) -> None:
        """Make a world and measure all that was asked for on it."""
        folder = self.scratch / f"{world} {parts}"
        more = ["--distinct"] if world == "distinct" else []
        making = ["-m", "tests.bench.worlds", str(folder), "--parts", str(parts), "--seed", str(seed), *more]
        run(making, self.limits._replace(seconds=3600), self.around)
        loaded = self._records(world, parts, folder)
        for question in (q for q in QUESTIONS if q[0] in self.only):
            command = ["-m", "knockon", "--json", "--records", str(folder), *question]
            if loaded:
                cost = median_of(lambda c=command: run(c, self.limits, self.around), self.limits)  # type: ignore[misc]
            else:
                cost = Cost(math.inf, 0, {"why": "its records do not load in time"})
            self._keep(world, parts, question[0], "command", cost)
        if UNREDUCED in self.only and loaded:
            whole = ["-m", "tests.bench.unreduced", str(folder)]
            self._keep(world, parts, UNREDUCED, "command", run(whole, self.limits, self.around))
        for asked in (a for a in ASKED if f"{a} beside peers" in self.only):
            for engine in (e for e in ENGINES if asked == "partners" or e != "knockon, all joints"):
                self._peer(world, parts, asked, engine, folder, loaded)
        self._one_line(world, parts, folder, loaded)

    def _records(self, world: str, parts: int, folder: Path) -> bool:
        """Read the tables for the first time, and open what was kept; whether that ended."""

        def opened() -> Cost:
            return run(["-c", LOADING, str(folder)], self.limits, self.around)

        first = opened()
        if "load" in self.only or math.isinf(first.seconds):
            self._keep(world, parts, "load", "inside", first)
        if math.isinf(first.seconds):
            return False
        if "reopen" in self.only:
            self._keep(world, parts, "reopen", "inside", median_of(opened, self.limits))
        return True

    def _one_line(self, world: str, parts: int, folder: Path, loaded: bool) -> None:
        """Add a line to one table, each time another one, and open the records again."""
        if not loaded or "one line changed" not in self.only:
            return
        table = folder / "features" / "nut.csv"

        def changed() -> Cost:
            with table.open("a", encoding="utf-8") as stream:
                stream.write(f"MAPLE-110,nut,3/8-24 UNF,{table.stat().st_size % 97 + 1} mm,made-up-3\n")
            return run(["-c", LOADING, str(folder)], self.limits, self.around)

        self._keep(world, parts, "one line changed", "inside", median_of(changed, self.limits, warming=False))

    def _peer(self, world: str, parts: int, asked: str, engine: str, folder: Path, loaded: bool) -> None:
        command = ["-m", "tests.bench.peers", engine, asked, str(folder), "--runs", str(self.limits.runs)]
        if engine.startswith("knockon") and not loaded:
            cost = Cost(math.inf, 0, {"why": "its records do not load in time"})
        elif engine == "duckdb" and not _is_there("duckdb"):
            cost = Cost(math.inf, 0, {"why": "not installed"})
        else:
            cost = run(command, self.limits, self.around)
        self._keep(world, parts, f"{asked} beside peers", engine, cost)

    def _keep(self, world: str, parts: int, question: str, engine: str, cost: Cost) -> None:
        seconds: float | None = cost.seconds if engine == "command" else cost.told.get("seconds", cost.seconds)
        if math.isinf(cost.seconds):
            seconds = None
        cell = Cell(world, parts, question, engine, seconds, cost.megabytes, cost.told.get("found"),
                    cost.told.get("why", ""))  # fmt: skip
        self.cells.append(cell)
        print(f"  {self.line(cell)}", flush=True)
        if self.kept:  # after each, so that a run that is broken off leaves what it has
            self.kept.write_text(json.dumps(self.as_json(), indent=1) + "\n", encoding="utf-8")

    def line(self, cell: Cell) -> str:
        """One line: how long, as multiples of the two references, the growth since the smaller size, the memory."""
        name = f"{cell.world:<9}{cell.parts:>9,}  {cell.question:<24}{cell.engine:<28}"
        if cell.seconds is None:
            reason = {"time": f"more than {self.limits.seconds} s",
                      "memory": f"more than {self.limits.gigabytes:g} GB"}.get(cell.why, cell.why)  # fmt: skip
            return f"{name}{reason:>24}"
        smaller = [c for c in self.cells if c[2:4] == cell[2:4] and c.world == cell.world and c.parts < cell.parts
                   and c.seconds]  # fmt: skip
        grown = growth(smaller[-1], cell) if smaller else None
        power = "" if grown is None else f"  grows n^{grown:.2f}"
        found = "" if cell.found is None or cell.engine == "floor" else f"  finds {cell.found}"
        if cell.engine not in ("command", "inside"):
            return f"{name}{cell.seconds * 1000:>12.3f} ms{found}{power}"
        ratios = f"{cell.seconds / self.demo:>7.2f} x demo {cell.seconds / self.rdflib:>8.2f} x import rdflib"
        return f"{name}{cell.seconds:>9.3f} s {ratios} {cell.megabytes:>7.0f} MB{power}  {cell.why}".rstrip()

    def as_json(self) -> dict[str, Any]:
        """All of it, for the picture and the tables of docs/speed.md."""
        return {"python": platform.python_version(), "machine": platform.machine(), "processors": os.cpu_count(),
                "limits": self.limits._asdict(), "import rdflib": self.rdflib, "demo swap": self.demo,
                "cells": [c._asdict() for c in self.cells]}  # fmt: skip


def growth(smaller: Cell, larger: Cell) -> float | None:
    """The exponent with which the time grew between two sizes."""
    if not smaller.seconds or not larger.seconds:
        return None
    return math.log(larger.seconds / smaller.seconds) / math.log(larger.parts / smaller.parts)


def _is_there(module: str) -> bool:
    import importlib.util

    return importlib.util.find_spec(module) is not None


def main() -> None:
    """Measure and print; write the figures and the picture where asked."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sizes", type=int, nargs="+", default=[300, 1000])
    parser.add_argument("--worlds", nargs="+", choices=["zipf", "distinct"], default=["zipf", "distinct"])
    parser.add_argument("--limit", type=int, default=10, help="seconds of processor time for each command")
    parser.add_argument("--memory", type=float, default=8.0, help="gigabytes for each command")
    parser.add_argument("--runs", type=int, default=1)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", nargs="+", choices=SECTIONS, default=SECTIONS)
    parser.add_argument("--json", type=Path, help="write the figures to this file")
    parser.add_argument("--picture", type=Path, help="draw the curves into this file")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as scratch:
        bench = Bench(Path(scratch), Limits(asked.limit, asked.memory, asked.runs), asked.only, asked.json)
        print(f"Python {platform.python_version()}, {platform.machine()}, {os.cpu_count()} processors; the demo's swap"
              f" {bench.demo:.3f} s, import rdflib {bench.rdflib:.3f} s; processor time, medians of {asked.runs} runs,"
              " one where it takes over 5 s")  # fmt: skip
        for parts in asked.sizes:
            for world in asked.worlds:
                bench.world(world, parts, asked.seed)
    if asked.picture:
        from tests.bench.curves import draw

        draw([bench.as_json()], asked.picture)


if __name__ == "__main__":
    main()
