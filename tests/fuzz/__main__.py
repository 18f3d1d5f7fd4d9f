"""``python -m tests.fuzz [KIND ...]``: KNOCKON_FUZZ_INPUTS broken inputs of each kind, from KNOCKON_FUZZ_SEED.

Exit status 1 if one failed.
"""

from __future__ import annotations

import os
import sys
import tempfile
from pathlib import Path

os.environ["KNOCKON_CACHE"] = tempfile.mkdtemp(prefix="knockon-fuzz-cache-")

import click  # the cache is named first

from tests.fuzz import rdf, requests, sheets, vocabulary
from tests.fuzz.kinds import Kind
from tests.fuzz.run import Tally, run

KINDS: dict[str, Kind] = {k.name: k for k in (vocabulary.KIND, rdf.KIND, sheets.KIND, requests.KIND)}
FOLDER = Path("build/fuzz")
SHOWN = 20


def report(tally: Tally) -> str:
    """What came of one kind."""
    lines = [f"{tally.kind}: {tally.done} inputs of seed {tally.seed}, {len(tally.faults)} failed"]
    for title, counted in (("came to", tally.outcomes), ("changed", tally.changes)):
        lines.append(f"  {title}: {', '.join(f'{what} {n}' for what, n in sorted(counted.items()))}")
    lines += [f"  FAILED {fault}" for fault in tally.faults[:SHOWN]]
    if len(tally.faults) > SHOWN:
        lines.append(f"  and {len(tally.faults) - SHOWN} more, in {FOLDER / tally.kind}")
    return "\n".join(lines)


def main(names: list[str]) -> int:
    """Run the kinds named, or all; 1 if an input failed."""
    most, seed = (
        int(os.environ.get("KNOCKON_FUZZ_INPUTS", "100000")),
        int(os.environ.get("KNOCKON_FUZZ_SEED", "20261129")),
    )
    strange = [n for n in names if n not in KINDS]
    if strange:
        print(f"no kind {strange[0]!r}; there are: {', '.join(KINDS)}", file=sys.stderr)
        return 2
    failed = False
    for name in names or KINDS:
        with click.progressbar(length=most, label=name, file=sys.stderr) as bar:

            def progress(done: int, whole: int) -> None:
                bar.update(done - bar.pos)  # called before the next kind begins

            tally = run(KINDS[name], most, FOLDER, seed, progress)
        print(report(tally), flush=True)
        failed |= bool(tally.faults)
    return int(failed)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
