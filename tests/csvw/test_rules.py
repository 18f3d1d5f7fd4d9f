"""Cases of our own beside the W3C suite's: values that its files do not try, by the rules that its tests are of.

The number says which test of the suite the rule is from.
"""

from __future__ import annotations

import json
from copy import deepcopy
from typing import Any

import pytest

from knockon.graph.mapping.metadata import CONTEXT, MappingError, is_language, read_metadata
from tests.csvw.suite import POSITIVE, TREE_OPS, USED, outcome

NAMES = ("GID", "on_street", "species", "trim_cycle", "inventory_date")
EXPECTED = {t.number: t.expected for t in USED}
Document = dict[str, Any]


def document(**changed: Any) -> Document:
    columns = [{"name": n, "titles": t} for n, t in zip(NAMES, TREE_OPS, strict=True)]
    return {"@context": CONTEXT, "url": "tree-ops.csv", "tableSchema": {"columns": columns}} | changed


def column(number: int = 0, **changed: Any) -> Document:
    """The document with other properties of one column; None takes one away."""
    found = document()
    here = found["tableSchema"]["columns"][number]
    here |= changed
    for name in [n for n, v in changed.items() if v is None]:
        del here[name]
    return found


def schema(**changed: Any) -> Document:
    found = document()
    found["tableSchema"] |= changed
    return found


def group(*tables: Any, **changed: Any) -> Document:
    inner = [{k: v for k, v in t.items() if k != "@context"} if isinstance(t, dict) else t for t in tables]
    return {"@context": CONTEXT, "tables": inner} | changed


def common(value: Any) -> Document:
    return document(**{"dc:subject": value})


def judged(said: Document) -> str:
    return outcome(json.dumps(said), {"tree-ops.csv": TREE_OPS})[0]


CASES: list[tuple[str, Document]] = [
    ("100", schema(columns=1)),
    ("113", column(0, suppressOutput=1)),
    ("114", column(0, name=["GID"])),
    ("115", column(0, virtual=1)),
    ("124", column(0, titles=None)),
    ("139", common({"@type": "Elsewhere"})),
    ("145", common({"@value": "x", "@language": "not-a-language"})),
    ("145", common({"@value": "x", "@language": "invalid-language"})),
]


@pytest.mark.parametrize(("number", "said"), CASES, ids=[n for n, _ in CASES])
def test_a_rule_of_the_standard(number: str, said: Document) -> None:
    assert judged(said) == EXPECTED[number]


def test_the_document_that_the_cases_change_is_good() -> None:
    assert judged(document()) == judged(group(document())) == POSITIVE
    assert judged(common({"@value": "x", "@language": None})) == POSITIVE
    found = document()
    found["tableSchema"]["columns"].append({"name": "v", "virtual": True})
    assert judged(found) == POSITIVE


def test_a_group_without_tables_is_told_as_such() -> None:
    with pytest.raises(MappingError, match="the table group lacks its tables"):
        read_metadata(json.dumps({"@context": CONTEXT, "@type": "TableGroup"}))


@pytest.mark.parametrize(
    "tag", ["en", "de-AT", "und", "zh-Hant-TW", "en-GB-oed12", "x-club", "de-1996", "en-u-ca-buddhist"]
)
def test_language_tags(tag: str) -> None:
    assert is_language(tag)


@pytest.mark.parametrize("tag", ["", "invalid-language", "not-a-language", "e", "en_GB", "en-", "1a", 7, None])
def test_what_is_no_language_tag(tag: Any) -> None:
    assert not is_language(tag)


@pytest.mark.parametrize("text", ["", "[]", "1", "{", "[" * 100_000, '{"@context": 1}', '{"@context": []}', "null"])
def test_what_is_no_metadata_is_an_error(text: str) -> None:
    with pytest.raises(MappingError):
        read_metadata(text)


def test_nothing_that_is_passed_over_is_changed() -> None:
    said = document(foo="bar")
    before = deepcopy(said)
    read_metadata(json.dumps(said))
    assert said == before
