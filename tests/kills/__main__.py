"""``python -m tests.kills``: KNOCKON_KILLS kills (2,000) from KNOCKON_KILLS_SEED; exit status 1 for a loss."""

from __future__ import annotations

import os
import sys
import tempfile
from collections import Counter
from pathlib import Path

os.environ["KNOCKON_CACHE"] = "off"

import click  # the cache is switched off first

from tests.kills.run import Tally, kills
from tests.kills.scenarios import scenarios

KEPT, KEPT_EVERY = Path("build/kills.txt"), 20
"""Where the report of a run that is under way is kept, and after how many kills."""


def report(tally: Tally) -> str:
    """What came of it."""

    def counted(of: Counter[str]) -> str:
        return ", ".join(f"{what} {n}" for what, n in sorted(of.items()))

    lines = [f"{tally.kills} kills, {len(tally.faults)} faults", f"  commands: {counted(tally.commands)}"]
    lines += [f"  killed: {counted(tally.ways)}", f"  left: {counted(tally.left)}", f"  then: {counted(tally.after)}"]
    return "\n".join([*lines, *(f"  FAULT {fault}" for fault in tally.faults)])


def main() -> int:
    """Kill, and tell; 1 if anything was lost."""
    most, seed = int(os.environ.get("KNOCKON_KILLS", "2000")), int(os.environ.get("KNOCKON_KILLS_SEED", "20261129"))
    with tempfile.TemporaryDirectory(prefix="knockon-kills-") as name:
        every = scenarios(Path(name))
        with click.progressbar(length=most, label="killed", file=sys.stderr) as bar:

            def progress(so_far: Tally) -> None:
                bar.update(so_far.kills - bar.pos)
                if so_far.kills % KEPT_EVERY == 0:
                    KEPT.parent.mkdir(parents=True, exist_ok=True)
                    KEPT.write_text(report(so_far) + "\n", encoding="utf-8")

            tally = kills(every, most, seed, Path(name) / "tried", progress)
    print(report(tally))
    return int(bool(tally.faults))


if __name__ == "__main__":
    sys.exit(main())
