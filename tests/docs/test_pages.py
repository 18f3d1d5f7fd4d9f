"""The README's worked examples and the first steps of docs/start.md, run as a reader would run them."""

from __future__ import annotations

import os
import re
import shlex
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.commands.running import full
from tests.docs.following import commands_of, follow

ROOT = Path(__file__).parents[2]
README = (ROOT / "README.md").read_text(encoding="utf-8")


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
ASKED = {page.name: commands_of(page.read_text(encoding="utf-8")) for page in sorted(DOCS.glob("*.md"))}


@pytest.fixture(scope="module")
def followed(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, dict[str, subprocess.CompletedProcess[str]]]:
    """The folder in which the first page was followed from an empty one, and what its commands said."""
    folder = tmp_path_factory.mktemp("start")
    return folder, follow(folder, lambda command: run(command, folder))


def test_the_first_steps_lead_where_they_say(
    followed: tuple[Path, dict[str, subprocess.CompletedProcess[str]]],
) -> None:
    folder, ran = followed
    assert len(ran) < 15
    new, proposed, parts, check, fits, unknown, taken, _ = ran.values()
    assert (new.returncode, new.stderr) == (0, "")
    assert (proposed.returncode, "Left, because" in proposed.stdout) == (1, False), proposed.stdout + proposed.stderr
    assert (parts.returncode, "11 rows, all loaded" in parts.stdout) == (0, True), parts.stdout + parts.stderr
    assert (check.returncode, "Nothing was skipped" in check.stdout) == (0, True), check.stdout
    assert (fits.returncode, "FITS" in fits.stdout) == (0, True), fits.stdout + fits.stderr
    assert (unknown.returncode, "NOT KNOWN" in unknown.stdout) == (1, True)
    assert (taken.returncode, "all loaded" in taken.stdout) == (0, True), taken.stdout + taken.stderr
    swap = list(ran)[-1]
    planned = full(run(f"{swap} --json", folder).stdout)["result"]
    assert {group["group"] for group in planned["plan"]["groups"]} == {
        "rotors", "drive flanges", "outer joints", "bearings with spacer", "hub nuts", "wheel studs",
    }  # fmt: skip
    now = {f["place"]: f["number"] for f in planned["plan"]["filled"] if f["place"].startswith("left ")}
    right = {"rotor": "R-120", "drive flange": "F-25", "outer joint": "J-25", "hub nut": "N-20"}
    right |= {"inner bearing": "B-28", "outer bearing": "B-28"}
    assert {place: now[f"left {place}"] for place in right} == right


def test_no_layout_is_written_and_a_dozen_parts_are_enough(
    followed: tuple[Path, dict[str, subprocess.CompletedProcess[str]]],
) -> None:
    folder, _ = followed
    written = {p.name for p in (folder / "mine").glob("*.csv")}
    assert not written & {"positions.csv", "joints.csv", "figures.csv", "figure_terms.csv", "layouts.csv"}
    assert len((folder / "mine" / "parts.csv").read_text(encoding="utf-8").splitlines()) <= 13


def test_a_pitch_that_differs_is_the_near_miss_that_the_first_page_tells_of(
    followed: tuple[Path, dict[str, subprocess.CompletedProcess[str]]], tmp_path: Path
) -> None:
    shutil.copytree(followed[0] / "mine", tmp_path / "mine")
    table = tmp_path / "mine" / "features" / "internal_spline.csv"
    table.write_text(table.read_text(encoding="utf-8").replace("25,?", "25,24/48"), encoding="utf-8")
    assert "DO NOT USE" in run(next(c for c in ASKED["start.md"] if "F-X" in c), tmp_path).stdout


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
