"""Documents: what is said once, rows and keys left out are read back as the same answer; on made-up answers."""

from __future__ import annotations

import json
from collections.abc import Iterator
from enum import StrEnum
from importlib import import_module
from typing import Any, Generic, TypeVar

import jsonschema  # type: ignore[import-untyped]
import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from knockon.queries.ui.documents.declared import FORMS
from knockon.queries.ui.documents.forms import Forms, Once, named
from knockon.queries.ui.documents.layout import WIDTH, laid_out
from knockon.queries.ui.documents.reading import in_full, read
from knockon.queries.ui.documents.schemas import schema_of
from knockon.queries.ui.documents.writing import Writer

T = TypeVar("T")


class Taste(StrEnum):
    SWEET = "sweet"
    SOUR = "sour"


class Fruit(msgspec.Struct, frozen=True):
    """Said once, by number."""

    name: str
    taste: Taste
    weight: float | None = None
    ripe: bool = True


class Basket(msgspec.Struct, frozen=True):
    """Said once, by name, but for where it stands; elsewhere a row."""

    owner: str
    where: tuple[str, ...]
    fruits: tuple[Fruit, ...]
    remark: str = ""
    best: Fruit | None = None


class Visit(msgspec.Struct, frozen=True):
    """A row."""

    day: int
    seen: tuple[Basket, ...] = ()
    prices: dict[str, int] | None = None
    remark: str = "nothing"


class Walk(msgspec.Struct, frozen=True):
    """A plain object."""

    visits: tuple[Visit, ...]
    first: Basket | None = None
    pairs: tuple[tuple[str, str, int], ...] = ()


class Diary(msgspec.Struct, frozen=True):
    """An answer."""

    title: str
    walks: tuple[Walk, ...] = ()
    found: tuple[tuple[Fruit, ...], ...] = ()
    best: Basket | None = None


class Whole(msgspec.Struct, Generic[T], frozen=True):
    """A document."""

    answer: str
    records: dict[str, int]
    status: int
    result: T
    notes: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()


MADE_UP = Forms(
    once={
        named(Basket): Once("baskets", lambda b: (b.owner, f"{b.owner}, {b.remark}"), key="basket_id", own=("where",)),
        named(Fruit): Once("fruits"),
    },
    rows={named(Basket): "basket", named(Visit): "visits"},
)
SCHEMA = {"$schema": "https://json-schema.org/draft/2020-12/schema", **schema_of(MADE_UP, Whole[Diary], Diary, 7)}

_few = st.sampled_from(("", "Ann", "Bob", "plum", "nothing"))
_fruits = st.builds(Fruit, _few, st.sampled_from(Taste), st.none() | st.sampled_from((0.0, 1.0, 2.5)), st.booleans())
_baskets = st.builds(
    Basket, _few, st.lists(_few, max_size=2).map(tuple), st.lists(_fruits, max_size=2).map(tuple), _few,
    st.none() | _fruits,
)  # fmt: skip
_prices = st.none() | st.dictionaries(_few, st.integers(0, 3), max_size=2)
_visits = st.builds(Visit, st.integers(0, 9), st.lists(_baskets, max_size=2).map(tuple), _prices, _few)
_pairs = st.lists(st.tuples(_few, _few, st.integers(0, 2)), max_size=2).map(tuple)
_walks = st.builds(Walk, st.lists(_visits, max_size=2).map(tuple), st.none() | _baskets, _pairs)
DIARIES = st.builds(
    Diary, _few, st.lists(_walks, max_size=2).map(tuple),
    st.lists(st.lists(_fruits, max_size=2).map(tuple), max_size=2).map(tuple), st.none() | _baskets,
)  # fmt: skip


def document(answer: Any, forms: Forms = MADE_UP) -> dict[str, Any]:
    """The document of an answer, as it is read from its text."""
    writer = Writer(forms, answer)
    columns = forms.columns(type(answer))
    whole = {"answer": "diary", "schema": 7, "records": {}, "status": 0, "result": writer.result, "columns": columns}
    found = json.loads(laid_out({**whole, **writer.tables, "notes": [], "sources": []}))
    assert isinstance(found, dict)
    return found


def values_of(one: type[Any], value: Any) -> Iterator[Any]:
    """All values of a type in an answer."""
    if isinstance(value, one):
        yield value
    if isinstance(value, msgspec.Struct):
        value = tuple(getattr(value, name) for name in value.__struct_fields__)
    if isinstance(value, tuple):
        for inner in value:
            yield from values_of(one, inner)


@given(DIARIES)
def test_a_document_is_read_back_as_the_same_answer(diary: Diary) -> None:
    assert read(MADE_UP, Diary, document(diary)) == diary


@given(DIARIES)
def test_in_full_all_keys_are_there_and_nothing_refers(diary: Diary) -> None:
    assert in_full(MADE_UP, Diary, document(diary)) == json.loads(msgspec.json.encode(diary))


