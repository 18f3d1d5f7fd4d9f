"""``--json``: one document, valid against its published schema, the same bytes for the same records and question."""

from __future__ import annotations

import csv
import io
import json
import random
import shutil
from importlib import resources
from pathlib import Path
from typing import Any

import jsonschema  # type: ignore[import-untyped]
import pytest

from knockon.queries.ui.document import read, written
from knockon.queries.ui.published import answer_types
from tests.commands.running import SWAP, demo, full, real, run
from tests.commands.tiny import write_tiny

SCHEMAS = Path(__file__).parents[2] / "docs" / "answers"
QUESTIONS = (
    SWAP,
    ("swap", "tansy-m080", "--want", "drive flange=ROWAN-942", "--keep", "outer joint"),
    ("fits", "ROWAN-301", "ROWAN-241"),
    ("fits", "ROWAN-902", "ROWAN-241"),
    ("fits", "LARCH-203L", "LARCH-203R"),
    ("partners", "ROWAN-241"),
    ("part", "ROWAN-201"),
    ("tell-apart", "ROWAN-201", "ROWAN-901"),
    ("identify", "external spline: 25 teeth, 27.41 mm across"),
    ("identify", "thread: M6"),
    ("part", "ALDER-101L"),
    ("kit", "K1", "--for", "tansy-m080", "--want", "rotor=LARCH-201"),
    ("kit", "K2", "--for", "tansy-m080", "--want", "rotor=LARCH-201"),
    ("combinations", "tansy-front-axle", "--with", "rotor=LARCH-201", "--first", "1"),
    ("needs", "tansy-m080", "outer joint", "--want", "rotor=LARCH-201"),
    ("needs", "tansy-m080", "rear wheel cylinder", "--want", "rotor=LARCH-201"),
    ("check",),
)
CAUTION = "Geometry only. Says nothing about strength, material, wear or approval."


def asked(question: tuple[str, ...]) -> dict[str, Any]:
    document = json.loads(demo(*question, "--json").out)
    assert isinstance(document, dict)
    return document


@pytest.mark.parametrize("question", QUESTIONS, ids=" ".join)
def test_document_is_valid_against_the_published_schema(question: tuple[str, ...]) -> None:
    schema = json.loads((SCHEMAS / f"{question[0]}.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    document = asked(question)
    jsonschema.validate(document, schema, cls=jsonschema.Draft202012Validator)
    with pytest.raises(jsonschema.ValidationError):  # the schema does say something
        jsonschema.validate({**document, "result": {}}, schema, cls=jsonschema.Draft202012Validator)


@pytest.mark.parametrize("question", QUESTIONS, ids=" ".join)
def test_document_is_read_back_as_the_same_answer(question: tuple[str, ...]) -> None:
    out = demo(*question, "--json").out.encode()
    assert written(read(out, answer_types()[question[0]])) == out


@pytest.mark.parametrize("question", QUESTIONS, ids=" ".join)
def test_status_in_the_document_is_the_exit_status(question: tuple[str, ...]) -> None:
    ran = demo(*question, "--json")
    assert json.loads(ran.out)["status"] == ran.status == demo(*question).status
    assert json.loads(ran.out)["records"] == {"invented": True, "set_aside": 0}


@pytest.mark.parametrize("question", QUESTIONS[:-1], ids=" ".join)
def test_cautions_stand_in_text_and_document(question: tuple[str, ...]) -> None:
    cautions = asked(question)["result"]["cautions"]
    assert cautions[0] == CAUTION
    assert any("Local rules differ" in c and "licensed practice" in c for c in cautions)
    # In short on their first pages:
    paged = ("swap", "needs", "fits", "partners", "part", "kit", "combinations", "tell-apart", "identify")
    whole = ("--full",) if question[0] in paged else ()
    flowing = demo(*question, *whole).flowing
    assert all(" ".join(c.split()) in flowing for c in cautions)
    assert "Geometry only." in demo(*question).flowing and "licensed practice" in demo(*question).flowing


def test_evidence_is_in_the_document_in_full() -> None:
    document = full(demo("fits", "ROWAN-301", "ROWAN-241", "--json").out)
    joint = next(j for j in document["result"]["joints"] if j["check"] == "flange on stub")
    pitch = next(x for x in joint["lines"] if x["label"] == "spline pitch")
    assert (document["result"]["verdict"], joint["notes"], pitch["state"]) == (
        "goes together, do not use",
        ["N19"],
        "no",
    )
    assert [(v["of"], v["written"], v["standing"]) for v in pitch["values"]] == [
        ("ROWAN-301", "module 1.0", "drawing"),
        ("ROWAN-241", "24/48", "drawing"),
    ]
    assert [n["note"] for n in document["notes"]] == ["N19"]
    assert "quillmere-drawings" in [s["source"] for s in document["sources"]]


def test_json_may_stand_before_or_after_the_command() -> None:
    assert demo("--json", "part", "ROWAN-201").out == demo("part", "ROWAN-201", "--json").out


def test_nothing_but_the_document_is_written_on_a_mistake() -> None:
    ran = demo("part", "ROWAN-2O1", "--json")
    assert (ran.status, ran.out) == (2, "")


def test_the_same_bytes_whatever_the_hash_seed() -> None:
    outs = [real(*SWAP, "--json", environment={"PYTHONHASHSEED": seed}).out for seed in ("1", "77")]
    assert outs[0] == outs[1] == demo(*SWAP, "--json").out


def test_the_same_bytes_whatever_the_order_of_rows(tmp_path: Path) -> None:
    """Shuffled rows of the demo world, in another folder, give the document that the demo world gives."""
    shutil.copytree(
        str(resources.files("knockon.data_demo")), tmp_path / "rows", ignore=shutil.ignore_patterns("*.py*")
    )
    order = random.Random(20)
    for path in sorted((tmp_path / "rows").rglob("*.csv")):
        head, *rows = list(csv.reader(io.StringIO(path.read_text(encoding="utf-8"))))
        order.shuffle(rows)
        with path.open("w", encoding="utf-8", newline="") as stream:
            csv.writer(stream).writerows([head, *rows])
    for question in (SWAP, ("fits", "ROWAN-301", "ROWAN-241"), ("kit", "K1", *SWAP[2:], "--for", "tansy-m080")):
        shuffled = run(*question, "--json", "--records", str(tmp_path / "rows")).out
        assert shuffled.replace('"invented":false', '"invented":true', 1) == demo(*question, "--json").out


def test_records_that_lost_rows_say_how_many(tmp_path: Path) -> None:
    faulty = write_tiny(tmp_path, journal="STUB-Q,journal,27 mm,drawings\n")
    ran = run("part", "STUB-A", "--json", "--records", str(faulty))
    assert json.loads(ran.out)["records"] == {"invented": False, "set_aside": 1}
