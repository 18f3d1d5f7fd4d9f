"""With --json each command of notes, sharing and queries writes one document of a published shape, and nothing else."""

import json
from pathlib import Path

import jsonschema  # type: ignore[import-untyped]
import pytest

from tests.commands.running import Ran, run
from tests.exchange.world import write_world

SCHEMAS = Path(__file__).parents[2] / "docs" / "answers"
NOTE = ("note", "add", "--member", "m3", "--text", "it broke", "--outcome", "failed", "--part", "S-1")


@pytest.fixture
def ours(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    return write_world(tmp_path / "ours")


def asked(folder: Path, *words: str) -> Ran:
    return run(*words, "--records", str(folder))


def document(ran: Ran, schema: str) -> dict[str, object]:
    """The document, which is of the published shape. Raises where it is not."""
    found = json.loads(ran.out)
    jsonschema.validate(found, json.loads((SCHEMAS / f"{schema}.json").read_text(encoding="utf-8")))
    assert (found["status"], found["answer"]) == (ran.status, schema.replace("-", " "))
    return dict(found)


def test_each_answer_is_a_document_of_its_published_shape(ours: Path, tmp_path: Path) -> None:
    assert document(asked(ours, *NOTE, "--json"), "note-add")["notes"]
    assert document(asked(ours, "note", "list", "--json"), "note-list")["notes"]
    withdrawn = document(asked(ours, "note", "withdraw", "N03", "--member", "m3", "--json"), "note-withdraw")
    assert withdrawn["result"] == {"note": "N03", "member": "m3", "withdrawn_by": "m3"}
    shared = tmp_path / "north.trig"
    found = document(asked(ours, "share", str(shared), "--club", "north", "--json"), "share")["result"]
    assert (found["file"], found["club"], found["set_aside"]) == (str(shared), "north", 0)  # type: ignore[index]
    lines = document(asked(ours, "export", str(tmp_path / "all.nq"), "--json"), "export")["result"]
    assert lines["statements"] == len((tmp_path / "all.nq").read_text(encoding="utf-8").splitlines())  # type: ignore[index]
    document(asked(ours, "merge", str(shared), "--json"), "merge")
    for dry in (("--dry-run",), ()):
        removed = document(asked(ours, "merge", "--remove", "north", *dry, "--json"), "merge-remove")["result"]
        assert removed["written"] is not bool(dry)  # type: ignore[index]
    document(asked(ours, "ask", "failures", "--json"), "ask")
    queries = document(asked(ours, "ask", "--json"), "ask-list")["result"]["queries"]  # type: ignore[index]
    assert {"name", "answers", "parameters"} == set(queries[0])


@pytest.mark.parametrize(
    "words",
    [
        ("export", "-", "--format", "nq", "--json"),
        ("share", "-", "--club", "north", "--json"),
        ("ask", "failures", "--json", "--format", "csv"),
        ("ask", "offers-of", "--with", "part=S-1", "--with", "part=S-2"),
        ("merge", "--remove", "nobody", "--dry-run"),
    ],
)
def test_what_contradicts_itself_is_refused(words: tuple[str, ...], ours: Path) -> None:
    ran = asked(ours, *words)
    assert (ran.status, ran.out) == (2, "")
    assert ran.err


def test_an_export_as_json_ld_is_told_a_value_a_line(ours: Path, tmp_path: Path) -> None:
    one, other = tmp_path / "one.jsonld", tmp_path / "other.jsonld"
    assert asked(ours, "export", str(one)).status == 0
    table = ours / "features" / "spacer.csv"
    table.write_text(table.read_text(encoding="utf-8").replace("S-2,spacer,12.6 mm", "S-2,spacer,12.7 mm"))
    assert asked(ours, "export", str(other)).status == 0
    before, after = (f.read_text(encoding="utf-8").splitlines() for f in (one, other))
    assert [a.strip() for a, b in zip(before, after, strict=True) if a != b] == ['"@value": "12.6 mm"']
