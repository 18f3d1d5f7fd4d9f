"""What stands of each ordered line, counted by hand, and what the next order of the plan need not buy."""

from __future__ import annotations

import pytest

from knockon.graph.jobs.events import ACCEPT, ASK, REJECT, AnyEvent, LineOrdered, Ordered, Planned, Received
from knockon.graph.jobs.store import Job, JobRefused
from knockon.queries.buy.placed import LineStands
from knockon.queries.job.parcels import had_in, line_meant, order_holds, stands

BY, AT = "m080", "2026-01-01T00:00:00Z"
ASKED = Planned(BY, AT, "mine")


def ordered(*lines: LineOrdered) -> Ordered:
    return Ordered(BY, AT, "cheapest", "0.00", lines, {})


def came(
    part: str, n: int, verdict: str, supplier: str = "Ash", why: str = "", readings: tuple[str, ...] = ()
) -> Received:
    return Received(BY, AT, part, n, verdict, supplier, why=why, readings=readings)


def counts(*events: AnyEvent) -> dict[tuple[str, str], tuple[int, int, int, int, int]]:
    """By supplier and number: ordered, accepted, rejected, asked, outstanding."""
    return {(x.supplier, x.part): (x.ordered, x.accepted, x.rejected, x.asked, x.outstanding) for x in stands(events)}


NUTS = ordered(LineOrdered("Ash", 3, "2.00", part="N1", pack=4))
"""Three packs of four: twelve nuts."""


def test_packs_count_their_parts_and_kits_what_they_hold() -> None:
    """3 packs of 4 and 2 kits with 1 nut each are 14 nuts; the kit has 2 rotors, so 4 come."""
    kit = LineOrdered("Ash", 2, "9.00", kit="box", holds={"N1": 1, "R1": 2})
    assert counts(ordered(NUTS.lines[0], kit)) == {("Ash", "N1"): (14, 0, 0, 0, 14), ("Ash", "R1"): (4, 0, 0, 0, 4)}


def test_one_number_from_two_suppliers_is_two_lines_and_a_second_order_adds_up() -> None:
    beech = ordered(LineOrdered("Beech", 5, "0.40", part="N1"))
    assert counts(beech, NUTS, beech) == {("Ash", "N1"): (12, 0, 0, 0, 12), ("Beech", "N1"): (10, 0, 0, 0, 10)}
    assert [x.supplier for x in stands([beech, NUTS])] == ["Ash", "Beech"]


def test_nothing_ordered_stands_nowhere() -> None:
    assert stands([ASKED]) == () and stands([]) == ()
    assert stands([came("N1", 4, ACCEPT)]) == ()


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        # accepted, rejected, asked, outstanding of twelve
        ([("accept", 5)], (5, 0, 0, 7)),
        ([("accept", 5), ("accept", 7)], (12, 0, 0, 0)),
        ([("accept", 5), ("reject", 3)], (5, 3, 0, 4)),
        # of twelve nothing is outstanding: what was accepted is rejected after all, or the other way round
        ([("accept", 12), ("reject", 2)], (10, 2, 0, 0)),
        ([("reject", 12), ("accept", 12)], (12, 0, 0, 0)),
        # two are outstanding and three are rejected: two of those to come, and one accepted before
        ([("accept", 10), ("reject", 3)], (9, 3, 0, 0)),
        # what is asked about stays outstanding, and a word on it takes it from what is asked
        ([("ask", 4)], (0, 0, 4, 12)),
        ([("ask", 4), ("accept", 3)], (3, 0, 1, 9)),
        ([("ask", 4), ("reject", 12)], (0, 12, 0, 0)),
        # asked twice about the same ones is not twice as many
        ([("ask", 4), ("ask", 6), ("ask", 2)], (0, 0, 6, 12)),
        # no more can be asked about than are to come
        ([("accept", 10), ("ask", 12)], (10, 0, 2, 2)),
    ],
)  # fmt: skip
def test_what_was_said_of_twelve_nuts(said: list[tuple[str, int]], expected: tuple[int, int, int, int]) -> None:
    events = [came("N1", n, verdict) for verdict, n in said]
    assert counts(NUTS, *events) == {("Ash", "N1"): (12, *expected)}


def test_a_word_before_the_order_or_on_another_suppliers_part_says_nothing_of_it() -> None:
    assert counts(came("N1", 2, ACCEPT), NUTS, came("N1", 2, ACCEPT, "Beech")) == {("Ash", "N1"): (12, 0, 0, 0, 12)}


def test_the_last_reason_and_the_last_readings_come_first() -> None:
    (line,) = stands([
        NUTS,
        came("N1", 1, ASK, why="rusty", readings=("a = 1",)),
        came("N1", 1, ACCEPT, readings=("b = 2", "c = 3")),
        came("N1", 1, REJECT, why="cracked"),
    ])  # fmt: skip
    assert line.why == ("cracked", "rusty") and line.readings == ("b = 2", "c = 3", "a = 1")


