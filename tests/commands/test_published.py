"""What is published of the command line is fresh, and every command is documented and found."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from knockon.queries.find.glossary import glossary
from knockon.queries.ui import command_line
from knockon.queries.ui.command_line import COMMANDS
from knockon.queries.ui.published import answer_types, commands_page, schema_of
from knockon.queries.ui.texts.find.words import words_page
from tests.commands.running import demo, real

ROOT = Path(__file__).parents[2]
MAKE = "run: python -m knockon.queries.ui.published docs"
HEAVY = (
    *("clingo", "duckdb", "ibis", "lark", "networkx", "numpy", "pandas", "pint", "pyarrow", "pyoxigraph", "pyshacl"),
    *("pyspark", "rdflib", "rich"),
)


def test_page_of_commands_is_fresh() -> None:
    assert (ROOT / "docs" / "commands.md").read_text(encoding="utf-8") == commands_page(), MAKE


def test_page_of_words_is_fresh() -> None:
    assert (ROOT / "docs" / "words.md").read_text(encoding="utf-8") == words_page(glossary()), MAKE


def test_the_help_leads_to_the_words() -> None:
    first = " ".join(demo("--help").out.split("\n\n")[1].split())
    assert "knockon words" in first and "docs/words.md" in first


@pytest.mark.parametrize("name", sorted(answer_types()))
def test_schemas_are_fresh(name: str) -> None:
    assert (ROOT / "docs" / "answers" / f"{name}.json").read_bytes() == schema_of(name, answer_types()[name]), MAKE


def test_no_schema_is_left_over() -> None:
    assert {p.stem for p in (ROOT / "docs" / "answers").glob("*.json")} >= set(answer_types())


def test_every_command_is_listed_helped_and_on_the_page() -> None:
    page, listed = commands_page(), demo("--help").out
    for name in COMMANDS:
        assert f"## knockon {name}\n" in page
        assert f"\n  {name} " in listed
        ran = demo(name, "--help")
        assert ran.status == 0 and ran.out.startswith("Usage: ")


def test_every_command_module_is_in_the_table() -> None:
    """The workshop's commands hang on one, ``calculate``."""
    rooms = (Path(command_line.__file__).resolve().parent / "commands").glob("*/*.py")
    modules = {f"{p.parent.name}.{p.stem}" for p in rooms if p.stem != "__init__"}
    assert {module for module, _ in COMMANDS.values()} == {
        module for module in modules if not module.startswith("workshop.") or module == "workshop.calculate"
    }


def test_exit_status_is_documented_in_help() -> None:
    out = demo("--help").flowing
    assert "0 answered: yes" in out and "1 answered: no, incomplete, or not found" in out and "2 not answered" in out


@pytest.mark.parametrize(
    ("arguments", "allowed"),
    [
        (("--help",), "pyoxigraph"),
        (("part", "no-such-part"), "pyoxigraph"),
        (("fits", "ROWAN-301", "ROWAN-241", "--json"), "pyoxigraph"),
        (("fits", "ALDER-212", "ROWAN-201"), "pyoxigraph"),
        (("fits", "ROWAN-301", "ROWAN-241"), "pyoxigraph rich"),
        (("partners", "ROWAN-241", "--json"), "pyoxigraph"),
        (("list", "layouts", "--json"), "pyoxigraph"),
        (("export", "-", "--format", "nq"), "lark pint pyoxigraph"),
        (("vehicle", "tansy-m080", "--json"), "networkx pyoxigraph"),
        (("swap", "tansy-mk-a", "--want", "rotor=LARCH-201", "--why"), "clingo lark networkx pint pyoxigraph rich"),
        (
            ("swap", "tansy-mk-a", "--want", "rotor=LARCH-201", "--json"),  # with its cheapest order
            "clingo lark networkx numpy pandas pint pyarrow pyoxigraph",
        ),
    ],
    ids=str,
)
def test_a_command_imports_only_what_its_answer_needs(arguments: tuple[str, ...], allowed: str) -> None:
    real("part", "ROWAN-201")  # the prepared copy of the records is there now
    code = (
        "import contextlib, io, sys\n"
        "from knockon.queries.ui.command_line import main\n"
        "out = io.TextIOWrapper(io.BytesIO())\n"
        "with contextlib.redirect_stdout(out), contextlib.redirect_stderr(io.StringIO()):\n"
        "    main(sys.argv[1:])\n"
        f"print(*(m for m in {HEAVY!r} if m in sys.modules))\n"
    )
    done = subprocess.run(
        [sys.executable, "-c", code, *arguments], capture_output=True, text=True, timeout=120, check=True
    )
    assert set(done.stdout.split()) <= set(allowed.split())
