"""Why things change, told as chains: each link says why the second part matters to the first, and each is told once.

Four steps: find the path of a reason from what was asked to the thing that it rules out; put the groups in an order in
which each follows from one before; drop links that were told already, with a pointer to where; sentences last.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

import msgspec

from knockon.graph.model.layouts.layout import Place
from knockon.queries.answers import OrderGroup
from knockon.queries.fits.checking.evidence import Evidence, by_name
from knockon.queries.plan.changes import DUE, ONE_USE, Change
from knockon.queries.plan.reasons.links import is_claim
from knockon.queries.plan.reasons.reasons import Reason, Step
from knockon.queries.ui.naming import Naming, count, listed, sentence
from knockon.queries.ui.sentences.plan import why as say
from knockon.queries.ui.terminal.blocks import STRONG, Block, Para
from knockon.queries.ui.texts.fits.evidence import measured_words
from knockon.queries.ui.texts.fits.links import link_body, no_sentence

StepKey = tuple[str, str, str, str]
MOST_UNKNOWN = 3
MOST_CLOSING = 6


class Entry(msgspec.Struct):
    """What is told of one order group: its forced changes, each with its path."""

    number: int
    group: OrderGroup
    changes: list[Change] = msgspec.field(default_factory=list)
    paths: list[tuple[Step, ...]] = msgspec.field(default_factory=list)
    way: tuple[int, ...] = ()


def step_key(naming: Naming, step: Step) -> StepKey:
    """The same for both hands."""
    return step.sort, naming.either_hand(step.given), naming.either_hand(step.ruled_out), step.sought


def path_to(reason: Reason, place: Place) -> tuple[tuple[Step, ...], tuple[Step, ...]]:
    """(the links from what was asked to a place, the checks that only close other ways round)."""
    by_place: dict[Place, Step] = {}
    for step in reason.steps:
        if step.kind == "joint" and step.given_place != step.place:
            by_place.setdefault(step.place, step)
    here = place if place in by_place else place.other_hand  # a reason of one hand often serves both
    path = _walk(by_place, here)
    start = [s for s in reason.steps if s.kind == "arrangement"]
    shown = [s for s in reason.steps if s.kind == "figure" and s.evidence is not None and s.evidence.verdict.is_no]
    if not path and shown:  # a sum rules it out: told behind the longest chain that leads to another thing in it
        summed = shown[-1].evidence.places if shown[-1].evidence else ()
        ways = (_walk(by_place, p) for p in summed)
        path = [*max(ways, key=len, default=[]), shown[-1]]
    path = [*start, *path]
    closing = tuple(s for s in reason.steps if s not in path and s.kind in ("joint", "figure"))
    return (tuple(path) if len(path) > len(start) else ()), closing


def _walk(by_place: Mapping[Place, Step], place: Place) -> list[Step]:
    """The links that lead to a place, from where they start."""
    path: list[Step] = []
    while place in by_place and by_place[place] not in path:
        path.insert(0, by_place[place])
        place = by_place[place].given_place
    return path


CLAIMED = 2


def end_rank(path: Sequence[Step]) -> int:
    """What a chain comes to: a joint with sizes, a sum, or (last) a pattern or a claim."""
    if not path:
        return CLAIMED
    return CLAIMED if is_claim(path[-1]) else int(path[-1].kind == "figure")


def why_entries(groups: Sequence[OrderGroup], changes: Iterable[Change]) -> list[Entry]:
    """The groups with a forced change, both hands in one, each after those that its chain comes through."""
    number_of = {place: i for i, group in enumerate(groups, 1) for line in group.lines for place in line.places}
    entries: dict[str, Entry] = {}
    for change in changes:
        number = number_of.get(change.place)
        if number is None or change.reason is None:
            continue
        group = groups[number - 1]
        entry = entries.setdefault(group.group, Entry(number, group))
        entry.changes.append(change)
        entry.paths.append(path_to(change.reason, change.place)[0])
    for entry in entries.values():
        ways = [tuple(number_of.get(s.place, 0) for s in p if s.kind != "arrangement") for p in entry.paths if p]
        asked = all(c.reason is not None and not c.reason.cites and not c.cause for c in entry.changes)
        entry.way = min(ways, default=(0 if asked else len(groups) + 1, entry.number))
    return _each_after_its_chain(sorted(entries.values(), key=lambda e: (e.way, e.number)), number_of)


def _each_after_its_chain(entries: Sequence[Entry], number_of: Mapping[Place, int]) -> list[Entry]:
    """The entries in this order, but each behind those through which its chains come (unless they go in a circle)."""
    group_of = {n: e.group.group for e in entries for p, n in number_of.items() if n == e.number}
    group_of |= {number_of[c.place]: e.group.group for e in entries for c in e.changes}
    left, order = list(entries), list[Entry]()
    while left:
        waiting = {e.group.group for e in left}

        def is_ready(entry: Entry, waiting: set[str] = waiting) -> bool:
            through = {group_of.get(number_of.get(s.place, 0), "") for path in entry.paths for s in path}
            return not (through - {entry.group.group}) & waiting

        entry = next(filter(is_ready, left), left[0])
        left.remove(entry)
        order.append(entry)
    return order


def tree_of(entries: Iterable[Entry]) -> list[tuple[int, str]]:
    """The knock-on in short, as (depth, positions): each position stands under the one that forces it."""
    tree: dict[str, Any] = {}
    chains = [[s for s in p if s.kind in ("joint", "figure")] for e in entries for p in e.paths]
    from_request = [c for c in chains if c and c[0].starts]  # a chain that starts elsewhere is told in full only
    for joints in from_request or chains:
        here = tree
        for place in (joints[0].given_place, *(s.place for s in joints)) if joints else ():
            here = here.setdefault(place.position, {})
    return list(_rows(tree, 0))


def _rows(tree: dict[str, Any], depth: int) -> Iterator[tuple[int, str]]:
    ends = [position for position, below in tree.items() if not below]
    if ends:
        yield depth, ", ".join(ends)
    for position, below in tree.items():
        if below:
            yield depth, position
            yield from _rows(below, depth + 1)


def _shortened(names: Sequence[str], most: int) -> str:
    """The first of some names, and how many more there are (the JSON document has them all)."""
    more = len(names) - most
    return ", ".join(names) if more < 2 else say.MORE.format(names=", ".join(names[:most]), more=more)


def cause_words(cause: str) -> str:
    """Why something is renewed, in words: the cells' ``due`` is ``needs replacing``."""
    return {DUE: say.NEEDS_REPLACING, ONE_USE: say.ONE_USE}.get(cause, cause)


