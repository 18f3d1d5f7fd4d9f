"""Texts of answers that know what they are made of: sizes by name, several names, what is asked, order groups."""

from __future__ import annotations

from copy import deepcopy

import msgspec
import pytest

from knockon.graph.model.layouts.layout import Place
from knockon.graph.model.several import Several
from knockon.graph.model.things import Source
from knockon.queries.fits.checking.size_names import FeatureSize, SizeOf
from knockon.queries.plan.orders import GroupName
from knockon.queries.plan.solving.asked import Asked
from knockon.queries.ui.document import Document, RecordsRead, indented, schema_of_text

LEFT = Place("hub", "left")


@pytest.mark.parametrize(
    ("text", "says", "parts"),
    [
        (FeatureSize("nut", "thread.major"), "nut: thread.major", {"feature": "nut", "column": "thread"}),
        (FeatureSize("lugs", ""), "lugs", {"feature": "lugs", "dimension": "", "column": ""}),
        (FeatureSize("", "bore"), "bore", {"feature": "", "dimension": "bore"}),
        (SizeOf("A, 1", "end: left", "length"), "A, 1, end: left: length", {"thing": "A, 1", "feature": "end: left"}),
        (SizeOf("A", "end", "length", ", as made").with_remark(""), "A, end: length", {"remark": ""}),
        (Several(("A, 1", "B"), "; "), "A, 1; B", {"each": ("A, 1", "B")}),
        (Several(()), "", {"each": ()}),
        (Asked("want", "hub=A", (LEFT,)), "hub=A", {"option": "want", "places": (LEFT,)}),
        (Asked("keep", LEFT, (LEFT,)), "keep left hub", {"words": "left hub"}),
        (GroupName("hub", "left"), "hub left", {"group": "hub", "hand": "left"}),
        (GroupName("left hub", ""), "left hub", {"group": "left hub", "hand": ""}),
    ],
)  # fmt: skip
def test_it_reads_as_text_and_is_never_taken_apart(text: str, says: str, parts: dict[str, object]) -> None:
    for one in (text, deepcopy(text)):
        assert one == says and {name: getattr(one, name) for name in parts} == parts


def test_a_document_writes_such_texts_as_text_and_nothing_else_that_it_does_not_know() -> None:
    def document(result: object) -> bytes:
        return indented(Document("x", RecordsRead(True, 0), 0, result, (), ()))

    assert msgspec.json.decode(document((LEFT, Several("AB"))))["result"] == ["left hub", "A, B"]
    assert schema_of_text(Place) == {"type": "string"}
    with pytest.raises(NotImplementedError, match="object"):
        document(object())
    with pytest.raises(NotImplementedError, match="Source"):
        schema_of_text(Source)
