"""Notes that disagree: both sides, what the sizes say, whether a condition explains both, and what hangs on it."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import msgspec
from msgspec.structs import replace

from knockon.graph.judge.verdicts import SEVERITY, Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import FigureAt, JointAt, Place, Places, fitted
from knockon.graph.model.things import STANDINGS, Note
from knockon.queries.club.contradictions import BAD, NoteConflict
from knockon.queries.fits.checking.candidates import Candidate, alike, new_parts, staying
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.fits.checking.figure_evidence import figure_evidence
from knockon.queries.fits.checking.joint_evidence import joint_evidence
from knockon.queries.fits.checking.size_names import SizeOf
from knockon.queries.plan.asked_swaps import AskedSwap


class NoteSide(msgspec.Struct, frozen=True):
    """One note of a dispute. ``also``: notes that say the same in the same words, in other clubs' files."""

    note: str
    outcome: str
    member: str
    date: str
    condition: str
    text: str
    says: str
    standing: str
    also: tuple[str, ...] = ()


class Explained(msgspec.Struct, frozen=True):
    """A condition under which both may be right: the size that differs, and the verdict with each value of it."""

    size: str
    cases: tuple[tuple[str, str, Verdict], ...]


class NoteDispute(msgspec.Struct, frozen=True):
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


def note_dispute(catalogue: Catalogue, conflict: NoteConflict, swaps: Sequence[AskedSwap] = ()) -> NoteDispute:
    """Notes that disagree, with what the sizes say and whether a condition explains both."""
    judged = list(_judged(catalogue, conflict))
    explained = next((e for e in (_explained(catalogue, conflict, j) for j in judged) if e is not None), None)
    evidence = tuple(dict.fromkeys(j.evidence for j in judged))
    worst = max((e.verdict for e in evidence), key=SEVERITY.__getitem__, default=None)
    return NoteDispute(
        check=conflict.check,
        parts=conflict.parts,
        sides=tuple(_note_sides(catalogue, conflict)),
        sizes_say=worst,
        evidence=evidence,
        explained=explained,
        ruling=_note_ruling(conflict, worst, explained),
        answers=_who_has_them(catalogue, conflict),
        settle=_settle_notes(conflict, evidence, explained),
        kits=_kits_with_all(catalogue, conflict),
        swaps=tuple(s.said for s in swaps if _stands_in(catalogue, s, conflict)),
    )


def _note_sides(catalogue: Catalogue, conflict: NoteConflict) -> Iterator[NoteSide]:
    """Each note once: a copy in a club's file is named with the first, one's own before those of clubs."""
    told: dict[NoteSide, list[str]] = {}
    for note in sorted(conflict.notes, key=lambda n: (n.outcome not in BAD, ": " in n.note, n.note)):
        told.setdefault(replace(_note_side(catalogue, note), note=""), []).append(note.note)
    for side, names in told.items():
        yield replace(side, note=names[0], also=tuple(names[1:]))


def _note_side(catalogue: Catalogue, note: Note) -> NoteSide:
    source = catalogue.sources.get(note.source)
    standing = source.standing if source else ""
    return NoteSide(
        note=note.note,
        outcome=note.outcome,
        member=note.member,
        date=note.date,
        condition=note.condition,
        text=note.text,
        says=note.says,
        standing=standing,
    )


class _Judged(msgspec.Struct, frozen=True):
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
    return list(new_parts(checks.catalogue, checks.places, place, numbers))


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
    return min(((s.order, s.written) for s in statements), default=((False, 0), ""))[1]


def _note_ruling(conflict: NoteConflict, sizes_say: Verdict | None, explained: Explained | None) -> str:
    failed = ", ".join(n.note for n in conflict.notes if n.outcome in BAD)
    went = ", ".join(n.note for n in conflict.notes if n.outcome not in BAD)
    if explained is not None:
        return f"both can be right, and the condition explains it. The verdict depends on {explained.size}."
    if sizes_say is None:
        return f"the sizes decide nothing here. Until somebody measures, the safer reading counts: {failed}."
    if sizes_say.is_no:
        return f"the sizes agree with {failed} ({sizes_say}). A report of use ({went}) never outweighs a measurement."
    if sizes_say is Verdict.FITS:
        return f"the sizes agree with {went} ({sizes_say}), and {failed} found otherwise. Measure before you trust it."
    return f"the sizes do not decide it ({sizes_say}). Until somebody measures, the safer reading counts: {failed}."


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
    size = SizeOf(weakest.of, weakest.dimension.feature, weakest.dimension.column)
    return f"measure {size} (now: {weakest.written}, {weakest.standing})"
