"""What tells two parts apart at the joints: for which other parts one has another verdict than the other.

Both are judged against every part on the other side of a joint by interface class, so that the cost grows with the
parts on that side, never with pairs of parts.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import msgspec

from knockon.graph.judge.verdicts import SEVERITY, Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.drawings import member_thing
from knockon.graph.model.layouts.layout import JointAt, Place, Places
from knockon.graph.model.things import Part, SetMember
from knockon.queries.fits.checking.candidates import Candidate, new_parts
from knockon.queries.fits.checking.checks import Checks


class Turn(msgspec.Struct, frozen=True):
    """Parts with which the first of the two has one verdict and the second another."""

    first: Verdict
    second: Verdict
    parts: tuple[str, ...]


class AtJoint(msgspec.Struct, frozen=True):
    """A joint in which both may stand, judged with both. ``label`` names the member of a set that stands there (blank:
    the part itself), ``dimensions`` what each condition of the rule reads on this side."""

    label: str
    feature: str
    rule: str
    joint: str
    position: str
    other_position: str
    safety_critical: bool
    dimensions: tuple[tuple[str, tuple[str, ...]], ...]
    turns: tuple[Turn, ...]


class Pair(msgspec.Struct, frozen=True):
    """Two things that are compared: the parts themselves, or their members of one place (None: it has none there)."""

    label: str
    first: str | None
    second: str | None


class Stands(msgspec.Struct):
    """Where the compared things may stand, by label: the positions in the layouts' order, the features that joints and
    figures read there (with their kind, blank where no rule says it), the joints as judged, and the stacks and figures
    in which a size stands (by label, feature and dimension)."""

    positions: dict[str, dict[str, None]]
    read: dict[str, dict[str, str]]
    joints: dict[tuple[str, str, str, str], AtJoint]
    figures: dict[tuple[str, str, str], dict[str, None]]


def members_of(catalogue: Catalogue, number: str) -> dict[str, SetMember]:
    """The members of a set by their label, in the records' order; none of a part that is no set."""
    return {Place(m.position, m.side): m for m in catalogue.set_members.get(number, ())}


def pairs_of(catalogue: Catalogue, first: Part, second: Part) -> tuple[Pair, ...]:
    """What is compared with what: part with part, member with member, a part with the member whose place it takes."""
    ours, theirs = members_of(catalogue, first.part), members_of(catalogue, second.part)
    labels = dict.fromkeys((*ours, *theirs))
    whole = Pair("", first.part, second.part)
    if bool(ours) == bool(theirs):
        things = [{k: member_thing(m) for k, m in members.items()} for members in (ours, theirs)]
        return (whole, *(Pair(label, things[0].get(label), things[1].get(label)) for label in labels))
    single, members = (second, ours) if ours else (first, theirs)
    ends = [(member_thing(m), single.part if _takes(catalogue, single, m) else None) for m in members.values()]
    pairs = tuple(Pair(label, *(e if ours else e[::-1])) for label, e in zip(members, ends, strict=True))
    return pairs if any(other for _, other in ends) else (whole, *pairs)


def _takes(catalogue: Catalogue, part: Part, member: SetMember) -> bool:
    """Whether a part is of the type of the position that a set's member fills."""
    positions = (p for layout in catalogue.layouts.values() for p in layout.positions)
    return any(p.position == member.position and catalogue.vocabulary.is_a(part.part_type, p.part_type)
               for p in positions)  # fmt: skip


def stands_of(catalogue: Catalogue, pairs: tuple[Pair, ...], numbers: tuple[str, str]) -> Stands:
    """Where the two may stand in all layouts, and the verdicts that differ there."""
    found = Stands(positions={p.label: {} for p in pairs}, read={p.label: {} for p in pairs}, joints={}, figures={})
    for layout in catalogue.layouts.values():
        checks = Checks(catalogue, Places(layout))
        standing = _standing(catalogue, checks.places)
        for pair in pairs:
            own = {
                position: (there.get(pair.first or ""), there.get(pair.second or ""))
                for position, there in standing.items()
            }
            own = {position: ends for position, ends in own.items() if any(ends)}
            found.positions[pair.label] |= dict.fromkeys(own)
            for at in _at_joints(checks, pair.label, own, standing, numbers):
                found.joints.setdefault((at.label, at.joint, at.position, at.feature), at)
                kind = checks.kind_of(at.feature)
                found.read[pair.label].setdefault(at.feature, kind.iri if kind else "")
            for figure in layout.figures:
                for term in (t for t in figure.terms if t.position in own):
                    found.read[pair.label].setdefault(term.feature, "")
                    key = (pair.label, term.feature, term.dimension)
                    found.figures.setdefault(key, {})[figure.figure] = None
    return found


def _standing(catalogue: Catalogue, places: Places) -> dict[str, dict[str, Candidate]]:
    """For each position the things that may stand there, on either side."""
    found: dict[str, dict[str, Candidate]] = {}
    for place in places.all:
        there = found.setdefault(place.position, {})
        for candidate in new_parts(catalogue, places, place):
            there.setdefault(candidate.thing, candidate)
    return found


Ends = tuple[Candidate | None, Candidate | None]


def _at_joints(
    checks: Checks,
    label: str,
    own: Mapping[str, Ends],
    standing: Mapping[str, Mapping[str, Candidate]],
    numbers: tuple[str, str],
) -> Iterator[AtJoint]:
    """The joints in which either of the two stands. Sides are left out: a hand is a difference of its own."""
    seen: set[str] = set()
    for at in checks.places.joints:
        if at.joint.joint in seen:
            continue
        seen.add(at.joint.joint)
        rule = checks.rule_of(at)
        for end in at.ends:
            place, other = end.place, at.beyond(end).place
            if place.position in own:
                role = rule.ends[end.number].role
                others = [c for c in standing[other.position].values() if c.number not in numbers]
                reads = ((c.label, tuple(t.dimension for t in c.terms if t.role == role)) for c in rule.conditions)
                yield AtJoint(
                    label=label,
                    feature=end.feature,
                    rule=rule.label,
                    joint=at.joint.joint,
                    position=place.position,
                    other_position=other.position,
                    safety_critical=checks.is_safety_critical(at),
                    dimensions=tuple((name, dimensions) for name, dimensions in reads if dimensions),
                    turns=_turns(checks, at, place, own[place.position], others),
                )


def _turns(checks: Checks, at: JointAt, place: Place, own: Ends, others: list[Candidate]) -> tuple[Turn, ...]:
    """The parts for which the verdict differs, by the two verdicts; none where one of the two does not stand there."""
    first, second = own
    if first is None or second is None:
        return ()
    mine, theirs = [first.thing, second.thing], [c.thing for c in others]
    checks.judge_all(at, *at.in_order(place, mine, theirs))
    found: dict[tuple[Verdict, Verdict], dict[str, None]] = {}
    for other in others:
        one, two = (checks.joint(at, *at.in_order(place, c, other)).verdict for c in (first, second))
        if one is not two:
            found.setdefault((one, two), {})[other.number] = None
    worst_first = sorted(found, key=lambda v: (-max(SEVERITY[v[0]], SEVERITY[v[1]]), SEVERITY[v[0]], SEVERITY[v[1]]))
    return tuple(Turn(*verdicts, tuple(sorted(found[verdicts]))) for verdicts in worst_first)
