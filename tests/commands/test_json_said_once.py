"""Documents say each check once: over an answer of every type, references lead somewhere and nothing is left over."""

from __future__ import annotations

import functools
import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import jsonschema  # type: ignore[import-untyped]
import msgspec
import pytest

from knockon.queries.fits.checking.evidence import Evidence, Line, Value
from knockon.queries.ui import asking
from knockon.queries.ui.document import SCHEMA, in_full, read, written
from knockon.queries.ui.documents.declared import FORMS
from knockon.queries.ui.published import answer_types
from tests.commands.running import SWAP, demo, full, run
from tests.exchange.world import write_world

ROOT = Path(__file__).parents[2]
DEMO = ROOT / "data_demo"
MOST = 200_000
"""Bytes that the document of the demo swap may have; in the first form it had 1 382 901."""

ASKED: dict[str, tuple[tuple[str, ...], ...]] = {
    "ask": (("ask", "failures"),),
    "ask-list": (("ask",),),
    "calculate": (("calculate", "spline", "25T 24/48"),),
    "changed": (("changed", str(DEMO), "--for", "tansy-m080", "--want", "rotor=LARCH-201"),),
    "check": (("check",),),
    "combinations": (("combinations", "tansy-front-axle", "--with", "rotor=LARCH-201", "--first", "1"),),
    "disputes": (("disputes",),),
    "job-card": (("job-card", "tansy-m080", "--want", "rotor=LARCH-201"),),
    "fits-on-all": (
        ("fits", "ROWAN-201", "--on", "all"),
        ("fits", "ROWAN-201", "ROWAN-241", "--on", "all", "--empty", "hub collar"),
    ),
    "fits": (
        ("fits", "ROWAN-301", "ROWAN-241"),
        ("fits", "ROWAN-201", "ROWAN-241", "ROWAN-252", "--empty", "hub collar"),
        ("fits", "ROWAN-201", "--on", "tansy-mk-b"),
    ),
    "identify": (("identify", "external spline: teeth=25"), ("identify", "external spline: teeth=99")),
    "kit": (("kit", "K2", "--for", "tansy-m080", "--want", "rotor=LARCH-201"),),
    "list": (("list", "positions"),),
    "measure": (("measure", "tansy-m080", "--want", "rotor=LARCH-201"),),
    "needs": (("needs", "tansy-m080", "hub nut", "--want", "rotor=LARCH-201"),),
    "order": (("order", "tansy-m080", "--want", "rotor=LARCH-201"),),
    "overview": (("overview",),),
    "part": (("part", "ALDER-101L"),),
    "partners": (("partners", "ROWAN-241"),),
    "partners-along": (("partners", "ROWAN-241", "--along", "flange on stub", "--along", "shaft in joint"),),
    "quarantine": (("quarantine", "--records", str(DEMO)),),
    "swap": (SWAP, ("swap", "tansy-m080", "--want", "drive flange=ROWAN-942", "--keep", "outer joint")),
    "swap-instead-of": (("swap", "tansy-m080", "--want", "rotor=LARCH-201", "--instead-of", "ROWAN-201"),),
    "swap-side-by-side": (("swap", "tansy-m080", "--want", "brake=disc", "--side-by-side"),),
    "tell-apart": (("tell-apart", "ROWAN-201", "ROWAN-901"),),
    "tools": (("job-card", "tansy-m080", "--want", "rotor=LARCH-201", "--tools"),),
    "upgrade": (("upgrade", "--dry-run", "--records", str(DEMO)),),
    "vehicle": (("vehicle", "tansy-m080"),),
    "words": (("words", "joint"),),
}
"""Questions to the demo world, by the answer's type."""
QUESTIONS = [(name, question) for name, questions in ASKED.items() for question in questions]
WRITING = ("export", "import", "import-proposal", "merge", "merge-remove", "note-withdraw", "share")
OF_A_NEW_VEHICLE = ("measured", "new")
OF_A_PLAN = ("changed-plan", "goods-in", "record")
"""Read back in test_changed_plan.py, test_goods_in.py and test_record.py: the demo world keeps no plan."""
NOTES = ("note-add", "note-list")
WITH_COLUMNS = ("export-parquet", "shortlist")
"""Asked in tests/cluster, where there are the libraries that they need."""


