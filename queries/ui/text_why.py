"""Why things change, told as chains: each link says why the second part matters to the first, and each is told once.

Four steps: find the path of a reason from what was asked to the thing ruled out; put the groups in an order in which each
follows from one before; drop links that were told already, with a pointer to where; sentences last.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field

from knockon.queries.answers import OrderGroup
from knockon.queries.changes import CHOSEN, FORCED_BY_FIT, FORCED_BY_KNOWN, Change
from knockon.queries.evidence import Evidence
from knockon.queries.reasons import Reason, Step
from knockon.queries.ui.blocks import STRONG, Block, Para
from knockon.queries.ui.naming import Naming, count, listed, position_of, sentence
from knockon.queries.ui.text_evidence import brief, feature_word, figure_sum, measured_words

StepKey = tuple[str, str, str, str]
MOST_UNKNOWN = 3
MOST_ALSO = 4


@dataclass(slots=True)
class Entry:
    """What is told of one order group: its changes, and the links that rule each old thing out."""

    number: int
    group: OrderGroup
    changes: list[Change]
    paths: list[tuple[Step, ...]] = field(default_factory=list)

    @property
    def rank(self) -> tuple[int, int]:
        """Short chains first, then the layout's order."""
        return min((len(p) for p in self.paths), default=0), self.number


def step_key(naming: Naming, step: Step) -> StepKey:
    """The same for both hands."""
    parts = naming.catalogue.parts

    def one(number: str) -> str:
        return min(number, parts[number].mirror_of) if number in parts and parts[number].mirror_of else number

    return step.sort, one(step.given), one(step.ruled_out), step.none_known


def path_to(reason: Reason, place: str) -> tuple[tuple[Step, ...], tuple[Step, ...]]:
    """(the links from what was asked to a place, the checks that only close other ways round)."""
    by_place: dict[str, Step] = {}
    for step in reason.steps:
        if step.kind == "joint" and step.given_place != step.place:
            by_place.setdefault(step.place, step)
    last = [s for s in reason.steps if s.kind == "figure"] if place not in by_place else []
    path: list[Step] = []
    here = place
    while here in by_place and by_place[here] not in path:
        path.insert(0, by_place[here])
        here = by_place[here].given_place
    start = [s for s in reason.steps if s.kind == "arrangement"]
    path = [*start, *path, *last[-1:]]
    closing = tuple(s for s in reason.steps if s not in path and s.kind in ("joint", "figure"))
    return tuple(path), closing


def why_entries(naming: Naming, groups: Sequence[OrderGroup], changes: Iterable[Change]) -> list[Entry]:
    """The groups with a forced change, in chain order; both hands and alike positions in one."""
    number_of = {place: i for i, group in enumerate(groups, 1) for line in group.lines for place in line.places}
    entries: dict[str, Entry] = {}
    for change in changes:
        number = number_of.get(change.place)
        if change.status not in (FORCED_BY_FIT, FORCED_BY_KNOWN) or number is None or change.reason is None:
            continue
        group = groups[number - 1]
        entry = entries.setdefault(group.group, Entry(number, group, []))
        entry.changes.append(change)
        path, _ = path_to(change.reason, change.place)
        keys = [[step_key(naming, s) for s in p] for p in entry.paths]
        if [step_key(naming, s) for s in path] not in keys:
            entry.paths.append(path)
    return sorted(entries.values(), key=lambda e: e.rank)