@given(DIARIES)
def test_each_value_stands_once(diary: Diary) -> None:
    made = document(diary)
    assert len(made["fruits"]) == len(set(values_of(Fruit, diary)))
    baskets = {(b.owner, b.fruits, b.remark, b.best) for b in values_of(Basket, diary)}
    assert len(made["baskets"]) == len(baskets)


@given(DIARIES)
def test_every_entry_is_used(diary: Diary) -> None:
    made = document(diary)
    for table in ("fruits", "baskets"):
        entries = made[table]
        for key in entries if isinstance(entries, dict) else range(len(entries)):
            marked = f"marked {table} {key}"
            kept, entries[key] = entries[key], [marked, *entries[key][1:]]
            assert marked in json.dumps(in_full(MADE_UP, Diary, made))
            entries[key] = kept


@given(DIARIES)
def test_a_document_is_of_its_schema(diary: Diary) -> None:
    jsonschema.validate(document(diary), SCHEMA, cls=jsonschema.Draft202012Validator)


@given(DIARIES)
def test_the_same_answer_gives_the_same_bytes_in_lines_that_are_short_or_a_row(diary: Diary) -> None:
    texts = [laid_out({"result": w.result, **w.tables}) for w in (Writer(MADE_UP, diary), Writer(MADE_UP, diary))]
    assert texts[0] == texts[1]
    for line in texts[0].decode().splitlines():
        plain = line.strip().rstrip(",").partition('": ')[2] or line.strip().rstrip(",")
        assert len(line) <= WIDTH + 30 or (plain.startswith("[") and not plain.startswith("[{"))


PLUM, PEAR = Fruit("plum", Taste.SOUR, 1.0), Fruit("pear", Taste.SWEET, ripe=False)
ANN, ANN_AGAIN = Basket("Ann", ("left",), (PLUM, PEAR)), Basket("Ann", ("right",), (PLUM, PEAR))
OTHER, THIRD = Basket("Ann", (), (PLUM,), "other"), Basket("Ann", (), (), "other")
DIARY = Diary("May", (Walk((Visit(1, (ANN, ANN_AGAIN, OTHER, THIRD)), Visit(2))),))


def test_what_is_written_is_what_the_docs_say() -> None:
    """References by name and number, what is own beside them, rows cut off behind, names that are taken."""
    made = document(DIARY)
    assert made["fruits"] == [["plum", "sour", 1.0], ["pear", "sweet", None, False]]
    assert made["baskets"] == {
        "Ann": ["Ann", [0, 1]],
        "Ann, other": ["Ann", [0], "other"],
        "Ann, other (2)": ["Ann", [], "other"],
    }
    seen = [["Ann", ["left"]], ["Ann", ["right"]], ["Ann, other", []], ["Ann, other (2)", []]]
    assert made["result"] == {"title": "May", "walks": [{"visits": [[1, seen], [2]]}], "found": [], "best": None}
    assert made["columns"] == {
        "basket": ["basket_id", "where"],
        "baskets": ["owner", "fruits", "remark", "best"],
        "fruits": ["name", "taste", "weight", "ripe"],
        "visits": ["day", "seen", "prices", "remark"],
    }


@pytest.mark.parametrize(
    "wrong",
    [
        {"fruits": [["plum", "sour"], ["pear", "bitter"]]},
        {"fruits": [["plum"]]},
        {"fruits": [["plum", "sour", 1.0, True, "too much"]]},
        {"baskets": {"Ann": ["Ann", ["plum"]]}},
        {"columns": {}},
        {"schema": 1},
        {"result": {"title": "May"}},
        {"result": {"title": "May", "walks": [{}], "found": [], "best": None}},
    ],
    ids=str,
)
def test_a_document_that_is_wrong_is_not_of_the_schema(wrong: dict[str, Any]) -> None:
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate({**document(DIARY), **wrong}, SCHEMA, cls=jsonschema.Draft202012Validator)


@pytest.mark.parametrize("table", ["fruits", "baskets"])
def test_a_reference_that_leads_nowhere_is_an_error(table: str) -> None:
    made = document(DIARY)
    with pytest.raises((KeyError, IndexError)):
        read(MADE_UP, Diary, {**made, table: type(made[table])()})


def test_every_declared_type_is_there_with_the_fields_that_it_is_said_to_have() -> None:
    for name in (*FORMS.once, *FORMS.rows):
        module, _, attribute = name.rpartition(".")
        one = getattr(import_module(f"knockon.queries.{module}"), attribute)
        assert named(one) == name
        if once := FORMS.once_of(one):
            known = set(one.__struct_fields__)
            assert set(once.own) <= known and once.key not in known and bool(once.key) == bool(once.own)
    told = [*(once.table for once in FORMS.once.values()), *FORMS.rows.values()]
    assert len(told) == len(set(told)), "two forms of one name"
