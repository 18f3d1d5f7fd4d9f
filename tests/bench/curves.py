"""The curves of a run of bench_scale.py as a picture: ``python -m tests.bench.curves FIGURES.json... PICTURE.svg``."""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

STYLES = {"zipf": "-", "distinct": "--"}
PANELS = (
    ("Whole commands", "times import rdflib"),
    ("Records", "times import rdflib"),
    ("Partners at one joint", "ms"),
    ("A chain of five joints", "ms"),
)


def panel_of(cell: Mapping[str, Any]) -> int:
    """Which panel shows a measurement."""
    if cell["question"] == "partners beside peers":
        return 2
    if cell["question"] == "chain beside peers":
        return 3
    return 0 if cell["engine"] == "command" else 1


def name_of(cell: Mapping[str, Any]) -> str:
    """Which curve a measurement belongs to."""
    return str(cell["question"] if cell["engine"] in ("command", "inside") else cell["engine"])


def draw(runs: Sequence[Mapping[str, Any]], path: Path) -> None:
    """Time over number of parts, of one run or of several at different sizes; both axes are logarithmic.

    What did not end is a hollow mark at its limit.
    """
    import matplotlib as mpl

    mpl.use("Agg")
    mpl.rcParams.update({"svg.hashsalt": "knockon", "svg.fonttype": "none"})  # the same bytes; text stays text
    from matplotlib import pyplot as plt

    picture, axes = plt.subplots(2, 2, figsize=(11, 8), layout="constrained")
    panels: list[list[Mapping[str, Any]]] = [[] for _ in PANELS]
    for figures in runs:
        for cell in figures["cells"]:
            panel = panel_of(cell)
            scale = 1000.0 if PANELS[panel][1] == "ms" else 1 / figures["import rdflib"]
            time = None if cell["seconds"] is None else cell["seconds"] * scale
            panels[panel].append({**cell, "time": time, "limit": figures["limits"]["seconds"] * scale})
    for axis, (title, unit), cells in zip(axes.flat, PANELS, panels, strict=True):
        _curves(axis, cells)
        axis.set(title=title, xlabel="parts beside the demo's", ylabel=unit, xscale="log", yscale="log")
        if cells:
            axis.legend(fontsize="x-small")
    picture.suptitle("Solid: sizes that parts share; dashed: every size of its own; hollow: did not end")
    picture.savefig(path, metadata={"Date": None} if path.suffix == ".svg" else None)
    plt.close(picture)


def _curves(axis: Any, cells: Sequence[Mapping[str, Any]]) -> None:
    names = list(dict.fromkeys(name_of(c) for c in cells))
    for number, name in enumerate(names):
        for world, style in STYLES.items():
            own = [c for c in cells if name_of(c) == name and c["world"] == world]
            ended = [(c["parts"], c["time"]) for c in own if c["time"] is not None]
            colour = f"C{number}"
            if ended:
                label = name if world == "zipf" else None
                axis.plot(*zip(*ended, strict=True), style, marker="o", ms=3, color=colour, label=label)
            for cell in (c for c in own if c["why"] == "time"):
                axis.plot([cell["parts"]], [cell["limit"]], marker="^", ms=7, mfc="none", color=colour, ls="none",
                          label=name if not ended and world == "zipf" else None)  # fmt: skip


if __name__ == "__main__":
    draw([json.loads(Path(p).read_text(encoding="utf-8")) for p in sys.argv[1:-1]], Path(sys.argv[-1]))
