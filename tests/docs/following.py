"""docs/start.md followed step by step: its sheets are written and filled in, its commands are run."""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Callable
from pathlib import Path
from typing import Any

from tests.sheets.filling import fill
from tests.sheets.workbooks import write_xlsx

ROOT = Path(__file__).parents[2]
START = ROOT / "docs" / "start.md"
_STEP = re.compile(
    r"`((?:mine/|my-)[\w/]+\.(?:csv|xlsx))`|```csv\n(.*?)```|((?:^\|[^\n]*\n)+)|```console\n(.*?)```",
    re.DOTALL | re.MULTILINE,
)


def commands_of(page: str) -> list[str]:
    """The commands that a page types, those on several lines as one."""
    return re.findall(r"^\$ (knockon [^\n]*)$", page.replace("\\\n", ""), re.MULTILINE)


def follow(folder: Path, run: Callable[[str], Any], until: str = "") -> dict[str, Any]:
    """Do what the page says, in its order; what came of each command, by the command. ``until``: stop before the first
    command that begins so."""
    page = START.read_text(encoding="utf-8")
    names: list[str] = []
    done: dict[str, Any] = {}
    for name, text, shown, typed in _STEP.findall(page):
        table = text or shown
        if name:
            names.append(name)
        elif table:
            _write(folder / names.pop(0), table)
        for command in commands_of(typed):
            if until and command.startswith(until):
                return done
            done[command] = run(command)
    assert not names, f"the page names {names} and shows no table for it"
    return done


def _write(path: Path, table: str) -> None:
    if path.suffix == ".csv":
        assert not path.exists(), f"{path} would be written over"
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(table, encoding="utf-8")
        return
    if table.startswith("|"):
        head, _, *lines = [[cell.strip() for cell in line.strip("|").split("|")] for line in table.splitlines()]
        write_xlsx(path, [list(row) for row in (head, *lines)])
        return
    readings = {
        f"{row['place']}, {row['feature']}: {row['size']}": {"reading": row["reading"]}
        for row in csv.DictReader(io.StringIO(table))
    }
    fill(path, {"left": readings, "right": readings})
