"""How far one machine goes with Parquet and DuckDB: ``python tests/bench/bench_cluster.py [--parts 10000 100000]``.

For each number of parts: records are made up (``tests.bench.worlds``), exported as Parquet, and the short list of the
demo's swap is made from the export. Prints processor seconds, peak memory and sizes on disk, each step in a process of
its own. Of three sizes in equal ratio it tells how what is not fixed grows, and what that comes to at 100,000,000
parts: an extrapolation, no measurement. Needs the extra ``cluster``.
"""

from __future__ import annotations

import argparse
import itertools
import json
import math
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))  # so that the file runs by its path

FAR = 100_000_000
WISH = "rotor=LARCH-201"
VEHICLE = "tansy-m080"


def made(folder: Path, parts: int, distinct: bool) -> dict[str, float]:
    """Made-up records."""
    from tests.bench import worlds

    worlds.make_world(folder, parts, 1, distinct)
    return {"MB": size_of(folder)}


def size_of(folder: Path) -> float:
    """The size of a folder in MB."""
    return sum(p.stat().st_size for p in folder.rglob("*") if p.is_file()) / 1e6


def step(name: str, folder: Path, parts: int, distinct: bool) -> dict[str, float]:
    """One step, in this process; what it found."""
    from knockon.graph.columns.parquet import write_parquet
    from knockon.graph.columns.tables import Catalogued
    from knockon.graph.records import load
    from knockon.queries.shortlist.shortlist import Way, shortlist

    if name == "make":
        return made(folder / "records", parts, distinct)
    records = load(folder / "records")
    if name == "load":
        return {}
    if name == "export":
        write_parquet(Catalogued(records.catalogue, folder / "records"), folder / "columns")
        return {"MB": size_of(folder / "columns")}
    found = shortlist(
        records.catalogue, folder / "records", VEHICLE, folder / "short", Way((folder / "columns",)), want=(WISH,)
    )
    left = sum(p.left for p in found.positions)
    return {
        "candidates": sum(p.parts for p in found.positions), "left": left, "kept": found.kept, "equal": found.equal,
        "pairs": sum(j.pairs for j in found.joints), "interfaces": sum(j.first_interfaces for j in found.joints),
    }  # fmt: skip


def measured(work: Callable[[], dict[str, float]]) -> dict[str, float]:
    """What a step found, with its processor seconds, seconds on the clock and peak memory in MB."""
    began = time.monotonic()
    before = sum(resource.getrusage(resource.RUSAGE_SELF)[:2])
    found = work()
    used = resource.getrusage(resource.RUSAGE_SELF)
    return {
        "s": used.ru_utime + used.ru_stime - before,
        "clock s": time.monotonic() - began,
        "peak MB": used.ru_maxrss / 1024,
        **found,
    }


def in_a_process(name: str, folder: Path, parts: int, distinct: bool) -> dict[str, float]:
    """One step measured in a process of its own."""
    command = [sys.executable, __file__, "--step", name, "--folder", str(folder), "--parts", str(parts)]
    done = subprocess.run(
        [*command, *(["--distinct"] if distinct else [])], capture_output=True, text=True, check=False
    )
    if done.returncode:
        raise SystemExit(f"{name} of {parts} parts: {done.stderr[-2000:]}")
    return dict(json.loads(done.stdout.splitlines()[-1]))


STEPS = ("make", "load", "export", "shortlist")


def main() -> None:
    """Measure each size and print a table."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--parts", type=int, nargs="+", default=[100, 1_000, 10_000])
    parser.add_argument("--distinct", action="store_true")
    parser.add_argument("--step", default="")
    parser.add_argument("--folder", type=Path)
    asked = parser.parse_args()
    if asked.step:
        print(json.dumps(measured(lambda: step(asked.step, asked.folder, asked.parts[0], asked.distinct))))
        return
    found: dict[int, dict[str, dict[str, float]]] = {}
    for parts in asked.parts:
        with tempfile.TemporaryDirectory(prefix="knockon-bench-") as folder:
            found[parts] = {name: in_a_process(name, Path(folder), parts, asked.distinct) for name in STEPS}
        for name in STEPS:
            print(f"{parts:>11,} {name:10}", *(f"{k} {v:,.4g}" for k, v in found[parts][name].items()), flush=True)
    if len(asked.parts) > 2:
        sizes = tuple(asked.parts[-3:])
        print(f"extrapolated to {FAR:,} parts from {sizes}; nothing of this was run:")
        for name in STEPS[1:]:
            for what in (w for w in found[sizes[-1]][name] if w != "clock s"):
                far, power = extrapolated(sizes, [found[n][name][what] for n in sizes])
                print(f"{FAR:>11,} {name:10} {what} {far:,.3g} (what is not fixed grows with n^{power:.2f})")


def extrapolated(sizes: Sequence[int], values: Sequence[float]) -> tuple[float, float]:
    """What three values come to at FAR parts, and the exponent of growth, if each is something fixed and a power of the
    number of parts; sizes in equal ratio."""
    ratio = sizes[-1] / sizes[-2]
    first, last = (b - a for a, b in itertools.pairwise(values))
    if first <= 0 or last <= 0:
        return values[-1], 0.0
    growth, steps = last / first, math.log(FAR / sizes[-1]) / math.log(ratio)
    more = last * growth * (growth**steps - 1) / (growth - 1) if growth != 1 else last * steps
    return values[-1] + more, math.log(growth) / math.log(ratio)


if __name__ == "__main__":
    main()
