"""The README's worked examples and the first steps of docs/start.md, run as a reader would run them."""

from __future__ import annotations

import os
import re
import shlex
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")
START = (ROOT / "docs" / "start.md").read_text(encoding="utf-8")


def run(command: str, folder: Path) -> subprocess.CompletedProcess[str]:
    """Run a `knockon ...` line of a page."""
    words = shlex.split(command)
    assert words[0] == "knockon"
    environment = {**os.environ, "PYTHONIOENCODING": "utf-8", "NO_COLOR": "1", "COLUMNS": "100"}
    return subprocess.run(
        [sys.executable, "-m", "knockon", *words[1:]],
        cwd=folder,
        env=environment,
        capture_output=True,
        text=True,
        check=False,
    )


EXAMPLES = re.findall(r"```text\n\$ (knockon [^\n]*)\n(.*?)```", README, re.DOTALL)


def test_the_readme_has_its_examples() -> None:
    assert len(EXAMPLES) == 3
    assert "make demo" in README
    assert "make test" in README


@pytest.mark.parametrize(("command", "shown"), EXAMPLES, ids=[c for c, _ in EXAMPLES])
def test_the_readme_shows_real_output(command: str, shown: str, tmp_path: Path) -> None:
    real = run(command, tmp_path).stdout
    pieces = [piece.strip("\n") for piece in re.split(r"^\.\.\.$", shown, flags=re.MULTILINE)]
    if len(pieces) == 1:
        assert shown == real
    place = 0
    for piece in filter(None, pieces):
        found = real.find(piece, place)
        assert found >= 0, f"not in the output (in this order): {piece}"
        place = found + len(piece)


def test_the_first_steps_lead_where_they_say(tmp_path: Path) -> None:
    names = re.findall(r"`mine/([\w/]+\.csv)`", START)
    tables = re.findall(r"```csv\n(.*?)```", START, re.DOTALL)
    assert len(names) == len(tables) == 7
    for name, table in zip(names, tables, strict=True):
        path = tmp_path / "mine" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(table, encoding="utf-8")
    check, fits, unknown = (line.removeprefix("$ ") for line in re.findall(r"\$ knockon --records[^\n]*", START))
    checked = run(check, tmp_path)
    assert (checked.returncode, "Nothing was skipped" in checked.stdout) == (0, True), checked.stdout
    good = run(fits, tmp_path)
    assert good.returncode == 0, good.stdout + good.stderr
    assert "FITS" in good.stdout
    open_ = run(unknown, tmp_path)
    assert open_.returncode == 1
    assert "NOT KNOWN" in open_.stdout
    table = tmp_path / "mine" / "features" / "internal_spline.csv"
    table.write_text(table.read_text(encoding="utf-8").replace("25,?", "25,module 1.0"), encoding="utf-8")
    assert "DO NOT USE" in run(unknown, tmp_path).stdout
