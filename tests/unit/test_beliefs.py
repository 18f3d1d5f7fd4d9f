"""Which statements compute, which contradict each other, and what is missing."""

from __future__ import annotations

from itertools import permutations

from msgspec.structs import replace

from knockon.graph.judge.beliefs import (
    Interface,
    Known,
    Size,
    interface_of,
    known_of,
    presence_of,
    proven,
    share_a_value,
)
from knockon.graph.model.things import Feature, Said, Source, Statement


def said(
    rank: int, low: float | None, high: float | None = None, source: str = "s", nominal: bool = False
) -> Statement:
    return Statement("as written", source, rank, low, low if high is None else high, nominal)


def code(rank: int, text: str) -> Statement:
    return Statement(text, "s", rank, code=text)


ASKED = Statement("?", "s", 2, unknown=True)


def test_the_best_standing_computes() -> None:
    known = known_of((said(5, 10.0), said(2, 12.0), said(4, 11.0)))
    assert [s.low for s in known.sizes] == [12.0]
    assert (known.rank, known.contested, known.asked) == (2, False, False)


def test_equal_statements_that_share_a_value_are_not_contested() -> None:
    known = known_of((said(2, 10.0, 10.4), said(2, 10.4, 10.8)))
    assert len(known.sizes) == 2 and not known.contested


def test_equal_statements_without_a_common_value_are_contested() -> None:
    assert known_of((said(2, 10.0), said(2, 10.1))).contested
    three = known_of((said(2, 10.0, 10.5), said(2, 10.4, 11.0), said(2, 10.9, 11.5)))
    assert three.contested and len(three.sizes) == 3  # the outer two share nothing


def test_the_same_size_twice_is_one() -> None:
    assert len(known_of((said(2, 10.0, source="a"), said(2, 10.0, source="b"))).sizes) == 1
    assert known_of((said(2, 10.0, nominal=True), said(2, 10.0))).contested is False


def test_a_question_mark_alone_is_asked_and_beside_a_size_is_nothing() -> None:
    assert known_of((ASKED,)) == Known(asked=True)
    assert known_of(()) == Known()
    assert Known().contested is False
    assert known_of((ASKED, said(5, 1.0))).asked is False


def test_codes_agree_or_not() -> None:
    assert not known_of((code(2, "taper"), code(2, "taper"))).contested
    assert known_of((code(2, "taper"), code(2, "flat"))).contested


def test_a_missing_bound_is_no_limit() -> None:
    at_least = Size(5.0, None, False, None)
    assert share_a_value(at_least, Size(100.0, 100.0, False, None))
    assert not share_a_value(at_least, Size(None, 4.0, False, None))
    assert share_a_value(Size(None, 5.0, False, None), at_least)


def test_what_lies_below_or_above_both_is_shared() -> None:
    assert share_a_value(Size(None, 5.0, False, None), Size(None, -7.0, False, None))
    assert share_a_value(Size(5.0, None, False, None), Size(-7.0, None, False, None))


def test_only_the_same_code_is_shared_and_never_with_a_size() -> None:
    flat, taper = (Size(None, None, False, text) for text in ("flat", "taper"))
    assert not share_a_value(flat, taper) and not share_a_value(taper, flat)
    assert share_a_value(flat, Size(None, None, False, "".join(["fl", "at"])))
    assert not share_a_value(flat, Size(1.0, 2.0, False, None)) and not share_a_value(Size(1.0, 2.0, False, None), flat)


def test_the_order_of_sizes_is_that_of_their_ends_whoever_speaks_first() -> None:
    open_below, open_above, both = said(2, None, 5.0), replace(said(2, -1.0), high=None), said(2, -1.0, 5.0)
    for order in permutations((open_below, open_above, both)):
        assert [(s.low, s.high) for s in known_of(order).sizes] == [(None, 5.0), (-1.0, 5.0), (-1.0, None)]
    words = ["ball", "cone", "flat", "hex", "square", "taper"]
    assert [s.code for s in known_of(tuple(code(2, word) for word in reversed(words))).sizes] == words


def test_what_was_read_on_another_thing_is_known_as_from_a_drawing_at_best() -> None:
    assert proven(replace(said(1, 10.0), of_number=True)) == 2
    assert proven(replace(said(4, 10.0), of_number=True)) == 4
    assert proven(said(1, 10.0)) == 1


def feature(*statements: Statement, absent: tuple[Said, ...] = ()) -> Feature:
    return Feature("f", "kind", {"width": statements} if statements else {}, absent)


def test_recorded_absent_contested_or_not_recorded() -> None:
    assert presence_of(None) == "not recorded"
    assert presence_of(feature(said(2, 1.0))) == "recorded"
    assert presence_of(feature()) == "recorded"  # named, though without a size
    assert presence_of(feature(absent=(Said("s", 5),))) == "absent"
    assert presence_of(feature(said(3, 1.0), absent=(Said("s", 2),))) == "absent"
    assert presence_of(feature(said(2, 1.0), absent=(Said("s", 3),))) == "recorded"
    assert presence_of(feature(said(2, 1.0), absent=(Said("s", 2),))) == "contested"
    assert presence_of(feature(ASKED, absent=(Said("s", 5),))) == "absent"  # "?" states no size


def test_an_interface_follows_the_dimensions_asked_for() -> None:
    own = feature(said(2, 1.0))
    assert interface_of(own, ("width", "depth")) == Interface("recorded", (known_of((said(2, 1.0),)), Known()))
    assert interface_of(feature(said(3, 1.0), absent=(Said("s", 2),)), ("width",)) == Interface("absent", (Known(),))
    assert interface_of(None, ("width",)) == Interface("not recorded", (Known(),))


def test_equal_interfaces_are_one_class_whatever_was_written() -> None:
    one = interface_of(feature(Statement("1 in", "a", 2, 25.4, 25.4, True)), ("width",))
    other = interface_of(feature(Statement("25.4 mm", "b", 2, 25.4, 25.4, True)), ("width",))
    assert one == other and hash(one) == hash(other)


def test_the_rank_of_a_standing() -> None:
    assert Source("x", "on the item").rank == 1
    assert Source("x", "hearsay").rank == 6
    assert Source("x", "never heard of").rank == 6
