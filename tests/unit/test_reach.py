"""What a part reaches along joints, class by class, is what asking every pair of candidates reaches."""

from __future__ import annotations

from pathlib import Path

import pytest

import knockon
from knockon.graph.model.catalogue import Catalogue, UnknownNameError
from knockon.graph.records import load_records
from knockon.queries.as_typed import RequestError
from knockon.queries.fits.checking.candidates import Candidate, new_parts
from knockon.queries.fits.meeting import Meetings, meetings_of
from knockon.queries.fits.reach import reach, seats_along, way_along
from tests.bench.peers import CHAIN, START
from tests.bench.worlds import make_world
from tests.demo.demo import demo

JOINTS = [link.joint for link in CHAIN]


@pytest.fixture(scope="module", params=[None, False, True], ids=["demo", "zipf", "distinct"])
def catalogue(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Catalogue:
    if request.param is None:
        return demo()
    folder = tmp_path_factory.mktemp("reach") / "records"
    return load_records(make_world(folder, 500, 3, distinct=request.param))


def layout_of(catalogue: Catalogue) -> Meetings:
    return next(m for m in meetings_of(catalogue) if m.places.layout.layout == "tansy front axle")


def pair_by_pair(meetings: Meetings, near: list[Candidate], joint: str) -> list[Candidate]:
    """The candidates beyond a joint that are no no beside some of these."""
    checks = meetings.checks
    place = near[0].place
    at = next(a for a in meetings.places.joints if a.joint.joint == joint and place in (a.first, a.second))
    beyond = at.beyond(at.end_at(place)).place
    return [
        far
        for far in new_parts(checks.catalogue, meetings.places, beyond)
        if any(not checks.joint(at, *at.in_order(place, one, far)).verdict.is_no for one in near)
    ]


@pytest.mark.parametrize("along", [JOINTS, JOINTS[::-1], ["shaft in joint"], ["flange on stub", "shaft in joint"]])
def test_it_is_what_asking_pair_by_pair_finds(catalogue: Catalogue, along: list[str]) -> None:
    meetings = layout_of(catalogue)
    starts = [p for p in meetings.places.all if p.side != "right" and way_along(meetings, p, along)]
    assert starts
    for place in starts:
        for one in list(new_parts(catalogue, meetings.places, place))[:6]:
            way = way_along(meetings, place, along)
            assert way is not None
            start = way[0].own.seats.numbers.index(one.number)
            near = [one]
            for meeting, seats in zip(way, seats_along(way, 1 << start), strict=True):
                near = pair_by_pair(meetings, near, meeting.at.joint.joint) if near else []
                found = [meeting.other.seats.candidate(s) for s in range(seats.bit_length()) if seats >> s & 1]
                assert found == near


def test_all_that_meets_one_part_is_listed_by_class(catalogue: Catalogue) -> None:
    meetings = layout_of(catalogue)
    place = next(p for p in meetings.places.all if str(p) == "left outer joint")
    for one in new_parts(catalogue, meetings.places, place):
        meeting = meetings.entered("flange on stub", place)
        assert meeting is not None
        met = meeting.numbers_met(meeting.own.seats.seat_of(one.number))
        assert list(met) == [c.number for c in pair_by_pair(meetings, [one], "flange on stub")]


def test_it_is_counted_and_the_first_are_named(catalogue: Catalogue) -> None:
    answer = reach(catalogue, START, JOINTS, most=2)
    assert [j.joint for j in answer.joints] == JOINTS
    for one, following in zip(answer.joints, answer.joints[1:], strict=False):
        assert one.other_position == following.position
    for joint in answer.joints:
        assert 0 < joint.reached <= joint.of
        assert len(joint.first) == min(2, joint.reached) and list(joint.first) == sorted(joint.first)


def test_words_that_lead_nowhere_say_so() -> None:
    with pytest.raises(UnknownNameError, match="flange on stub"):
        reach(demo(), START, ["flange on stubb"])
    with pytest.raises(UnknownNameError):
        reach(demo(), "ALDER-2011", JOINTS)
    with pytest.raises(RequestError, match="Each joint begins"):
        reach(demo(), START, [JOINTS[0], JOINTS[2]])
    with pytest.raises(RequestError, match="name the joints"):
        reach(demo(), START, [])


def test_from_a_script(tmp_path: Path) -> None:
    assert knockon.open().reach(START, JOINTS[0]) == reach(demo(), START, JOINTS[:1])