def _linked(lead: str, checks: str, body: str) -> str:
    """A link behind where it starts, which is a sentence of its own or not."""
    own = lead.endswith(". ")
    return sentence(
        say.LINK.format(lead=lead, checks=sentence(checks).removesuffix(".") if own else checks, reason=body)
    )


class WhyTeller:
    """Tells the entries in order, and remembers which link was told where."""

    def __init__(self, naming: Naming, groups: Sequence[OrderGroup], changes: Sequence[Change]) -> None:
        self.naming = naming
        self.entries = why_entries(groups, changes)
        self.told: dict[StepKey, Entry] = {}
        self.also_in: dict[str, Entry] = {}
        steps = [step for e in self.entries for p in e.paths for step in p]
        linked, keys = {s.sort for s in steps}, {step_key(naming, s) for s in steps}
        for entry in self.entries:
            for change, evidence in ((c, x) for c in entry.changes for x in c.also):
                if evidence.check in linked and self._key(change, evidence) not in keys:
                    continue  # told from the other side
                if evidence.kind != "joint" or evidence.check not in self.also_in:
                    self.also_in[evidence.check] = entry  # a chain of sizes is told where its last part is

    def _key(self, change: Change, evidence: Evidence) -> StepKey:
        """The link that this check would be in a reason."""
        given = evidence.second if evidence.first == change.old else evidence.first
        return evidence.check, self.naming.either_hand(given), self.naming.either_hand(change.old), ""

    def chain_to(self, name: str) -> list[Entry]:
        """The entry of a position or a group, behind those through which its chain comes; none where it has none."""
        group_at = {p.position: e for e in self.entries for line in e.group.lines for p in line.places}
        group_at |= {c.position: e for e in self.entries for c in e.changes}
        found = group_at.get(name) or next((e for e in self.entries if e.group.group == name), None)
        if found is None:
            return []
        on_the_way = {step.place.position for path in found.paths for step in path}
        return [e for e in self.entries if e is found or any(group_at.get(p) is e for p in on_the_way)]

    def blocks(self, entries: Sequence[Entry] | None = None) -> Iterator[Block]:
        """These entries, or all."""
        for entry in self.entries if entries is None else entries:
            yield Para(self._head(entry), mark=f"{entry.number}.", tone=STRONG)
            yield from (Para(text, mark="-", indent=4) for text in self._lines(entry))

    def _head(self, entry: Entry) -> str:
        old = self.naming.hands(c.old for c in entry.changes)
        new = self.naming.hands(c.new for c in entry.changes)
        status = listed(list(dict.fromkeys(c.status for c in entry.changes)))
        return say.HEAD.format(group=entry.group.group, new=new, old=old, status=status)

    def _lines(self, entry: Entry) -> Iterator[str]:
        """What can be measured first, patterns and claims last; a chain is told in one piece."""
        links: dict[tuple[bool, str, str], list[str]] = {}
        asked, pointers, closed = False, dict[str, None](), dict[str, None]()
        reasons = ((c, c.reason) for c in entry.changes if c.reason is not None)
        paths = [(*path_to(reason, c.place), reason, c) for c, reason in reasons]
        for path, closing, reason, change in sorted(paths, key=lambda p: end_rank(p[0])):
            before, claimed = self._told_in(path), end_rank(path) == CLAIMED
            for lead, check, body in self._chain(entry, path):
                checks = links.setdefault((claimed, lead, body), [])
                checks += [check] if check not in checks else []
            closed |= dict.fromkeys(s.sort for s in closing)
            pointers |= dict.fromkeys(e.group.group for e in before[-1:] if e is not entry)
            asked = asked or not (reason.cites or change.cause)
        also = self._also(entry)
        for last in (False, True):
            told = ((lead, body, checks) for (claimed, lead, body), checks in links.items() if claimed is last)
            yield from (_linked(lead, listed(checks), body) for lead, body, checks in told)
            if asked and not last:
                yield say.ASKED
            if not (last or links or asked) and pointers:
                yield say.SEE.format(groups=listed(list(pointers)))
            beside = say.ALSO if asked or any(not claimed or last for claimed, _, _ in links) else "{text}"
            yield from (sentence(beside.format(text=text)) for claimed, text in also if claimed is last)
        others = [sort for sort in closed if sort not in {c for checks in links.values() for c in checks}]
        if others and (links or not pointers):
            yield say.CLOSED.format(checks=_shortened(others, MOST_CLOSING))
        yield from self._unknown(entry.changes)
        for cause in dict.fromkeys(c.cause for c in entry.changes if c.cause):
            yield say.DUE_IN_ANY_CASE if cause == DUE else say.IN_ANY_CASE.format(cause=cause_words(cause))

    def _told_in(self, path: Sequence[Step]) -> list[Entry]:
        """The entries in which links of a path were told before, in the order of the path."""
        keys = [step_key(self.naming, s) for s in path if s.kind != "arrangement"]
        return [self.told[k] for k in keys if k in self.told]

    def _chain(self, entry: Entry, path: Sequence[Step]) -> Iterator[tuple[str, str, str]]:
        """(where it follows from, check, what is said) of each link that was not told before."""
        lead, arrangement = "", next((s.given for s in path if s.kind == "arrangement"), "")
        for step in path:
            key = step_key(self.naming, step)
            if step.kind == "arrangement":
                continue
            lead = lead or self._start(step, arrangement)
            if key in self.told:
                before = self.told[key]
                lead = say.THEN if before is entry else say.BECAUSE_OF.format(group=before.group.group)
                continue
            self.told[key] = entry
            yield lead, step.sort, link_body(self.naming, step)
            lead = say.THEN

    def _start(self, step: Step, arrangement: str) -> str:
        """Where a chain starts: what was asked for, or what its arrangement brings."""
        if not step.given_place:
            return say.WITH_ARRANGEMENT.format(arrangement=arrangement) if arrangement else ""
        part = f"{step.given_place.position} {step.given}"
        if step.starts == "asked":
            return say.YOU_ASKED.format(part=part)
        return say.BROUGHT.format(part=part, arrangement=step.arrangement) if step.arrangement else ""

    def _unknown(self, changes: Sequence[Change]) -> Iterator[str]:
        """What the old things could stay on, those of both hands and of one and the same ground together."""
        grounds: dict[str, list[str]] = {}
        for change in (c for c in changes if c.rests_on):
            sizes = dict.fromkeys(s for unknown in change.rests_on for s in unknown.to_measure)
            words = measured_words(self.naming, sizes) or [u.check for u in change.rests_on]
            more = len(words) - MOST_UNKNOWN
            text = "; ".join(words[:MOST_UNKNOWN])
            text = say.MORE_SIZES.format(sizes=text, more=count(more, "more size")) if more > 0 else text
            grounds.setdefault(text, []).append(change.old)
        for ground, old in grounds.items():
            yield say.MIGHT_STAY.format(old=self.naming.hands(old), what=ground)

    def _also(self, entry: Entry) -> list[tuple[bool, str]]:
        """What else the old thing does not agree with, and whether that is a claim: else it would come to light only on
        the bench."""
        said: dict[str, Evidence] = {}
        for change, evidence in ((c, x) for c in entry.changes for x in c.also):
            key = self._key(change, evidence)
            if self.also_in.get(evidence.check) is entry and evidence.check not in said and key not in self.told:
                said[evidence.check] = evidence
                self.told[key] = entry
        return [(by_name(e), f"{check}: {no_sentence(self.naming, e)}") for check, e in said.items()]
