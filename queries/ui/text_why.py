"""Why things change, told as chains: each link says why the second part matters to the first, and each is told once.

Four steps: find the path of a reason from what was asked to the thing that it rules out; put the groups in an order in
which each follows from one before; drop links that were told already, with a pointer to where; sentences last.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

from knockon.queries.answers import OrderGroup
from knockon.queries.changes import CHOSEN, FORCED_BY_FIT, FORCED_BY_KNOWN, Change
from knockon.queries.evidence import Evidence
from knockon.queries.reasons import Reason, Step
from knockon.queries.ui.blocks import STRONG, Block, Para
from knockon.queries.ui.naming import Naming, count, listed, position_of, sentence
from knockon.queries.ui.text_evidence import measured_words
from knockon.queries.ui.text_links import link_body, no_sentence

StepKey = tuple[str, str, str, str]
MOST_UNKNOWN = 3


@dataclass(slots=True)
class Entry:
    """What is told of one order group: its forced changes, each with its path."""

    number: int
    group: OrderGroup
    changes: list[Change] = field(default_factory=list)
    paths: list[tuple[Step, ...]] = field(default_factory=list)
    way: tuple[int, ...] = ()


def step_key(naming: Naming, step: Step) -> StepKey:
    """The same for both hands."""
    return step.sort, naming.either_hand(step.given), naming.either_hand(step.ruled_out), step.none_known


def path_to(reason: Reason, place: str) -> tuple[tuple[Step, ...], tuple[Step, ...]]:
    """(the links from what was asked to a place, the checks that only close other ways round)."""
    by_place: dict[str, Step] = {}
    for step in reason.steps:
        if step.kind == "joint" and step.given_place != step.place:
            by_place.setdefault(step.place, step)
    path: list[Step] = []
    here = place
    while here in by_place and by_place[here] not in path:
        path.insert(0, by_place[here])
        here = by_place[here].given_place
    start = [s for s in reason.steps if s.kind == "arrangement"]
    figures = [s for s in reason.steps if s.kind == "figure"] if not path else []
    path = [*start, *path, *figures[-1:]]
    closing = tuple(s for s in reason.steps if s not in path and s.kind in ("joint", "figure"))
    return (tuple(path) if len(path) > len(start) else ()), closing


def why_entries(groups: Sequence[OrderGroup], changes: Iterable[Change]) -> list[Entry]:
    """The groups with a forced change, both hands in one, each after those that its chain comes through."""
    number_of = {place: i for i, group in enumerate(groups, 1) for line in group.lines for place in line.places}
    entries: dict[str, Entry] = {}
    for change in changes:
        number = number_of.get(change.place)
        if change.status not in (FORCED_BY_FIT, FORCED_BY_KNOWN) or number is None or change.reason is None:
            continue
        group = groups[number - 1]
        entry = entries.setdefault(group.group, Entry(number, group))
        entry.changes.append(change)
        entry.paths.append(path_to(change.reason, change.place)[0])
    for entry in entries.values():
        ways = [tuple(number_of.get(s.place, 0) for s in p if s.kind != "arrangement") for p in entry.paths if p]
        asked = all(c.reason is not None and not c.reason.cites and not c.cause for c in entry.changes)
        entry.way = min(ways, default=(0 if asked else len(groups) + 1, entry.number))
    return sorted(entries.values(), key=lambda e: (e.way, e.number))


def tree_of(entries: Iterable[Entry]) -> list[tuple[int, str]]:
    """The knock-on in short, as (depth, positions): each position stands under the one that forces it."""
    tree: dict[str, Any] = {}
    for path in (p for e in entries for p in e.paths):
        joints = [s for s in path if s.kind == "joint"]
        here = tree
        for place in (joints[0].given_place, *(s.place for s in joints)) if joints else ():
            here = here.setdefault(position_of(place), {})
    return list(_rows(tree, 0))


def _rows(tree: dict[str, Any], depth: int) -> Iterator[tuple[int, str]]:
    ends = [position for position, below in tree.items() if not below]
    if ends:
        yield depth, ", ".join(ends)
    for position, below in tree.items():
        if below:
            yield depth, position
            yield from _rows(below, depth + 1)


class WhyTeller:
    """Tells the entries in order, and remembers which link was told where."""

    def __init__(
        self, naming: Naming, groups: Sequence[OrderGroup], changes: Sequence[Change], asked: Sequence[str]
    ) -> None:
        self.naming = naming
        self.asked = asked
        self.entries = why_entries(groups, changes)
        self.told: dict[StepKey, int] = {}
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

    def blocks(self) -> Iterator[Block]:
        """All entries."""
        for entry in self.entries:
            yield Para(self._head(entry), mark=f"{entry.number}.", tone=STRONG)
            yield from (Para(text, mark="-", indent=4) for text in self._lines(entry))

    def _head(self, entry: Entry) -> str:
        old = self.naming.hands(c.old for c in entry.changes)
        new = self.naming.hands(c.new for c in entry.changes)
        status = listed(list(dict.fromkeys(c.status for c in entry.changes)))
        return f"{entry.group.group}: {new} for {old} ({status})"

    def _lines(self, entry: Entry) -> Iterator[str]:
        links: dict[tuple[str, str], list[str]] = {}
        after: dict[str, None] = {}
        for change in entry.changes:
            assert change.reason is not None
            path, closing = path_to(change.reason, change.place)
            told = list(self._chain(entry, path))
            for lead, check, body in told:
                checks = links.setdefault((lead, body), [])
                checks += [check] if check not in checks else []
            if not change.reason.cites and not change.cause:
                after["Asked for."] = None
            if not change.reason.cites and change.cause:
                after[sentence(f"{change.place}: {change.cause}; what is there has no number to renew it by")] = None
            if closing and told:
                after[f"Other ways round are closed by: {', '.join(dict.fromkeys(s.sort for s in closing))}."] = None
            after |= dict.fromkeys(self._unknown(change))
        for (lead, body), checks in links.items():
            yield sentence(f"{lead}{' and '.join(checks)}: {body}")
        yield from after
        yield from self._also(entry)

    def _chain(self, entry: Entry, path: Sequence[Step]) -> Iterator[tuple[str, str, str]]:
        """(where it follows from, check, what is said) of each link that was not told before."""
        lead, arrangement = "", ""
        for step in path:
            key = step_key(self.naming, step)
            if step.kind == "arrangement":
                arrangement = step.given
                continue
            lead = lead or self._start(step, arrangement)
            if key in self.told:
                lead = f"from {self.told[key]}, " if self.told[key] != entry.number else "then "
                continue
            self.told[key] = entry.number
            yield lead, step.sort, link_body(self.naming, step)
            lead = "then "

    def _start(self, step: Step, arrangement: str) -> str:
        """Where a chain starts: what was asked for, or what its arrangement brings."""
        if not step.given_place:
            return f"the {arrangement} arrangement is asked for; " if arrangement else ""
        position = position_of(step.given_place)
        given = f"the {position} {step.given}"
        if any(position in wish for wish in self.asked):
            return f"{given} is asked for; "
        return f"{given} comes with the {arrangement} arrangement; " if arrangement else ""

    def _unknown(self, change: Change) -> list[str]:
        if not change.rests_on:
            return []
        sizes = dict.fromkeys(s for unknown in change.rests_on for s in unknown.to_measure)
        words = measured_words(self.naming, sizes) or [u.check for u in change.rests_on]
        more = f", and {count(len(words) - MOST_UNKNOWN, 'more size')}" if len(words) > MOST_UNKNOWN else ""
        said = f"{'; '.join(words[:MOST_UNKNOWN])}{more}"
        return [f"{self.naming.hands([change.old])} could stay only on what nobody has recorded: {said}."]

    def _also(self, entry: Entry) -> Iterator[str]:
        """What else the old thing does not agree with: else it would come to light only on the bench."""
        said: dict[str, Evidence] = {}
        for change, evidence in ((c, x) for c in entry.changes for x in c.also):
            key = self._key(change, evidence)
            if self.also_in.get(evidence.check) is entry and evidence.check not in said and key not in self.told:
                said[evidence.check] = evidence
                self.told[key] = entry.number
        for check, evidence in said.items():
            yield f"Besides, {check}: {no_sentence(self.naming, evidence)}."


def chosen_lines(naming: Naming, changes: Iterable[Change], costs: dict[str, int]) -> list[str]:
    """Changes that another plan would not make, and what keeping the old thing would cost."""
    said: dict[str, None] = {}
    for change in (c for c in changes if c.status == CHOSEN):
        price = cost_words(change.keeping, costs) if change.keeping else "no plan was found that does"
        place = f"{change.position}: {naming.hands([change.new])} for {naming.hands([change.old])}"
        said[f"{place}. A plan that keeps it: {price}."] = None
    return list(said)


LEVELS = (
    ("not known", "check not known", "checks not known"),
    ("changes", "position changed", "positions changed"),
    ("unproven", "unproven check", "unproven checks"),
    ("unoffered", "line that nobody offers", "lines that nobody offers"),
)


def cost_words(other: dict[str, int], costs: dict[str, int]) -> str:
    """How another plan's costs differ from this plan's."""
    said = []
    for level, one, several in LEVELS:
        more = other.get(level, 0) - costs.get(level, 0)
        if more:
            said.append(f"{abs(more)} {'more' if more > 0 else 'fewer'} {one if abs(more) == 1 else several}")
    money = (other.get("price", 0) - costs.get("price", 0)) / 100
    if other.get("unoffered", 0) != costs.get("unoffered", 0):
        said.append("so that the prices cannot be compared")  # a missing offer is no price of nought
    elif money:
        said.append(f"{abs(money):.2f} {'dearer' if money > 0 else 'cheaper'}")
    return ", ".join(said) or "costs the same"
