"""The calculate commands: exit status, JSON, files, and what they refuse."""

from __future__ import annotations

import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from knockon.queries.ui.commands.workshop.calculate import calculate


def run(*words: str) -> Result:
    return CliRunner().invoke(calculate, list(words), prog_name="knockon calculate")


def test_the_exit_status_says_whether_the_answer_is_good() -> None:
    assert run("threads", "3/8-24", ".375-24").exit_code == 0
    assert run("threads", "3/8-24", "M10x1").exit_code == 1


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("thread", "M10"), "M10x1.25"),
        (("fit", "H7/g6"), "no size"),
        (("fit", "25 g6/H7"), "hole first"),
        (("fit", "700 H7/g6"), "500 mm"),
        (("limits", "25"), "25 H7"),
        (("limits", "x H7"), "not a size with its class"),
        (("bearing", "9999"), "not in the table"),
        (("rim", "99"), "8 to 30"),
        (("shims", "--gap", "0.068", "--shim", "0.002 in"), "unit"),
        (("shims", "--gap", "0.020 in", "--shim", "0.002 in"), "smaller"),
        (("bolt", "M10x1.5", "--grade", "8.8", "--torque", "50 N m"), "printed"),
        (("bolt", "M10x1.5", "--grade", "7.7"), "grades"),
        (("splines", "25T", "25T 24/48"), "pitch"),
        (("spline-size", "25T 24/48"), "--jaws"),
        (("bolt-circle", "--holes", "4"), "reading"),
        (("bolt-circle", "--holes", "4", "--outside", "80 mm"), "--hole"),
        (
            (
                "press-fit",
                "--bore",
                "25 mm",
                "--hub",
                "20 mm",
                "--length",
                "9 mm",
                "--friction",
                "0.1",
                "--fit",
                "H7/p6",
            ),
            "other",
        ),
        (("template", "--holes", "4", "--circle", "100 mm", "--hole", "10 mm", "sheet.doc"), ".svg"),
        (("threads", "1/4 BSW", "1/4-20"), "gauge"),
    ],
)
def test_what_is_wrong_is_said_with_status_2(words: tuple[str, ...], says: str) -> None:
    outcome = run(*words)
    assert outcome.exit_code == 2
    assert says in outcome.output
    assert "Traceback" not in outcome.output


def test_json_is_one_document_and_the_same_twice() -> None:
    words = (
        "bearing-float",
        "--spacer",
        "0.497 in",
        "--web",
        "0.440 in",
        "--inner",
        "17.46..17.66 mm",
        "0.660 in",
        "--json",
    )
    first, second = run(*words), run(*words)
    assert first.output == second.output
    document = json.loads(first.output)
    assert document["answer"] == "calculate"
    assert document["status"] == first.exit_code == 1
    (play,) = [r for r in document["result"]["results"] if r["name"] == "float"]
    assert play["unit"] == "mm"
    assert play["value"]["low"] < 0 < play["value"]["high"]


def test_every_number_in_json_is_a_number() -> None:
    # The turns of two equal pitches and the major diameter of a nut have no upper limit: they are left out, not written
    # as NaN.
    for words in (("thread", "3/8-24 UNF-2B"), ("threads", "3/8-24", "3/8-24")):
        document = json.loads(run(*words, "--json").output)
        numbers = [r["value"][end] for r in document["result"]["results"] for end in ("low", "high")]
        assert numbers
        assert all(isinstance(n, int | float) for n in numbers)


@pytest.mark.parametrize("suffix", [".svg", ".pdf"])
def test_a_template_is_written(tmp_path: Path, suffix: str) -> None:
    file = tmp_path / f"circle{suffix}"
    outcome = run("template", "--holes", "4", "--circle", "4.000 in", "--hole", "10 mm", str(file))
    assert outcome.exit_code == 0
    assert file.read_bytes().startswith(b"%PDF-" if suffix == ".pdf" else b"<?xml")
    again = run(
        "template", "--holes", "4", "--circle", "4.000 in", "--hole", "10 mm", str(tmp_path / "none" / file.name)
    )
    assert again.exit_code == 2


@pytest.mark.parametrize(("size", "other"), [("25.4 mm", "1 in"), ("0.068 in", "1.7272 mm"), ("1 1/8 in", "28.575 mm")])
def test_the_unit_never_matters(size: str, other: str) -> None:
    first, second = (json.loads(run("flare", s, "--json").output)["result"] for s in (size, other))
    assert first == second