# ---- which line is meant


def job(*events: AnyEvent) -> Job:
    return Job("discs", (ASKED, *events))


def test_all_that_are_to_come_are_meant_where_nobody_says_how_many() -> None:
    after = job(NUTS, came("N1", 5, ACCEPT))
    assert [n for _, n in (line_meant(after, "n1", "", v, None) for v in (ACCEPT, REJECT, ASK))] == [7, 7, 7]
    assert line_meant(after, "N1", "ash", ACCEPT, 2)[1] == 2


def test_where_none_is_to_come_those_judged_the_other_way_are_meant() -> None:
    all_in = job(NUTS, came("N1", 9, ACCEPT), came("N1", 3, REJECT))
    assert line_meant(all_in, "N1", "", REJECT, None)[1] == 9
    assert line_meant(all_in, "N1", "", ACCEPT, None)[1] == 3
    with pytest.raises(JobRefused, match="0 are still to come"):
        line_meant(all_in, "N1", "", ASK, None)


@pytest.mark.parametrize(("verdict", "most"), [(ACCEPT, 9), (REJECT, 10), (ASK, 7)])
def test_no_more_can_be_said_than_are_to_come_or_were_judged_the_other_way(verdict: str, most: int) -> None:
    """Of twelve three are accepted and two rejected: seven are to come."""
    after = job(NUTS, came("N1", 3, ACCEPT), came("N1", 2, REJECT))
    assert line_meant(after, "N1", "", verdict, most)[1] == most
    with pytest.raises(
        JobRefused, match=r"of N1 from Ash 7 are still to come\. 12 were ordered, 3 accepted, 2 rejected"
    ):
        line_meant(after, "N1", "", verdict, most + 1)


def test_two_suppliers_must_be_told_apart_while_both_are_to_come() -> None:
    both = (NUTS, ordered(LineOrdered("Beech", 5, "0.40", part="N1")))
    with pytest.raises(JobRefused, match=r"from Ash and from Beech\. Say which: --from"):
        line_meant(job(*both), "N1", "", ACCEPT, None)
    line, n = line_meant(job(*both, came("N1", 12, ACCEPT)), "N1", "", ACCEPT, None)
    assert (line.supplier, n) == ("Beech", 5)
    with pytest.raises(JobRefused, match="not ordered from Cedar, but from Ash or Beech"):
        line_meant(job(*both), "N1", "Cedar", ACCEPT, None)


def test_a_misspelling_names_what_is_near_it() -> None:
    with pytest.raises(JobRefused, match=r"N11 was not ordered for plan discs\. Near it: N1"):
        line_meant(job(NUTS), "N11", "", ACCEPT, None)
    with pytest.raises(JobRefused, match="nothing was ordered of plan discs"):
        line_meant(job(), "N1", "", ACCEPT, None)


# ---- what the next order need not buy


def test_what_is_accepted_and_what_is_to_come_is_had_but_not_what_was_rejected() -> None:
    """Twelve nuts less three rejected are nine; both calipers rejected are none, and Ash sells neither once more."""
    calipers = ordered(LineOrdered("Ash", 2, "50.00", part="C1"))
    had = had_in(job(NUTS, calipers, came("N1", 5, ACCEPT), came("N1", 3, REJECT), came("C1", 2, REJECT)))
    assert had.units == {"N1": 9}
    assert had.refused == {("Ash", "N1"), ("Ash", "C1")}


def test_an_old_part_is_promised_for_each_unit_that_is_not_rejected() -> None:
    """Three calipers, of which an old part goes back for two. One rejected leaves two; two rejected leave one."""
    exchanged = ordered(LineOrdered("Ash", 3, "50.00", part="C1", exchanged=2))
    assert [had_in(job(exchanged, came("C1", n, REJECT))).promised for n in (1, 2, 3)] == [{"C1": 2}, {"C1": 1}, {}]
    assert had_in(job(exchanged)).promised == {"C1": 2}


def test_an_order_holds_until_something_is_rejected_or_asked_anew() -> None:
    assert not order_holds(job())
    assert order_holds(job(NUTS)) and order_holds(job(NUTS, came("N1", 12, ACCEPT)))
    assert not order_holds(job(NUTS, came("N1", 1, REJECT)))
    assert not order_holds(job(NUTS, ASKED)) and order_holds(job(NUTS, ASKED, NUTS))
    assert order_holds(job(NUTS, came("N1", 1, REJECT), NUTS)), "the rejected one was ordered again"
    again = (NUTS, came("N1", 12, REJECT), came("N1", 12, ACCEPT))
    assert order_holds(job(*again)), "it was accepted after all"


def test_a_line_that_nobody_spoke_of_says_nothing_but_its_number() -> None:
    assert stands([NUTS]) == (LineStands("Ash", "N1", 12, outstanding=12),)
