"""IRIs of records keep their keys whatever they are made of; limits and nearest names are read as written."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knockon.graph.model.limits import read_limit
from knockon.graph.model.names import ID, RECORDS_GRAPH, iri, key_of, source_graph
from knockon.graph.model.nearest import nearest
from knockon.graph.quantity import CellError


@given(st.text(st.characters(exclude_categories=["Cs"]), min_size=1))
def test_a_key_survives_its_iri(key: str) -> None:
    assert key_of(iri("parts", key)) == key


@given(st.tuples(st.text("ab/ %#?", min_size=1), st.text("ab/ %#?", min_size=1)))
def test_two_keys_never_run_together(keys: tuple[str, str]) -> None:
    made = iri("positions", *keys)
    assert made.removeprefix(ID).count("/") == 2
    assert made == iri("positions", *keys) != iri("positions", keys[0] + "/" + keys[1])


def test_a_row_without_a_source_stands_in_the_graph_of_the_records() -> None:
    assert source_graph("") == RECORDS_GRAPH
    assert key_of(source_graph("N 02")) == "N 02"


@pytest.mark.parametrize(
    ("written", "value"),
    [("0.8", 0.8), ("-3", -3.0), ("3 mm", 3.0), ("1/8 in", 3.175), ("2 psi", 13.789514586336721), ("30 deg", 30.0)],
)
def test_a_limit_is_read_in_the_base_unit(written: str, value: float) -> None:
    assert read_limit(written).value == pytest.approx(value)


@pytest.mark.parametrize("written", ["", "?", "a lot", "3..4 mm", "3 mm ±1 mm", "absent"])
def test_anything_but_one_number_is_no_limit(written: str) -> None:
    with pytest.raises(CellError):
        read_limit(written)


def test_the_nearest_names_come_best_first() -> None:
    known = ["LARCH-201", "LARCH-202", "ROWAN-201", "drive flange"]
    assert nearest("LARCH-2O1", known)[0] == "LARCH-201"
    assert nearest("drive flnge", known) == ("drive flange",)
    assert nearest("zzzz", known) == ()
    assert nearest("LARCH-20", reversed(known)) == nearest("LARCH-20", known)
