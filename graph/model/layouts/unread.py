"""What stands where a row that was set aside should have said it: something, or nothing; nobody knows.

Passed over, such a row would leave what another vehicle is recorded to have, an empty place, or a set short of one of
its members: each is a statement that nobody made.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Mapping

from knockon.graph.model.layouts.mechanism import Layout
from knockon.graph.model.things import SIDES, Fitting, SetAside, SetMember


def with_unread_fittings(
    fittings: Mapping[str, list[Fitting]], set_aside: Iterable[SetAside]
) -> dict[str, list[Fitting]]:
    """By vehicle its own fittings, in the order in which they stand, with one for each row that was set aside."""
    found = {vehicle: list(own) for vehicle, own in fittings.items()}
    for row in sorted((r for r in set_aside if r.kind == "fitting" and r.name and r.positions), key=repr):
        own = found.setdefault(row.name, [])
        place = (row.positions[0], row.side if row.side in SIDES else "")
        if place not in {(f.position, f.side) for f in own}:
            # a row for both sides replaces both, so it stands before those that name one
            own.insert(len(own) if place[1] else 0, Fitting(*place, unread=True))
    return found


def with_unread_members(
    members: Mapping[str, tuple[SetMember, ...]],
    set_aside: Iterable[SetAside],
    parts: Container[str],
    layouts: Mapping[str, Layout],
) -> dict[str, tuple[SetMember, ...]]:
    """By set its members, with one of which nothing is known but its place for each row that was set aside."""
    known = {p.position for layout in layouts.values() for p in layout.positions}
    found = dict(members)
    for row in sorted((r for r in set_aside if r.kind == "set member" and r.name in parts), key=repr):
        one = SetMember(row.name, next(iter(row.positions), ""), row.side if row.side in SIDES else "")
        own = found.get(row.name, ())
        if one.position in known and (one.position, one.side) not in {(m.position, m.side) for m in own}:
            found[row.name] = tuple(sorted((*own, one), key=lambda m: (m.position, m.side)))
    return {name: found[name] for name in sorted(found)}