class WhyTeller:
    """Tells the entries in order and remembers which link was told where."""

    def __init__(self, naming: Naming, groups: Sequence[OrderGroup], arrangement: str, asked: Sequence[str]) -> None:
        self.naming, self.arrangement, self.asked = naming, arrangement, asked
        self.groups = groups
        self.told: dict[StepKey, int] = {}
        self.also_told: set[tuple[str, str]] = set()

    def blocks(self, changes: Sequence[Change]) -> Iterator[Block]:
        """All entries."""
        for entry in why_entries(self.naming, self.groups, changes):
            yield Para(self._head(entry), mark=f"{entry.number}.", tone=STRONG)
            yield from (Para(text, mark="-", indent=4) for text in self._lines(entry))

    def _head(self, entry: Entry) -> str:
        old = self.naming.hands(c.old for c in entry.changes)
        new = self.naming.hands(c.new for c in entry.changes)
        status = listed(list(dict.fromkeys(c.status for c in entry.changes)))
        return f"{entry.group.group}: {new} for {old} ({status})"

    def _lines(self, entry: Entry) -> Iterator[str]:
        seen: dict[str, None] = {}
        for change in entry.changes:
            assert change.reason is not None
            path, closing = path_to(change.reason, change.place)
            lines = list(self._chain(entry, path))
            if not path and change.cause:
                lines = [
                    sentence(
                        f"{change.place}: {change.cause}, and the thing that is there has no number of its own to renew it by"
                    )
                ]
            lines += self._closing(closing) if closing and lines else []
            lines += self._unknown(change)
            seen |= dict.fromkeys(lines)
        yield from seen
        yield from self._also(entry)

    def _chain(self, entry: Entry, path: Sequence[Step]) -> Iterator[str]:
        before: list[str] = []
        for step in path:
            key = step_key(self.naming, step)
            if key in self.told:
                where = self.told[key]
                before = [f"from {where}" if where != entry.number else "from above"]
                continue
            if step.kind == "arrangement":
                before = [f"the {step.given} arrangement that was asked for"]
                self.told[key] = entry.number
                continue
            lead = f"{before[0]}, " if before else ""
            self.told[key] = entry.number
            yield sentence(lead + self.link(step))
            before = []

    def link(self, step: Step) -> str:
        """One link: which two things, at which joint, and why not."""
        if step.kind == "figure":
            assert step.evidence is not None
            why = f": {step.evidence.lines[0].says}" if step.evidence.lines[0].says else ""
            return f"{step.sort} with {self._numbers(step.evidence)}: {figure_sum(step.evidence.lines[0])}{why}"
        given = f"{position_of(step.given_place)} {step.given}".strip()
        if step.none_known or step.evidence is None:
            return f"{step.sort}, {given}: {step.none_known}"
        old = f"{position_of(step.place)} {step.ruled_out}"
        return f"{step.sort}: {given} is there, and {old} {verdict_phrase(step)}: {self.reason_of(step.evidence)}"

    def _numbers(self, evidence: Evidence) -> str:
        return listed([n for n in evidence.first.split(", ") if n])

    def reason_of(self, evidence: Evidence) -> str:
        """The sizes and what they mean."""
        says = list(
            dict.fromkeys(x.says for x in evidence.lines if x.says and not x.says.endswith(f"has no {x.label}"))
        )
        return "; ".join(x for x in (brief(self.naming, evidence), ", and ".join(says)) if x)

    def _closing(self, closing: Sequence[Step]) -> list[str]:
        names = list(dict.fromkeys(s.sort for s in closing))
        return [f"Other ways round are closed by: {', '.join(names)}."]

    def _unknown(self, change: Change) -> list[str]:
        if not change.rests_on:
            return []
        sizes = [s for unknown in change.rests_on for s in unknown.to_measure]
        words = measured_words(self.naming, dict.fromkeys(sizes)) or [u.check for u in change.rests_on]
        more = f", and {count(len(words) - MOST_UNKNOWN, 'more size')}" if len(words) > MOST_UNKNOWN else ""
        text = f"{self.naming.hands([change.old])} could stay only on what nobody has recorded: {'; '.join(words[:MOST_UNKNOWN])}{more}"
        return [text + f" ({count(len(change.rests_on), 'check')})."]

    def _also(self, entry: Entry) -> Iterator[str]:
        """What else the old thing does not agree with: it would come to light only later, on the bench."""
        found: dict[str, str] = {}
        for change in entry.changes:
            for evidence in change.also:
                key = (evidence.check, change.old)
                if key not in self.also_told and evidence.check not in found:
                    self.also_told.add(key)
                    found[evidence.check] = self._also_line(evidence)
        for check, text in found.items():
            yield f"Besides, {check}: {text}."

    def _also_line(self, evidence: Evidence) -> str:
        if evidence.kind != "joint":
            line = evidence.lines[0]
            return f"{line.says or evidence.verdict}; {figure_sum(line)}"
        return self.reason_of(evidence)


def verdict_phrase(step: Step) -> str:
    """The verdict of a link as it stands in a sentence."""
    return (
        "does not fit"
        if step.verdict is None or step.verdict == "does not fit"
        else "goes together with it, do not use"
    )


def chosen_lines(naming: Naming, changes: Iterable[Change], costs: dict[str, int]) -> list[str]:
    """Changes that another plan would not make, and what keeping the old thing would cost."""
    said: dict[str, None] = {}
    for change in changes:
        if change.status == CHOSEN:
            price = cost_words(change.keeping, costs) if change.keeping else "no plan keeps it with as few unknowns"
            said[
                f"{change.position}: {naming.hands([change.new])} for {naming.hands([change.old])}. Keeping it: {price}."
            ] = None
    return list(said)


def cost_words(other: dict[str, int], costs: dict[str, int]) -> str:
    """How another plan's costs differ from this plan's."""
    words = {"not known": "check that is not known", "changes": "position changed", "unproven": "unproven check",
             "unoffered": "line that nobody offers"}  # fmt: skip
    said = []
    for level, name in words.items():
        more = other.get(level, 0) - costs.get(level, 0)
        if more:
            first, _, rest = name.partition(" ")
            plural = f"{first}s {rest}".strip()
            said.append(f"{abs(more)} {name if abs(more) == 1 else plural} {'more' if more > 0 else 'fewer'}")
    money = (other.get("price", 0) - costs.get("price", 0)) / 100
    if money:
        said.append(f"{abs(money):.2f} {'dearer' if money > 0 else 'cheaper'}")
    return ", ".join(said) or "costs the same"


def feature_of(evidence: Evidence) -> str:
    """The feature that a check's first size belongs to."""
    return next((feature_word(v.dimension) for line in evidence.lines for v in line.values), "")
