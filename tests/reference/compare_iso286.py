"""Compare our ISO 286 limits cell by cell with two open packages.

``python tests/reference/compare_iso286.py`` makes a throw-away environment, installs pressfit 0.1.0
and isofits 1.0 into it (isofits puts modules named ``data`` and ``test`` at the top level, so it
must not share an environment with anything), asks both for every cell they have, and prints how
many agree and each that does not. It needs a package index. Findings are judged in
docs/calculations/fits.md.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import venv
from dataclasses import dataclass
from pathlib import Path

from knockon.graph.standards.iso286 import ToleranceClassError, deviations

PACKAGES = ("pressfit==0.1.0", "isofits==1.0")

# Runs in the throw-away environment and writes rows [package, class, size in mm, lower, upper] as JSON. One size
# inside each band and one on its upper edge.
DUMP = """
import json, sys
import data, pressfit
edges = [3, 6, 10, 14, 18, 24, 30, 40, 50, 65, 80, 100, 120, 140, 160, 180, 200, 225, 250, 280, 315, 355, 400, 450, 500]
sizes = [s for low, high in zip([0] + edges, edges) for s in ((low + high) / 2, float(high))]
rows = []
for size in sizes:
    for letter in "c d e f g h js k m n p s u".split():
        for grade in range(5, 12):
            found = pressfit.fit(f"H{grade}/{letter}{grade}", size)
            rows.append(["pressfit", f"{letter}{grade}", size, found.shaft_ei_um, found.shaft_es_um])
            rows.append(["pressfit", f"H{grade}", size, found.hole_ei_um, found.hole_es_um])
for table in (data.hole_data, data.shaft_data):
    for name in table:
        if name in ("over", "inc."):
            continue
        for low, high, cell in zip(table["over"], table["inc."], table[name]):
            upper, lower = (float(x) for x in cell.split("\\n"))
            for size in ((float(low) + float(high)) / 2, float(high)):
                rows.append(["isofits", name, size, lower, upper])
json.dump(rows, sys.stdout)
"""


@dataclass(frozen=True, order=True)
class Disagreement:
    """One cell where a package and this project differ: deviations in um, lower and upper."""

    package: str
    tolerance_class: str
    size: float
    theirs: tuple[float, float]
    ours: tuple[float, float] | None


def dump() -> list[tuple[str, str, float, float, float]]:
    """Every cell of both packages, from a throw-away environment of their own."""
    with tempfile.TemporaryDirectory() as folder:
        venv.create(folder, with_pip=True)
        python = str(Path(folder) / "bin" / "python")
        subprocess.run([python, "-m", "pip", "install", "-q", *PACKAGES], check=True)
        out = subprocess.run([python, "-c", DUMP], check=True, capture_output=True, text=True).stdout
    rows = {(p, c, float(s), float(low), float(high)) for p, c, s, low, high in json.loads(out)}
    return sorted(rows)


def compare(rows: list[tuple[str, str, float, float, float]]) -> list[Disagreement]:
    """The cells that differ from ours, or that we do not have."""
    found = []
    for package, name, size, lower, upper in rows:
        try:
            ours = deviations(size, name)
        except ToleranceClassError:
            found.append(Disagreement(package, name, size, (lower, upper), None))
            continue
        if (ours.lower, ours.upper) != (lower, upper):
            found.append(Disagreement(package, name, size, (lower, upper), (ours.lower, ours.upper)))
    return sorted(found)


def main() -> int:
    """Print the comparison; the status is 0 whatever it finds, because a disagreement is judged by a person."""
    rows = dump()
    found = compare(rows)
    for package in sorted({r[0] for r in rows}):
        cells = [r for r in rows if r[0] == package]
        differ = [d for d in found if d.package == package]
        print(f"{package}: {len(cells)} cells compared, {len(differ)} differ")
        for d in differ:
            theirs = f"{d.theirs[0]:g}/{d.theirs[1]:g}"
            ours = "none" if d.ours is None else f"{d.ours[0]:g}/{d.ours[1]:g}"
            print(f"  {d.tolerance_class} at {d.size:g} mm: {package} {theirs}, ours {ours}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