@functools.cache
def text_of(question: tuple[str, ...]) -> str:
    ran = demo(*question, "--json")
    assert ran.status in (asking.GOOD, asking.NOT_SO), ran.err
    return ran.out


def document_of(question: tuple[str, ...]) -> dict[str, Any]:
    document = json.loads(text_of(question))
    assert isinstance(document, dict)
    return document


def values_of(one: type[Any], value: Any) -> Iterator[Any]:
    """All values of a type in an answer."""
    if isinstance(value, one):
        yield value
    if isinstance(value, msgspec.Struct):
        value = tuple(getattr(value, name) for name in value.__struct_fields__)
    if isinstance(value, dict):
        value = tuple(value.values())
    if isinstance(value, tuple):
        for inner in value:
            yield from values_of(one, inner)


def shared_of(value: msgspec.Struct) -> bytes:
    """What a table says of a value that is said once."""
    once = FORMS.once_of(type(value))
    assert once is not None
    said = {name: getattr(value, name) for name in value.__struct_fields__ if name not in once.own}
    return msgspec.json.encode(said, enc_hook=str)


def test_an_answer_of_every_type_is_asked_for() -> None:
    assert {*ASKED, *WRITING, *OF_A_NEW_VEHICLE, *OF_A_PLAN, *NOTES, *WITH_COLUMNS} == set(answer_types())


@pytest.mark.parametrize(("name", "question"), QUESTIONS, ids=str)
def test_a_document_is_read_back_and_written_again_to_the_byte(name: str, question: tuple[str, ...]) -> None:
    text = text_of(question).encode()
    assert written(read(text, answer_types()[name])) == text


@pytest.mark.parametrize(("name", "question"), QUESTIONS, ids=str)
def test_each_value_stands_once_and_each_entry_is_used(name: str, question: tuple[str, ...]) -> None:
    answer, document = answer_types()[name], document_of(question)
    result = read(text_of(question), answer).result
    for table, one in FORMS.tables(answer).items():
        entries = document[table]
        assert len(entries) == len({shared_of(v) for v in values_of(one, result)}), table
        marks = set()
        for key in entries if isinstance(entries, dict) else range(len(entries)):
            marks.add(mark := f"marked {table} {key}.")
            first, *rest = entries[key]
            entries[key] = [[mark] if isinstance(first, list) else mark, *rest]
        said = json.dumps(in_full(document, answer), ensure_ascii=False)
        assert not [mark for mark in marks if mark not in said], table


@pytest.mark.parametrize(("name", "question"), QUESTIONS, ids=str)
def test_a_document_is_of_its_published_schema(name: str, question: tuple[str, ...]) -> None:
    """Also of a schema that forbids what it does not name."""
    schema = json.loads((ROOT / "docs" / "answers" / f"{name}.json").read_text(encoding="utf-8"))
    jsonschema.Draft202012Validator.check_schema(schema)
    for part in schema["$defs"].values():
        if "properties" in part:
            part["additionalProperties"] = False
    jsonschema.validate(document_of(question), schema, cls=jsonschema.Draft202012Validator)


@pytest.mark.parametrize(("name", "question"), QUESTIONS, ids=str)
def test_a_document_has_its_number_and_all_keys_of_its_result(name: str, question: tuple[str, ...]) -> None:
    document = document_of(question)
    answer = answer_types()[name]
    assert document["schema"] == SCHEMA
    assert list(document["result"]) == [f for f in answer.__struct_fields__ if f not in FORMS.rare]
    assert document["columns"] == {row: list(keys) for row, keys in FORMS.columns(answer).items()}


