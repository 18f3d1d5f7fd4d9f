"""Which parts one part may stand beside further on: along joints, one after the other.

A part is reached over a joint if no check of the joint rules it out beside some part that was reached before: unknown
sizes rule nothing out. That is found class by class: what a set of parts reaches is the union of what their interface
classes reach, so no pair of parts is looked at. Every pair in such a row can be right and the whole wrong: two ways
round may ask for different parts in one position, and stacks and figures are not judged.
"""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from knockon.graph.judge.comparisons import chosen
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import JointAt, Place
from knockon.graph.model.things import Part
from knockon.queries.answers import SHORT_CAUTIONS, Answer, short_cautions_on
from knockon.queries.as_typed import RequestError, check_meant
from knockon.queries.fits.checking.candidates import new_parts
from knockon.queries.fits.meeting import Meeting, Meetings, meetings_of

MOST_NAMED = 8
"""So many of the parts reached are named."""


class Reached(msgspec.Struct, frozen=True):
    """The parts reached over one joint: how many ``of`` those that may be bought for the position, and the ``first`` of
    them by number, members of sets under the number of their set."""

    joint: str
    position: str
    other_position: str
    reached: int
    of: int
    first: tuple[str, ...]


class ReachAnswer(Answer, frozen=True):
    """The parts reached from one part along joints, counted joint by joint."""

    part: str
    name: str
    layout: str
    joints: tuple[Reached, ...]
    cautions: tuple[str, ...] = SHORT_CAUTIONS


def reach(catalogue: Catalogue, number: str, along: Sequence[str], most: int = MOST_NAMED) -> ReachAnswer:
    """The parts reached from a part along these joints, at most so many of each named.

    Raises UnknownNameError for a part or joint that the records do not hold, RequestError where the joints do not
    follow one another from a position of the part.
    """
    part: Part = catalogue.find("part", number)
    names = [_joint_named(catalogue, name) for name in along]
    if not names:
        raise RequestError("name the joints in the order in which you go along them")
    for meetings in meetings_of(catalogue):
        for place in meetings.places.all:
            way = (
                way_along(meetings, place, names)
                if [*new_parts(catalogue, meetings.places, place, {part.part})]
                else None
            )
            if way is not None:
                layout = meetings.places.layout.layout
                joints = tuple(_reached(meetings, way, part.part, most))
                return ReachAnswer(part.part, part.name, layout, joints, short_cautions_on(catalogue))
    raise RequestError(
        f"{part.part} does not lead along {', '.join(names)}. Each joint begins in the position where the one before "
        "it ends"
    )


def _joint_named(catalogue: Catalogue, name: str) -> str:
    names = {j.joint for layout in catalogue.layouts.values() for j in layout.joints}
    return check_meant("joint", name, names, catalogue.vocabulary.others("PartType"))


def way_along(meetings: Meetings, start: Place, names: Sequence[str]) -> list[Meeting] | None:
    """The joints of these names from a place on, each seen from the end where it is entered; or None."""
    found: list[Meeting] = []
    place = start
    for name in names:
        meeting = meetings.entered(name, place)
        if meeting is None:
            return None
        found.append(meeting)
        place = meeting.other.seats.place
    return found


def seats_along(way: Sequence[Meeting], seats: int) -> list[int]:
    """What some seats of the first place reach, joint by joint, as bits of seats."""
    found = []
    for meeting in way:
        seats = meeting.seats_reached(seats)
        found.append(seats)
    return found


def _reached(meetings: Meetings, way: Sequence[Meeting], number: str, most: int) -> list[Reached]:
    own = way[0].own.seats
    start = sum(1 << seat for seat, known in enumerate(own.numbers) if known == number)
    found = []
    for meeting, seats in zip(way, seats_along(way, start), strict=True):
        here, there = _positions(meeting.at, meeting.number)
        numbers = meeting.other.seats.numbers
        first = sorted(set(chosen(numbers, seats)))[:most]
        found.append(Reached(meeting.at.joint.joint, here, there, seats.bit_count(), len(numbers), tuple(first)))
    return found


def _positions(at: JointAt, number: int) -> tuple[str, str]:
    ends = at.ends
    return ends[number].place.position, ends[1 - number].place.position
