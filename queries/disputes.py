"""Who is right? Each contradiction with both sides, what the sizes say, what hangs on it, and what would settle it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from knockon.graph.catalogue import Catalogue
from knockon.graph.layout import FigureAt, JointAt, Place, Places, fitted
from knockon.graph.model import STANDINGS, Note, Statement
from knockon.graph.verdicts import SEVERITY, Verdict
from knockon.queries.answers import SHORT_CAUTIONS
from knockon.queries.asked_swaps import MOST_PLANS, AskedSwap, asked_swaps
from knockon.queries.candidates import Candidate, alike, new_parts, staying
from knockon.queries.checks import Checks
from knockon.queries.contradictions import (
    PRESENCE,
    NoteConflict,
    SizeConflict,
    believing,
    note_conflicts,
    size_conflicts,
)
from knockon.queries.evidence import Evidence, figure_evidence, joint_evidence, type_and_unit
from knockon.queries.hanging import Hanging, HangingSwap, answers_hanging_on, swaps_hanging_on
from knockon.queries.wishes import Wish, wish_list


@dataclass(frozen=True, slots=True)
class SizeSide:
    """One statement of a contradicted size, its bounds in ``unit``; with the note that states it, if one does.

    ``also``: the sources that say the same in the same words (the same note in two clubs' files, say).
    """

    source: str
    standing: str
    written: str
    low: float | None
    high: float | None
    unit: str
    computes: bool
    member: str = ""
    date: str = ""
    note: str = ""
    condition: str = ""
    text: str = ""
    also: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class SizeDispute:
    """A contradicted size: who says what, how the evidence rule decides, what hangs on it, what would settle it."""

    things: tuple[str, ...]
    feature: str
    dimension: str
    sides: tuple[SizeSide, ...]
    decided: bool
    ruling: str
    answers: tuple[Hanging, ...]
    settle: str
    swaps: tuple[HangingSwap, ...] = ()


@dataclass(frozen=True, slots=True)
class NoteSide:
    """One note of a dispute."""

    note: str
    outcome: str
    member: str
    date: str
    condition: str
    text: str
    says: str
    standing: str


@dataclass(frozen=True, slots=True)
class Explained:
    """A condition under which both may be right: the size that differs, and the verdict with each value of it."""

    size: str
    cases: tuple[tuple[str, str, Verdict], ...]


@dataclass(frozen=True, slots=True)
class NoteDispute:
    """Notes that disagree. ``sizes_say`` is None where the sizes were not enough to judge anything.

    ``answers``: the check on these parts, and on the vehicles that have them. ``kits`` hold all of these parts;
    ``swaps`` are those in whose plan the check stands between them.
    """

    check: str
    parts: tuple[str, ...]
    sides: tuple[NoteSide, ...]
    sizes_say: Verdict | None
    evidence: tuple[Evidence, ...]
    explained: Explained | None
    ruling: str
    answers: tuple[str, ...]
    settle: str
    kits: tuple[str, ...] = ()
    swaps: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class DisputesAnswer:
    """All contradictions of the records, those that are open first, and the sizes that the club lacks most.

    ``swaps_planned`` are the swaps whose plans were looked through; for ``swaps_passed_over`` more no plan was made.
    """

    size_disputes: tuple[SizeDispute, ...]
    note_disputes: tuple[NoteDispute, ...]
    wishes: tuple[Wish, ...] = ()
    unknown_answers: int = 0
    swaps_planned: tuple[str, ...] = ()
    swaps_without_plan: tuple[str, ...] = ()
    swaps_passed_over: int = 0
    cautions: tuple[str, ...] = SHORT_CAUTIONS

    @property
    def is_quiet(self) -> bool:
        """Whether nothing is disputed that evidence or a condition does not decide."""
        return all(s.decided for s in self.size_disputes)


def find_disputes(catalogue: Catalogue, most_wishes: int = 0, most_plans: int = MOST_PLANS) -> DisputesAnswer:
    """All contradictions and the wish list (cut off at ``most_wishes``; 0: all).

    Cost: the checks that read a contradicted size, once for each statement of it; and at most ``most_plans`` plans.
    """
    asked = asked_swaps(catalogue, most_plans)
    sizes = tuple(size_dispute(catalogue, c, asked.planned) for c in size_conflicts(catalogue))
    notes = tuple(note_dispute(catalogue, c, asked.planned) for c in note_conflicts(catalogue))
    wanted = wish_list(catalogue, most_wishes, asked.planned)
    return DisputesAnswer(
        sizes, notes, wanted.wishes, wanted.unknown_answers,
        tuple(s.said for s in asked.planned), asked.without_plan, asked.passed_over,
    )  # fmt: skip


def size_dispute(catalogue: Catalogue, conflict: SizeConflict, swaps: Sequence[AskedSwap] = ()) -> SizeDispute:
    """One contradicted size with all that hangs on it; ``swaps``: the plans to look through."""
    alike: dict[object, list[Statement]] = {}
    for statement in conflict.statements:  # equal sizes are one belief, whoever states them
        alike.setdefault((statement.low, statement.high, statement.nominal, statement.code), []).append(statement)
    catalogues = [catalogue, *(believing(catalogue, conflict, s[0].source, s[0].written) for s in alike.values())]
    labels = [f"{_sources(s)}: {s[0].written}" for s in alike.values()]
    answers = answers_hanging_on(catalogues, labels, conflict)
    return SizeDispute(
        conflict.things, conflict.feature, conflict.dimension.partition(".")[0],
        tuple(_folded(_size_side(catalogue, conflict, s) for s in conflict.statements)),
        not conflict.equal_standing, _size_ruling(conflict, answers), answers, _settle_size(catalogue, conflict),
        swaps_hanging_on(catalogues, labels, conflict, swaps),
    )  # fmt: skip


def _sources(statements: Sequence[Statement]) -> str:
    """Who states a size: at most three sources by name."""
    names = list(dict.fromkeys(s.source or "no source" for s in statements))
    return ", ".join(names[:3]) + (f" and {len(names) - 3} more" if len(names) > 3 else "")


def _folded(sides: Iterable[SizeSide]) -> Iterator[SizeSide]:
    """Each side once: one that another source repeats word for word is named there."""
    told: dict[SizeSide, list[str]] = {}
    first: dict[SizeSide, SizeSide] = {}
    for side in sides:
        words = replace(side, source="", note="")
        told.setdefault(words, []).append(side.source)
        first.setdefault(words, side)
    for words, side in first.items():
        yield replace(side, also=tuple(s for s in dict.fromkeys(told[words]) if s != side.source))


def _size_side(catalogue: Catalogue, conflict: SizeConflict, statement: Statement) -> SizeSide:
    feature = catalogue.features[conflict.things[0]][conflict.feature]
    source = catalogue.sources.get(statement.source)
    note = next((n for n in catalogue.notes.values() if n.source == statement.source), None)
    return SizeSide(
        statement.source, STANDINGS[statement.rank - 1], statement.written, statement.low, statement.high,
        "" if conflict.dimension == PRESENCE else type_and_unit(catalogue.vocabulary, feature, conflict.dimension)[1],
        statement.rank == min(s.rank for s in conflict.statements),
        source.member if source else "", source.date if source else "",
        note.note if note else "", note.condition if note else "", note.text if note else "",
    )  # fmt: skip


def _size_ruling(conflict: SizeConflict, answers: tuple[Hanging, ...]) -> str:
    best = min(s.rank for s in conflict.statements)
    standing = STANDINGS[best - 1]
    if not conflict.equal_standing:
        best_ones = [s for s in conflict.statements if s.rank == best]
        written = dict.fromkeys(s.written for s in best_ones)
        computes = ", ".join(f"{w} ({_sources([s for s in best_ones if s.written == w])})" for w in written)
        return f"better evidence computes: {computes}, {standing}. The others are shown and do not compute."
    disputed = any(h.now is Verdict.DISPUTED for h in answers)
    weight = "what hangs on it is disputed" if disputed else "the worse of them computes where it decides"
    return f"equal standing ({standing}): neither rules the other out, nothing is averaged; {weight}."


def _settle_size(catalogue: Catalogue, conflict: SizeConflict) -> str:
    thing = next((t for t in conflict.things if t in catalogue.parts), conflict.things[0])
    if conflict.dimension == PRESENCE:
        return f"look whether {thing} has {conflict.feature}"
    kind = catalogue.vocabulary.kinds[catalogue.features[thing][conflict.feature].kind]
    base = conflict.dimension.partition(".")[0]
    method = next((c.method for c in kind.columns if c.name == base), "")
    return f"measure {thing}, {conflict.feature}: {base}" + (f" ({method})" if method else "")


# ------------------------------------------------------------------- notes


def note_dispute(catalogue: Catalogue, conflict: NoteConflict, swaps: Sequence[AskedSwap] = ()) -> NoteDispute:
    """Notes that disagree, with what the sizes say and whether a condition explains both."""
    judged = list(_judged(catalogue, conflict))
    explained = next((e for e in (_explained(catalogue, conflict, j) for j in judged) if e is not None), None)
    evidence = tuple(dict.fromkeys(j.evidence for j in judged))
    worst = max((e.verdict for e in evidence), key=SEVERITY.__getitem__, default=None)
    return NoteDispute(
        conflict.check, conflict.parts, tuple(_note_side(catalogue, n) for n in conflict.notes), worst, evidence,
        explained, _note_ruling(conflict, worst, explained), _who_has_them(catalogue, conflict),
        _settle_notes(conflict, evidence, explained), _kits_with_all(catalogue, conflict),
        tuple(s.said for s in swaps if _stands_in(catalogue, s, conflict)),
    )  # fmt: skip


def _note_side(catalogue: Catalogue, note: Note) -> NoteSide:
    source = catalogue.sources.get(note.source)
    standing = source.standing if source else ""
    return NoteSide(note.note, note.outcome, note.member, note.date, note.condition, note.text, note.says, standing)


@dataclass(frozen=True, slots=True)
class _Judged:
    """The check of a dispute on the parts that the notes name, in one corner."""

    checks: Checks
    at: JointAt | FigureAt
    chosen: dict[Place, Candidate | None]
    vehicle: str
    evidence: Evidence


def _judged(catalogue: Catalogue, conflict: NoteConflict) -> Iterator[_Judged]:
    """The check as often as there are pairs of the named parts that meet there, both hands once."""
    numbers = {p for n in conflict.notes for p in n.parts}
    seen: set[tuple[str, ...]] = set()
    for layout in catalogue.layouts.values():
        checks = Checks(catalogue, Places(layout))
        for at in (j for j in checks.places.joints if j.joint.joint == conflict.check):
            for first in _named(checks, at.first, numbers):
                for second in _named(checks, at.second, numbers):
                    evidence = joint_evidence(checks, at, first, second)
                    if evidence.things not in seen:
                        seen.add(evidence.things)
                        yield _Judged(checks, at, {at.first: first, at.second: second}, "", evidence)
        for figure in (f for f in checks.places.figures if f.figure.figure == conflict.check):
            found = _figure_case(checks, figure, conflict, numbers)
            if found is not None and (figure.figure.figure,) not in seen:
                seen.add((figure.figure.figure,))
                yield found


def _named(checks: Checks, place: Place, numbers: set[str]) -> list[Candidate]:
    return [c for c in new_parts(checks.catalogue, checks.places, place) if c.number in numbers]


def _figure_case(checks: Checks, at: FigureAt, conflict: NoteConflict, numbers: set[str]) -> _Judged | None:
    """The figure with the named parts, the rest as made: on the notes' vehicle, else on the first that fills it."""
    named = {p: c[0] for p in at.places if (c := _named(checks, p, numbers))}
    vehicles = checks.catalogue.vehicles
    wanted = [n.vehicle for n in conflict.notes if n.vehicle in vehicles]
    for name in dict.fromkeys([*wanted, *(v for v, made in vehicles.items() if made.as_made)]):
        if vehicles[name].layout != checks.places.layout.layout:
            continue
        now = {p: next(staying(checks.catalogue, p, f)) for p, f in fitted(vehicles[name], checks.places).items()}
        rest = {p: replace(c, stays=False) for p, c in now.items()}
        chosen: dict[Place, Candidate | None] = {p: named.get(p) or rest.get(p) for p in at.places}
        if all(chosen.values()):
            return _Judged(checks, at, chosen, name, figure_evidence(checks, at, chosen, vehicles[name]))
    return None


def _explained(catalogue: Catalogue, conflict: NoteConflict, judged: _Judged) -> Explained | None:
    """A size of which the records know several values on things of the same number, and on which the verdict turns."""
    for place, candidate in judged.chosen.items():
        if candidate is None:
            continue
        things = [i.item for i in catalogue.items.values() if i.part == candidate.number]
        cases: dict[tuple[str, str], tuple[str, str, Verdict]] = {}
        for thing in [candidate.thing, *sorted(things)]:
            evidence = _with_thing(judged, place, replace(candidate, thing=thing))
            for feature, written in _differs(catalogue, candidate.thing, thing, things):
                cases.setdefault((feature, written), (thing, written, evidence.verdict))
        for feature in dict.fromkeys(f for f, _ in cases):
            here = tuple(c for (f, _), c in cases.items() if f == feature)
            if len({verdict.is_no for _, _, verdict in here}) == 2:
                return Explained(f"{place.position}, {feature}", here)
    return None


def _with_thing(judged: _Judged, place: Place, candidate: Candidate) -> Evidence:
    chosen = {**judged.chosen, place: candidate}
    if isinstance(judged.at, FigureAt):
        return figure_evidence(judged.checks, judged.at, chosen, judged.checks.catalogue.vehicles.get(judged.vehicle))
    first, second = chosen[judged.at.first], chosen[judged.at.second]
    assert first is not None and second is not None
    return joint_evidence(judged.checks, judged.at, first, second)


def _differs(catalogue: Catalogue, base: str, thing: str, others: list[str]) -> Iterator[tuple[str, str]]:
    """The dimensions in which one of the things differs from the base, each with what is written of this thing."""
    for name, feature in catalogue.features_of(base).items():
        for dimension in feature.dimensions:
            written = {t: _best(catalogue, t, name, dimension) for t in (base, *others)}
            if len(set(written.values())) > 1:
                yield f"{name}: {dimension}", written[thing]


def _best(catalogue: Catalogue, thing: str, feature: str, dimension: str) -> str:
    recorded = catalogue.features_of(thing).get(feature)
    statements = recorded.dimensions.get(dimension, ()) if recorded else ()
    return min(((s.rank, s.written) for s in statements), default=(0, ""))[1]


def _note_ruling(conflict: NoteConflict, sizes_say: Verdict | None, explained: Explained | None) -> str:
    failed = ", ".join(n.note for n in conflict.notes if n.outcome == "failed")
    went = ", ".join(n.note for n in conflict.notes if n.outcome != "failed")
    if explained is not None:
        return f"both can be right: the condition explains it. The verdict turns on {explained.size}."
    if sizes_say is None:
        return f"the sizes decide nothing here; until somebody measures, the safer reading rules: {failed}."
    if sizes_say.is_no:
        return f"the sizes agree with {failed} ({sizes_say}); a report of use ({went}) never outweighs a measurement."
    if sizes_say is Verdict.FITS:
        return f"the sizes agree with {went} ({sizes_say}), and {failed} found otherwise: measure before trusting it."
    return f"the sizes do not decide it ({sizes_say}); until somebody measures, the safer reading rules: {failed}."


def _who_has_them(catalogue: Catalogue, conflict: NoteConflict) -> tuple[str, ...]:
    """The vehicles on which these parts stand at this check: where the answer matters today."""
    answers = [f"{conflict.check}: {' with '.join(conflict.parts)}"]
    for layout in catalogue.layouts.values():
        places = Places(layout)
        checks: list[tuple[Place, ...]] = [
            (j.first, j.second) for j in places.joints if j.joint.joint == conflict.check
        ]
        checks += [f.places for f in places.figures if f.figure.figure == conflict.check]
        for vehicle in (v for v in catalogue.vehicles.values() if v.layout == layout.layout):
            now = {p: next(staying(catalogue, p, f)) for p, f in fitted(vehicle, places).items()}
            if any(_are_all_at(catalogue, now, at, conflict) for at in checks):
                answers.append(f"{conflict.check} on {vehicle.vehicle}")
    return tuple(answers)


def _are_all_at(
    catalogue: Catalogue, chosen: Mapping[Place, Candidate], at: Sequence[Place], conflict: NoteConflict
) -> bool:
    """Whether the parts that disagree all stand in these places; a set's member stands for its drawing and back."""
    wanted = [
        {part, *(alike(catalogue, m.as_part) for m in catalogue.set_members.get(part, ()) if m.as_part)}
        for part in conflict.parts
    ]
    here = {alike(catalogue, n) for p in at if (c := chosen.get(p)) for n in c.numbers}
    return bool(wanted) and all(names & here for names in wanted)


def _kits_with_all(catalogue: Catalogue, conflict: NoteConflict) -> tuple[str, ...]:
    """The kits that hold one of each of the parts that disagree, whichever hand."""
    held = {k.kit: {alike(catalogue, line.part) for line in k.lines} for k in catalogue.kits.values()}
    return tuple(sorted(k for k, has in held.items() if conflict.parts and has >= set(conflict.parts)))


def _stands_in(catalogue: Catalogue, swap: AskedSwap, conflict: NoteConflict) -> bool:
    """Whether the check stands in the swap's plan between the parts that disagree."""
    places: list[tuple[Place, ...]] = [(j.first, j.second) for j in swap.joints if j.joint.joint == conflict.check]
    places += [f.places for f in swap.figures if f.figure.figure == conflict.check]
    return any(_are_all_at(catalogue, swap.chosen, at, conflict) for at in places)


def _settle_notes(conflict: NoteConflict, evidence: tuple[Evidence, ...], explained: Explained | None) -> str:
    if explained is not None:
        return f"measure on the vehicle in question: {explained.size}"
    wanted = [m for e in evidence for m in e.to_measure]
    if wanted:
        return f"measure {wanted[0]}"
    lines = [x for e in evidence for x in e.lines if x.need == "required" and x.values]
    deciding = [x for x in lines if x.state == "no"] or lines
    values = [v for x in deciding for v in x.values if v.computes]
    if not values:
        return f"measure {' and '.join(conflict.parts)} where they meet ({conflict.check})"
    weakest = max(values, key=lambda v: (STANDINGS.index(v.standing), v.of, v.dimension))
    return f"measure {weakest.of}, {weakest.dimension.partition('.')[0]} (now: {weakest.written}, {weakest.standing})"
