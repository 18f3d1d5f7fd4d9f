"""``python -m tests.mutation [--folder F] [--share 1/2] reach|core|program|drawn|page|FILE ...``: see ``make mutants``.

``reach`` records which tests run which lines (minutes; once, and again for tests that are new), ``core`` tries all
mutants of the four modules that judge, ``program`` leaves out each statement of swap.lp, ``drawn`` tries 400 mutants of
the other files, a file's path tries that file, ``page`` writes docs/mutants.md from what was found. Without words: all
of them, in this order.
"""

from __future__ import annotations

import argparse
import os
import subprocess
import sys
from pathlib import Path

from tests.mutation.mutants import Mutant
from tests.mutation.reach import Reach, record
from tests.mutation.report import page, reason_of, reasons
from tests.mutation.run import (
    CORE,
    DRAWN,
    SEED,
    WORLDS,
    WORLDS_OF_PROGRAM,
    Result,
    Runner,
    all_of,
    all_statements,
    drawn,
    results_so_far,
    run_all,
)
from tests.mutation.trial import ROOT

FOLDER = ROOT / "build" / "mutants"
PAGE = ROOT / "docs" / "mutants.md"
PARTS = ("reach", "core", "program", "drawn", "page")
RECORDED = ("unit", "reference", "properties/test_oracle_engine.py", "properties/test_oracle_found.py",
            "demo", "sheets", "commands", "csvw", "properties", "exchange", "upgrade")  # fmt: skip


def results_of(folder: Path, name: str) -> Path:
    """Where the results of a file or a part stand."""
    return folder / (name.replace("/", "_") + ".jsonl")


def mutants_of(name: str) -> list[Mutant]:
    """All mutants of a file or a part."""
    return drawn(DRAWN, SEED) if name == "drawn" else all_statements() if name == "program" else all_of(name)


def write_page(folder: Path) -> None:
    """The page from all results that are there."""
    names = [*CORE, "program", "drawn"]
    titles = {
        "program": "queries/plan/solving/swap.lp, statements left out",
        "drawn": f"elsewhere, {DRAWN} drawn by the seed {SEED}",
    }
    found: dict[str, list[Result | None]] = {}
    for name in names:
        path = results_of(folder, name)
        untried = name == "drawn" and not path.exists()  # to draw them takes a while
        found[titles.get(name, name)] = [None] * DRAWN if untried else results_so_far(mutants_of(name), path)
    PAGE.write_text(page(found, Reach(folder).tests_recorded()), encoding="utf-8")


def record_apart(folder: Path, tests: list[str]) -> int:
    """Record in a process of its own, which has not imported the product."""
    environment = {
        **os.environ,
        "KNOCKON_EXAMPLES": str(WORLDS),
        "HYPOTHESIS_PROFILE": "ci",
        "OPENBLAS_NUM_THREADS": "1",
    }
    command = [
        sys.executable,
        "-W",
        "ignore",
        "-m",
        "tests.mutation",
        "--folder",
        str(folder),
        "--new",
        "--record",
        *tests,
    ]
    return subprocess.run(command, cwd=ROOT, env=environment, check=False).returncode


def try_all(folder: Path, names: list[str], most: int, share: str, untried: bool) -> None:
    """Try the mutants of some files and parts; of each only about ``most`` (0: all), and of these one share. No
    survivor that is explained is tried again; if ``untried``, no survivor."""
    known = reasons()
    nth, of = map(int, share.split("/"))
    for name in names:
        os.environ["KNOCKON_EXAMPLES"] = str(WORLDS_OF_PROGRAM if name == "program" else WORLDS)
        found = mutants_of(name)
        if most:
            found = found[:: max(1, len(found) // most)]
        found = found[nth - 1 :: of]
        with Runner(folder) as runner:
            results = run_all(found, results_of(folder, name), runner, lambda r: untried or bool(reason_of(r, known)))
        print(f"{name}: {len(results)} mutants, {sum(r.survived for r in results)} not noticed", flush=True)


def main() -> int:
    """Do what the words say."""
    parser = argparse.ArgumentParser(prog="python -m tests.mutation")
    parser.add_argument("--folder", type=Path, default=FOLDER)
    parser.add_argument("--record", nargs="+", metavar="TESTS", help="record these tests, in this process")
    parser.add_argument("--new", action="store_true", help="of these only those that were never recorded")
    parser.add_argument("--most", type=int, default=0, help="of each part only about so many, to see that it works")
    parser.add_argument("--share", default="1/1", help="2/3: every third mutant from the second; for runs side by side")
    parser.add_argument("--untried", action="store_true", help="only those that no run has tried: no survivor again")
    parser.add_argument("words", nargs="*", metavar="PART_OR_FILE")
    given = parser.parse_args()
    if given.record:
        return record(given.folder, given.record, given.new)
    words = given.words or list(PARTS)
    if "reach" in words:
        record_apart(given.folder, [f"tests/{name}" for name in RECORDED])
    names = [name for word in words if word not in ("reach", "page") for name in (CORE if word == "core" else (word,))]
    if names:
        os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
        try_all(given.folder, names, given.most, given.share, given.untried)
    if "page" in words:
        write_page(given.folder)
    return 0


if __name__ == "__main__":
    sys.exit(main())
