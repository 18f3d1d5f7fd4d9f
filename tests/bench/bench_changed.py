"""Opening records in which something changed: ``python tests/bench/bench_changed.py [FOLDER]``.

Works on a copy of the folder; without one, on records made up for this run (tests/bench/worlds.py). For each sort of
change the median of the processor time until the records can be asked again, and whether the change was put into the
prepared copy or all was read anew.
"""

from __future__ import annotations

import csv
import os
import shutil
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))  # so that the file runs by its path

from knockon.graph.notes.write import Draft, add_note
from knockon.graph.records import changed, load, load_records
from tests.bench.given import folder_asked

Rows = list[list[str]]


def edited(folder: Path, table: str, edit: Callable[[Rows], object]) -> None:
    """Change the rows of a table."""
    path = folder / table
    with path.open(newline="", encoding="utf-8") as stream:
        rows = list(csv.reader(stream))
    edit(rows)
    with path.open("w", newline="", encoding="utf-8") as stream:
        csv.writer(stream, lineterminator="\n").writerows(rows)


def a_price(folder: Path, run: int) -> None:
    """The price of one offer."""
    edited(folder, "offers.csv", lambda rows: rows[-1].__setitem__(rows[0].index("price"), f"{run + 1}.11"))


def prices(folder: Path, run: int) -> None:
    """Those of three hundred offers, all over the table."""

    def edit(rows: Rows) -> None:
        at = rows[0].index("price")
        for row in rows[1 :: max(1, len(rows) // 300)]:
            row[at] = f"{run + 1}.34"

    edited(folder, "offers.csv", edit)


def a_claim(folder: Path, run: int) -> None:
    """One claim more: two parts go together."""
    parts = [p for p in load_records(folder).parts if p.endswith(str(run))][:2]
    said = {"part": parts[0], "claim": "goes with", "other part": parts[-1]}
    edited(folder, "claims.csv", lambda rows: rows.append([said.get(column, "") for column in rows[0]]))


def a_size(folder: Path, run: int) -> None:
    """One size of one part."""
    edited(folder, "features/journal.csv", lambda rows: rows[-1].__setitem__(rows[0].index("diameter"), f"31.{run} mm"))


def a_part(folder: Path, run: int) -> None:
    """One part more, like the last of the table."""

    def edit(rows: Rows) -> None:
        like = dict(zip(rows[0], rows[-1], strict=True)) | {"part": f"NEW-{run}", "mirror of": "", "drawn as": ""}
        rows.append([like[column] for column in rows[0]])

    edited(folder, "parts.csv", edit)


def a_note(folder: Path, run: int) -> None:
    """One note more on a part."""
    known = load_records(folder)
    add_note(folder, Draft("m1", f"went together, {run}", (next(iter(known.parts)),)), lambda: known)


CHANGES = {
    "nothing": lambda folder, run: None,
    "one price": a_price,
    "300 prices": prices,
    "one claim more": a_claim,
    "one size": a_size,
    "one part more": a_part,
    "one note more": a_note,
}


def main(folder: Path, runs: int) -> None:
    """Print the table."""
    real, put_in = changed.made_anew, list[bool]()

    def telling(*given: object) -> object:
        found = real(*given)  # type: ignore[arg-type]
        put_in.append(found is not None)
        return found

    changed.made_anew = telling  # type: ignore[assignment]
    with tempfile.TemporaryDirectory() as place:
        os.environ["KNOCKON_CACHE"] = f"{place}/copies"
        records = Path(shutil.copytree(folder, f"{place}/records"))
        start = time.process_time()
        load(records)
        print(f"read anew: {time.process_time() - start:.2f} s\n")
        print("| what changed | s | put into the copy |\n| --- | ---: | --- |")
        for name, change in CHANGES.items():
            took, before = [], len(put_in)
            for run in range(runs):
                change(records, run)
                start = time.process_time()
                load(records)
                took.append(time.process_time() - start)
            told = "" if name == "nothing" else f"{sum(put_in[before:])} of {runs}"
            print(f"| {name} | {statistics.median(took):.3f} | {told} |")


if __name__ == "__main__":
    with folder_asked(__doc__) as (folder, runs):
        main(folder, runs)
