"""A table edited by hand while an import of it was cut short: every row of both stands, no byte more changes."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from knockon.graph.tables.edited_meanwhile import CannotBeBoth, both

rows = st.lists(st.sampled_from(["a,1", "a,2", "b,1", 'c,"x,y"', "d,"]), max_size=5, unique=True)


def table(lines: list[str]) -> bytes:
    return "".join(f"{line}\n" for line in ["part,size", *dict.fromkeys(lines)]).encode()


@given(rows, rows, rows)
def test_what_the_import_adds_and_what_the_hand_adds_both_stand(
    was: list[str], come: list[str], hand: list[str]
) -> None:
    found = both(table(was), table([*was, *come]), table([*was, *hand])).decode().splitlines()
    assert found[0] == "part,size" and found[1 : 1 + len(was)] == was
    assert set(found[1:]) == {*was, *come, *hand}


@given(rows, rows)
def test_it_is_done_once_however_often(was: list[str], new: list[str]) -> None:
    edited = table([*was, "hand,9"])
    once = both(table(was), table(new), edited)
    assert both(table(was), table(new), once) == once


def test_rows_that_the_import_takes_out_go_and_the_edited_stay() -> None:
    assert both(table(["a,1", "b,1"]), table(["b,1", "c,3"]), table(["a,1", "b,2"])) == table(["b,2", "c,3"])


def test_line_ends_and_blank_lines_of_the_hand_stay() -> None:
    assert both(b"part,size\r\na,1\r\n", b"part,size\r\na,1\r\nb,2\r\n", b"part,size\r\n\r\na,1") == (
        b"part,size\r\n\r\na,1\r\nb,2\r\n"
    )


def test_a_column_that_the_import_brings() -> None:
    assert both(table(["a,1"]), b"part,size,source\na,1,\nb,2,m1\n", table(["a,1", "h,9"])) == (
        b"part,size,source\na,1,\nh,9,\nb,2,m1\n"
    )


def test_other_columns_cannot_be_put_together() -> None:
    with pytest.raises(CannotBeBoth):
        both(table(["a,1"]), table(["a,2"]), b"size,part\n1,a\n")
