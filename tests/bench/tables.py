"""The figures of runs of bench_scale.py as tables for docs/speed.md: ``python -m tests.bench.tables FIGURES.json...``.

Several runs may be given, larger sizes from a run of their own; each cell is compared within its own run, and a later
run's stands in place of an earlier one's.
"""

from __future__ import annotations

import json
import math
import sys
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

FIRST_DEMO = 9.9
"""How many times ``import rdflib`` the demo's swap took in the first version: the measure of what is aimed at."""
SIZES = (1_000, 10_000, 100_000, 1_000_000)
PLANS = tuple(FIRST_DEMO * n for n in (1.5, 3, 6, 15))
SHORT = tuple(FIRST_DEMO * n for n in (1.1, 1.2, 1.5, 2))
AIMS = {
    "swap": PLANS, "kit": PLANS, "combinations": PLANS, "disputes": PLANS,
    "fits": SHORT, "partners": SHORT, "part": SHORT,
    "load": (1.0, 3.0, 20.0, 200.0), "reopen": (0.005, 0.01, 0.02, 0.05), "one line changed": (0.1, 0.3, 1.0, 5.0),
}  # fmt: skip
"""Commands in multiples of ``import rdflib``, records in seconds."""
MEMORY_AIMS = {"load": (math.inf, 150.0, 500.0, 4000.0), "swap": (math.inf, math.inf, math.inf, 2000.0)}
"""In MB."""
Cell = dict[str, Any]


def cells_of(runs: Sequence[Mapping[str, Any]]) -> list[Cell]:
    """All cells, each with its time as this table tells it: multiples for commands, seconds for records, ms beside
    peers."""
    found: dict[tuple[str, ...], Cell] = {}
    for run in runs:
        for cell in run["cells"]:
            scale = {"command": 1 / run["import rdflib"], "inside": 1.0}.get(cell["engine"], 1000.0)
            time = None if cell["seconds"] is None else cell["seconds"] * scale
            key = tuple(str(cell[k]) for k in ("world", "parts", "question", "engine"))
            found[key] = {**cell, "time": time, "limits": run["limits"], "scale": scale}
    return list(found.values())


def told(cell: Cell | None) -> str:
    """A time as it stands in a table, or why there is none."""
    if cell is None:
        return ""
    if cell["time"] is None:
        if cell["why"] == "time":
            return f"more than {number(cell['limits']['seconds'] * cell['scale'])}"
        return f"more than {cell['limits']['gigabytes']:g} GB" if cell["why"] == "memory" else str(cell["why"])
    return number(cell["time"]) + (" (not all decided)" if cell["why"] else "")


def number(value: float) -> str:
    """Two figures, or whole ones from ten on."""
    if value >= 10:
        return f"{value:,.0f}"
    return f"{value:.2g}" if value < 0.1 else f"{value:.2f}"


def both(cells: Sequence[Cell], question: str, engine: str, parts: int) -> list[Cell | None]:
    """A cell of the world with shared sizes, and of the one with distinct ones."""
    return [
        next((c for c in cells if (c["world"], c["question"], c["engine"], c["parts"]) == (w, question, engine, parts)),
             None)
        for w in ("zipf", "distinct")
    ]  # fmt: skip


def missed(question: str, pair: Sequence[Cell | None], parts: int) -> str:
    """By how much the slower of both worlds misses what is aimed at; nothing where it does not."""
    known = [c for c in pair if c is not None]
    aims = MEMORY_AIMS if any(c.get("memory") for c in known) else AIMS
    aim = aims[question][SIZES.index(parts)] if question in aims and parts in SIZES else math.inf
    if math.isinf(aim):
        return ""
    if any(c["time"] is None or (c["why"] and not c.get("memory")) for c in known):
        return f"aim {number(aim)}: missed"
    worst = max(c["time"] for c in known)
    return f"aim {number(aim)}: {f'missed, {number(worst / aim)} times it' if worst > aim else 'met'}"


def grown(cells: Sequence[Cell], name: str, engine: str, sizes: Sequence[int]) -> str:
    """The exponent with which the time grew between the two largest sizes at which it ended, for either world."""
    found = []
    for world in (0, 1):
        ended = [(n, c["time"]) for n in sizes if (c := both(cells, name, engine, n)[world]) and c["time"]]
        if len(ended) > 1:
            (n, less), (m, more) = ended[-2:]
            found.append(f"{math.log(more / less) / math.log(m / n):.2f}")
    return " / ".join(found)


def rows(cells: Sequence[Cell], engines: Sequence[str], question: str = "") -> Iterator[tuple[str, ...]]:
    """A row for each question, or for each engine at one question; a column for each size, one for the growth."""
    sizes = sorted({c["parts"] for c in cells})
    own = [c for c in cells if c["engine"] in engines and question in ("", c["question"])]
    for name, engine in dict.fromkeys((c["question"], c["engine"]) for c in own):
        line = [engine if question else name]
        for parts in sizes:
            pair = both(cells, name, engine, parts)
            text = " / ".join(told(c) for c in pair if c is not None)
            judged = missed(name, pair, parts) if text else ""
            line.append(f"{text}; {judged}" if judged else text)
        yield (*line, grown(own, name, engine, sizes))


def table(head: str, cells: Sequence[Cell], engines: Sequence[str], question: str = "") -> str:
    """One table in Markdown."""
    sizes = [f"{n:,}" for n in sorted({c["parts"] for c in cells})]
    lines = [(head, *sizes, "grows as n^"), ("---", *("---:" for _ in sizes), "---:"), *rows(cells, engines, question)]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


def main(paths: Sequence[str]) -> None:
    """Print all tables."""
    cells = cells_of([json.loads(Path(p).read_text(encoding="utf-8")) for p in paths])
    peers = list(dict.fromkeys(c["engine"] for c in cells if c["engine"] not in ("command", "inside")))
    print("Whole commands, times `import rdflib`\n\n" + table("command", cells, ["command"]))
    print("\nRecords, seconds\n\n" + table("what", cells, ["inside"]))
    memory = [{**c, "time": c["megabytes"], "why": "", "memory": True} for c in cells if c["time"] is not None]
    print("\nPeak memory of a process, MB\n\n" + table("command", memory, ["command", "inside"]))
    for asked in ("partners beside peers", "chain beside peers"):
        print(f"\n{asked}, ms\n\n" + table("with", cells, peers, asked))


if __name__ == "__main__":
    main(sys.argv[1:])