@pytest.mark.parametrize("name", NOTES)
def test_notes_have_the_number_of_the_form_too(name: str, tmp_path: Path) -> None:
    ours = write_world(tmp_path / "ours")
    words = ("add", "--member", "m3", "--text", "it broke", "--outcome", "failed", "--part", "S-1")
    ran = run("note", *(words if name == "note-add" else ("list",)), "--json", "--records", str(ours))
    assert json.loads(ran.out)["schema"] == SCHEMA


def test_what_commands_that_write_say_is_read_back(tmp_path: Path) -> None:
    ours, shared, sheet = write_world(tmp_path / "ours"), tmp_path / "north.trig", tmp_path / "more.csv"
    sheet.write_text(
        "part;name;part type;hand;one use\nS-9;spacer;bearing spacer;either;no\nS-10;;?;either;no\n", encoding="utf-8"
    )
    asked: dict[str, tuple[str, ...]] = {
        "export": ("export", str(tmp_path / "all.nq")),
        "import-proposal": ("import", str(sheet), "--table", "parts"),
        "import": ("import", str(sheet), "--table", "parts", "--accept-mapping"),
        "note-add": ("note", "add", "--member", "m3", "--text", "x", "--outcome", "failed", "--part", "S-1"),
        "note-withdraw": ("note", "withdraw", "N03", "--member", "m3"),
        "share": ("share", str(shared), "--club", "north"),
        "merge": ("merge", str(shared)),
        "merge-remove": ("merge", "--remove", "north"),
    }
    assert set(asked) == {*WRITING, "note-add"}
    for name, words in asked.items():
        ran = run(*words, "--json", "--records", str(ours))
        assert ran.out, ran.err
        if name not in NOTES:
            assert written(read(ran.out, answer_types()[name])) == ran.out.encode(), name


def test_what_is_said_of_a_new_vehicle_is_read_back(tmp_path: Path) -> None:
    folder = str(tmp_path / "own")
    asked: dict[str, tuple[str, ...]] = {
        "new": ("new", folder, "--layout", "hydraulics", "--vehicle", "mine"),
        "measured": ("measured", "mine", "master cylinder, bore", "19.05 mm", "--records", folder),
    }
    assert tuple(sorted(asked)) == OF_A_NEW_VEHICLE
    for name, words in asked.items():
        ran = run(*words, "--json")
        assert ran.out, ran.err
        assert written(read(ran.out, answer_types()[name])) == ran.out.encode(), name


def test_the_document_of_the_demo_swap_is_small() -> None:
    assert len(text_of(SWAP).encode()) < MOST


def test_a_small_document_says_what_the_answer_says() -> None:
    """Nothing got lost with the bytes: put back in place it is as long as the first form was."""
    whole = json.dumps(full(text_of(SWAP)), indent=1, ensure_ascii=False)
    assert len(whole.encode()) > 1_300_000


def test_the_checks_of_the_demo_swap_stand_once_for_both_hands() -> None:
    document = document_of(SWAP)
    result = read(text_of(SWAP), answer_types()["swap"]).result
    meant = list(values_of(Evidence, result))
    assert len(document["checks"]) < len(meant) / 2
    assert len(document["conditions"]) < sum(1 for _ in values_of(Line, result)) / 5
    assert len(document["sizes"]) < sum(1 for _ in values_of(Value, result)) / 5


def test_a_reference_is_followed_as_the_docs_say() -> None:
    """The example of docs/json.md, on the demo swap."""
    page = (ROOT / "docs" / "json.md").read_text(encoding="utf-8")
    code = page.partition("```python\n")[2].partition("```")[0]
    said: list[str] = []
    exec(code, {"document": document_of(SWAP), "print": lambda *words: said.append(" ".join(map(str, words)))})
    assert said
    assert "\n".join(said) + "\n" == page.partition("```text\n")[2].partition("```")[0]
