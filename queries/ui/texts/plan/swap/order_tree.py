"""The order list as the tree of what forces what: each line once, under the line that forces it, with its reason."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

import msgspec

from knockon.graph.model.layouts.layout import Places
from knockon.graph.model.layouts.mechanism import Layout
from knockon.queries.answers import OrderGroup, OrderLine
from knockon.queries.plan.changes import DUE, FORCED_BY_FIT, FORCED_BY_KNOWN, FREED, NEW, ONE_USE, UNDECIDED, Change
from knockon.queries.plan.reasons.reasons import Step
from knockon.queries.plan.solving.asked import WANT
from knockon.queries.plan.swap import Plan, SwapAnswer
from knockon.queries.ui.naming import Naming
from knockon.queries.ui.sentences.plan import order as say
from knockon.queries.ui.texts.fits.links import absent_line, missed_by, sizes_of
from knockon.queries.ui.texts.plan.swap.why import CLAIMED, Entry, end_rank, path_to, why_entries


class Branch(msgspec.Struct):
    """The lines of one kind of thing, both hands together; ``because`` in a few words, ``below`` what it forces."""

    name: str
    groups: list[OrderGroup]
    positions: frozenset[str]
    parent: str = ""
    because: str = ""
    below: list[Branch] = msgspec.field(default_factory=list)
    forced: bool = False

    @property
    def position(self) -> str:
        """The first position that it fills."""
        return self.lines[0].places[0].position if self.lines[0].places else self.name

    @property
    def lines(self) -> list[OrderLine]:
        """All lines, in the order of the list."""
        return [line for group in self.groups for line in group.lines]

    @property
    def one_use(self) -> bool:
        """Whether all that is bought here is used once."""
        return all(line.one_use for line in self.lines)

    @property
    def stands_alone(self) -> bool:
        """Whether it needs a line of its own: it is used again, or forces something, or is not known by a number."""
        return not self.one_use or bool(self.below) or not all(line.recorded for line in self.lines)


def order_tree(naming: Naming, answer: SwapAnswer, plan: Plan) -> list[Branch]:
    """The branches that nothing in the list forces, in the order of the list, each with what it forces."""
    branches = _branches(plan.groups)
    holder = {p: b.name for b in branches.values() for p in b.positions}
    _hang_forced(naming, answer, plan, branches, holder)
    _hang_others(naming, answer, plan, branches, holder)
    for branch in branches.values():
        if _goes_round(branches, branch):
            branch.parent = ""
    roots: list[Branch] = []
    for branch in branches.values():
        (branches[branch.parent].below if branch.parent else roots).append(branch)
    return sorted(roots, key=lambda b: (not b.below, b.one_use))


def _branches(groups: Sequence[OrderGroup]) -> dict[str, Branch]:
    found: dict[str, list[OrderGroup]] = {}
    for group in groups:
        found.setdefault(group.group, []).append(group)
    return {
        name: Branch(name, alike, frozenset(p.position for g in alike for line in g.lines for p in line.places))
        for name, alike in found.items()
    }


def _hang_forced(
    naming: Naming, answer: SwapAnswer, plan: Plan, branches: dict[str, Branch], holder: dict[str, str]
) -> None:
    """Under the last link of the shortest chain that forces them."""
    for entry in why_entries(plan.groups, answer.changes):
        branch = branches[entry.group.group]
        path = _shortest(entry)
        joints = [s for s in path if s.kind in ("joint", "figure")]
        if not joints:
            continue
        last = joints[-1]
        before = last.given_place.position
        if last.kind == "figure":
            summed = last.evidence.places if last.evidence else ()
            others = (holder.get(p.position, "") for p in summed)
            through = joints[-2].place.position if len(joints) > 1 else ""
            parent = holder.get(through, "") or next((o for o in others if o and o != branch.name), "")
        else:
            parent = holder.get(before, "")
        branch.parent = parent if parent != branch.name else ""
        branch.because, branch.forced = short_reason(last), True
        if end_rank(path) == CLAIMED and all(c.cause == DUE for c in entry.changes):
            branch.because = say.DUE  # that is sure, where a pattern or a claim is not


def _shortest(entry: Entry) -> tuple[Step, ...]:
    paths = [path_to(c.reason, c.place)[0] for c in entry.changes if c.reason is not None]
    told = [p for p in paths if p]
    return min(told, key=lambda p: (end_rank(p), len(p)), default=())


def _hang_others(
    naming: Naming, answer: SwapAnswer, plan: Plan, branches: dict[str, Branch], holder: dict[str, str]
) -> None:
    """What was asked for, what an arrangement brings, what is due, and what is renewed with another thing."""
    known = naming.catalogue.vehicles.get(answer.vehicle)
    layout = naming.catalogue.layouts[known.layout] if known else None
    asked = {p for a in answer.asked if a.option == WANT for p in a.places}
    for branch in branches.values():
        changes = [c for c in answer.changes if c.group == branch.name and c.status != FREED]
        if branch.because or not changes:
            continue
        if any(c.place in asked for c in changes):
            branch.because = say.ASKED
            continue
        causes = list(dict.fromkeys(c.cause for c in changes if c.cause))
        branch.parent = _carrier(layout, branch, holder, changes) if layout and causes != [DUE] else ""
        branch.because = _cause(causes, changes, plan)


def _cause(causes: Sequence[str], changes: Sequence[Change], plan: Plan) -> str:
    if any(c.status == NEW for c in changes):
        return say.COMES_WITH.format(arrangement=plan.arrangement) if plan.arrangement else say.NEEDED
    if not causes and any(c.status == UNDECIDED for c in changes):
        return say.UNDECIDED
    if not causes and any(c.status in (FORCED_BY_FIT, FORCED_BY_KNOWN) and c.reason is None for c in changes):
        return say.FORCED
    if not causes:
        return say.CHOSEN
    return {DUE: say.DUE, ONE_USE: say.ONE_USE}.get(causes[0], causes[0])


def _carrier(layout: Layout, branch: Branch, holder: dict[str, str], changes: Iterable[Change]) -> str:
    """The line with which something goes: what carries it, what it is needed with, or what it meets."""
    places = Places(layout)
    partners: list[str] = []
    for name in dict.fromkeys(c.position for c in changes):
        position = places.positions.get(name)
        partners += [position.carried_by, position.with_position] if position else []
        for joint in layout.joints:
            ends = tuple(end.position for end in joint.ends)
            if name in ends or name in joint.owns:
                partners += [e for e in ends if e != name]
    found = (holder.get(p, "") for p in partners if p)
    return next((h for h in found if h and h != branch.name), "")


def _goes_round(branches: dict[str, Branch], branch: Branch) -> bool:
    seen = {branch.name}
    while branch.parent:
        branch = branches[branch.parent]
        if branch.name in seen:
            return True
        seen.add(branch.name)
    return False


def short_reason(step: Step) -> str:
    """One link in a few words: its check, and the first sizes that differ."""
    evidence = step.evidence
    if evidence is None:
        return say.NOT_KNOWN_TO_SUIT.format(check=step.sort) if step.agreeing else step.sort
    if evidence.kind != "joint":
        missed = missed_by(evidence.lines[0]) if evidence.lines else ""
        return say.FORCED_BY.format(check=step.sort, size=missed) if missed else step.sort
    lacking = absent_line(evidence)
    if lacking is not None:
        return say.NONE_THERE.format(check=step.sort, feature=lacking.label)
    lines = [x for x in evidence.lines if x.state == "no"]
    given_first = evidence.places[0] == step.given_place
    things = evidence.things if given_first else evidence.things[::-1]
    new, old = (_first_size(sizes_of(lines[:1], thing).values()) for thing in (things[0], things[-1]))
    if not (new and old):
        return say.HAS.format(check=step.sort, old=old) if old else step.sort
    old = old.removesuffix(" mm") if new.endswith(" mm") else old
    return say.NEEDS.format(check=step.sort, old=old, new=new)


def _first_size(sizes: Iterable[str]) -> str:
    return next((s.split(" (")[0] for s in sizes), "")
