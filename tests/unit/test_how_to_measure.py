"""Every size that a ready-made layout asks for says how it is measured; the layout's own words come first."""

from __future__ import annotations

import re
from collections.abc import Iterator

import pytest

from knockon.graph.judge.conditions import dimensions_of
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.measuring import COMMON_PRACTICE, how_in_place, kind_in_place
from knockon.graph.model.layouts.mechanism import Layout
from knockon.graph.model.layouts.ready_made import ready_made
from knockon.graph.model.schema import column_of
from knockon.graph.records import records_from_text

READY_MADE = ("driven front corner", "undriven front corner", "rear corner", "hydraulics")
TOOLS = re.compile(
    r"caliper|micrometer|gauge|rule|feeler|drill|count|read|look|try|lay|blue|string|tape|jaws|work it out"
    r"|follow the pipe"
)
"""What a text names: a tool, or what to do with hands and eyes."""
NOT_MEASURED = "fitting_place"


def world(*uses: str) -> Catalogue:
    rows = "".join(f"whole,{use}\n" for use in uses)
    records = records_from_text({"layout_uses.csv": f"layout,uses,as\n{rows}"})
    assert not records.findings
    return records.catalogue


def asked(catalogue: Catalogue, layout: Layout) -> Iterator[tuple[str, str, str, str]]:
    """(position, feature, dimension, when it is reached) of each size that a joint's rule or a figure's term reads."""
    for joint in layout.joints:
        rule = catalogue.vocabulary.rules[joint.rule]
        for here, end in zip(joint.ends, rule.ends, strict=True):
            for dimension in dimensions_of(rule, end.role):
                yield here.position, here.feature, dimension, here.reached
    for figure in (*layout.figures, *layout.told):
        for term in figure.terms:
            yield term.position, term.feature, term.dimension, term.reached


def whole_vehicles() -> Iterator[Catalogue]:
    """The ready-made layouts by themselves, and in the compositions in which the hydraulics meet both ends."""
    for name in READY_MADE[:3]:
        yield world(f"{name},")
        yield world(f"{name},", "hydraulics,")
    yield world("driven front corner,front", "rear corner,rear", "hydraulics,")
    yield world("undriven front corner,front", "rear corner,rear", "hydraulics,")


def test_every_size_of_every_ready_made_layout_says_how_it_is_measured_and_when_it_is_reached() -> None:
    seen = 0
    for catalogue in whole_vehicles():
        (layout,) = catalogue.layouts.values()
        for position, feature, dimension, reached in asked(catalogue, layout):
            kind = kind_in_place(catalogue.vocabulary, layout, position, feature)
            assert kind is not None, f"{position}, {feature}: of no kind"
            assert kind.datatype_of(dimension), f"{kind.label} has no {dimension}"
            how = how_in_place(layout, kind, position, feature, dimension)
            assert reached, f"{position}, {feature}: nobody says when it is reached"
            assert bool(how.text) is (kind.table != NOT_MEASURED), f"{position}, {feature}, {dimension}"
            assert how.source
            seen += 1
    assert seen > 2000


def test_no_figure_names_a_kind_that_its_joints_contradict() -> None:
    for catalogue in whole_vehicles():
        (layout,) = catalogue.layouts.values()
        for figure in (*layout.figures, *layout.told):
            for term in figure.terms:
                kind = kind_in_place(catalogue.vocabulary, layout, term.position, term.feature)
                assert kind is not None and term.kind in ("", kind.label)


def test_each_text_is_an_instruction_that_names_its_tool_and_is_short() -> None:
    catalogue = world("driven front corner,")
    texts = {c.method for k in catalogue.vocabulary.kinds.values() for c in k.columns if c.method}
    texts |= {row["how"] for made in ready_made().values() for _, row in made.tables["how_to_measure"]}
    assert len(texts) > 120
    for text in sorted(texts):
        assert TOOLS.search(text.casefold()), text
        assert text[0].isupper() and text.endswith((".", "module.", ").")), text
        assert len(text) <= 170, text


def test_what_a_layout_says_of_a_place_names_what_is_there() -> None:
    for made in ready_made().values():
        catalogue = world(*(f"{m}," for m in dict.fromkeys((made.name, "hydraulics"))))
        if made.name == "hydraulics":
            catalogue = world("driven front corner,front", "rear corner,rear", "hydraulics,")
        (layout,) = catalogue.layouts.values()
        there = {(p, f, column_of(d)) for p, f, d, _ in asked(catalogue, layout)}
        for _, row in made.tables["how_to_measure"]:
            assert (row["position"], row["feature"], row["dimension"]) in there, row


@pytest.mark.parametrize("dimension", ["thread", "thread.pitch", "thread.hand"])
def test_a_part_of_a_cell_is_measured_as_the_cell_is(dimension: str) -> None:
    catalogue = world("driven front corner,front")
    (layout,) = catalogue.layouts.values()
    kind = kind_in_place(catalogue.vocabulary, layout, "front hub nut", "nut")
    assert kind is not None and kind.label == "nut"
    how = how_in_place(layout, kind, "front hub nut", "nut", dimension)
    assert "male thread that you know" in how.text and how.source == COMMON_PRACTICE


def test_the_layouts_own_words_come_before_those_of_the_kind_and_ones_own_before_both() -> None:
    catalogue = world("driven front corner,front")
    (layout,) = catalogue.layouts.values()
    kind = kind_in_place(catalogue.vocabulary, layout, "front outer joint", "journal")
    said = how_in_place(layout, kind, "front outer joint", "journal", "diameter")
    assert said.text.startswith("Take the outer joint out of the knuckle.")
    own = "layout,position,feature,dimension,how,source of it\nwhole,outer joint,journal,diameter,Ask Fred.,Fred\n"
    records = records_from_text(
        {"layout_uses.csv": "layout,uses\nwhole,driven front corner\n", "how_to_measure.csv": own}
    )
    assert not records.findings
    (layout,) = records.catalogue.layouts.values()
    said = how_in_place(layout, kind, "outer joint", "journal", "diameter")
    assert (said.text, said.source) == ("Ask Fred.", "Fred")


def test_a_place_or_kind_that_is_not_there_is_told() -> None:
    own = "layout,position,feature,dimension,how\nwhole,outer jont,journal,diameter,Ask Fred.\n"
    terms = "layout,figure,order,position,feature,dimension,kind\n"
    terms += "whole,track change,9,wheel,plate,thickness,wheel spacer bdy\n"
    records = records_from_text(
        {
            "layout_uses.csv": "layout,uses\nwhole,driven front corner\n",
            "how_to_measure.csv": own,
            "figure_terms.csv": terms,
        }
    )
    found = {f.file: f for f in records.findings}
    assert found["how_to_measure.csv"].suggestions[0] == "outer joint"
    assert found["figure_terms.csv"].suggestions[0] == "wheel spacer body"
