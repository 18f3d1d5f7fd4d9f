"""The README's worked examples and the first steps of docs/start.md, run as a reader would run them."""

from __future__ import annotations

import json
import os
import re
import shlex
import shutil
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
    assert len(EXAMPLES) == 4
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


DOCS = ROOT / "docs"
ASKED = {
    page.name: re.findall(r"^\$ (knockon [^\n]*)$", page.read_text(encoding="utf-8"), re.MULTILINE)
    for page in sorted(DOCS.glob("*.md"))
}


@pytest.fixture(scope="module")
def mine(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The folder in which the tables of the first page stand, as it says."""
    folder = tmp_path_factory.mktemp("start")
    names = re.findall(r"`mine/([\w/]+\.csv)`", START)
    tables = re.findall(r"```csv\n(.*?)```", START, re.DOTALL)
    assert len(names) == len(tables) == 13
    for name, table in zip(names, tables, strict=True):
        path = folder / "mine" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(table, encoding="utf-8")
    return folder


def test_the_first_steps_lead_where_they_say(mine: Path) -> None:
    check, fits, unknown, swap = ASKED["start.md"]
    checked = run(check, mine)
    assert (checked.returncode, "Nothing was skipped" in checked.stdout) == (0, True), checked.stdout
    good = run(fits, mine)
    assert good.returncode == 0, good.stdout + good.stderr
    assert "FITS" in good.stdout
    open_ = run(unknown, mine)
    assert open_.returncode == 1
    assert "NOT KNOWN" in open_.stdout
    planned = json.loads(run(f"{swap} --json", mine).stdout)["result"]
    changed = {group["group"] for group in planned["plan"]["groups"]}
    assert changed >= {"rotors", "drive flanges", "outer joints", "hub nuts"}
    assert not changed & {"knuckle", "calipers"}


def test_a_pitch_that_differs_is_the_near_miss_that_the_first_page_tells_of(mine: Path, tmp_path: Path) -> None:
    shutil.copytree(mine / "mine", tmp_path / "mine")
    table = tmp_path / "mine" / "features" / "internal_spline.csv"
    table.write_text(table.read_text(encoding="utf-8").replace("25,?", "25,24/48"), encoding="utf-8")
    assert "DO NOT USE" in run(ASKED["start.md"][2], tmp_path).stdout


@pytest.mark.parametrize("command", ASKED["first-swap.md"])
def test_what_the_first_swap_pastes_is_answered(command: str, tmp_path: Path) -> None:
    ran = run(command, tmp_path)
    assert ran.returncode in (0, 1), ran.stderr
    assert ran.stdout.startswith("Records: the demo world (invented)")


WRITTEN_OUT = ("mutants.md", "decisions.md", "commands.md", "records.md")
"""Pages that a command writes, and the one that is added to at its end."""
PAGES = sorted(p for p in DOCS.glob("*.md") if p.name not in WRITTEN_OUT)


@pytest.mark.parametrize("page", PAGES, ids=lambda p: p.name)
def test_a_page_says_for_whom_it_is_and_where_to_go_next(page: Path) -> None:
    text = page.read_text(encoding="utf-8")
    last = text.rstrip().split("\n\n")[-1]
    assert last.startswith("Where to go next: "), last
    assert re.match(r"# [^\n]+\n\n(For (those|clubs) |Read this page if )", text), text[:80]
    long = [line for line in text.splitlines() if len(line) > 100 and not line.startswith(("|", " "))]
    assert not long


@pytest.mark.parametrize("page", [*PAGES, ROOT / "README.md", ROOT / "DEVELOPERS.md"], ids=lambda p: p.name)
def test_every_link_of_a_page_leads_somewhere(page: Path) -> None:
    for target in re.findall(r"\]\(([^)#]+)(?:#[^)]*)?\)", page.read_text(encoding="utf-8")):
        assert target.startswith("http") or (page.parent / target).exists(), target
