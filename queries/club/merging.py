"""What merging another club's records does to answers: what differs, what is contradicted, which verdicts flip."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

import msgspec
import pyoxigraph as ox
from msgspec.structs import replace

from knockon.graph.exchange.answerable import answerable
from knockon.graph.exchange.clubs import CLUBS, Shared, merged_clubs, scoped, shares_of, titles_of
from knockon.graph.exchange.foreign import Foreign, translated
from knockon.graph.exchange.merging import planned, said_before
from knockon.graph.exchange.versions import How, Merged, NoLonger, in_future, no_longer
from knockon.graph.exchange.view import Difference, differences
from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import JointAt, Places
from knockon.graph.model.schema import Vocabulary
from knockon.graph.notes.photographs import Carried
from knockon.graph.records import Finding, Records, read_stated
from knockon.queries.answers import SHORT_CAUTIONS, Answer, short_cautions_on
from knockon.queries.club.contradictions import NoteConflict, SizeConflict, note_conflicts, size_conflicts
from knockon.queries.club.disputes import SizeDispute, size_dispute
from knockon.queries.club.note_disputes import NoteDispute, note_dispute
from knockon.queries.fits.checking.candidates import Candidate, as_found, new_parts
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.fits.checking.claims import Identity

MOST_FLIPS = 1000
MOST_NO_LONGER = 1000


class Flip(msgspec.Struct, frozen=True):
    """A verdict that is another one once the club's statements are there; ``others`` as parts or as a vehicle."""

    check: str
    part: str
    other: str
    before: Verdict
    after: Verdict


class Taken(msgspec.Struct, frozen=True):
    """How one club's file stands to what the club has said here before.

    ``shared_at`` and ``before``: when the file, and what was there, was shared; blank: not told. ``replaced`` counts
    the statements that the file says no longer, ``no_longer`` shows them cell by cell (the first of many;
    ``more_no_longer`` counts the rest). ``taken``: whether what the file says is part of the records. ``in_future``:
    a time of sharing that the file tells and that has not come yet: it counts as not told.
    """

    club: str
    how: How
    taken: bool
    shared_at: str = ""
    before: str = ""
    replaced: int = 0
    no_longer: tuple[NoLonger, ...] = ()
    more_no_longer: int = 0
    in_future: str = ""


class MergeAnswer(Answer, frozen=True):
    """What came in. ``added`` counts new statements by club: none the second time; ``taken`` says how each stands to
    what the club has said before: a newer file replaces it, an older one changes nothing.

    ``differences``: descriptions of one thing that differ; one's own, or the first club's by name, is used.
    ``own``: those of the clubs that say nothing but what one's own records say, word for word. ``namesakes``: the full
    names of a club that has several: perhaps two clubs of one short name, whose statements would stand as one club's.
    ``photographs``: those of the notes that stood beside the file. ``shares``: what the file says of itself, who shared
    it, when, and under what licence.
    """

    file: str
    clubs: tuple[str, ...]
    added: tuple[int, ...]
    written: bool
    findings: tuple[Finding, ...]
    differences: tuple[Difference, ...]
    size_disputes: tuple[SizeDispute, ...]
    note_disputes: tuple[NoteDispute, ...]
    flips: tuple[Flip, ...]
    more_flips: int = 0
    own: tuple[str, ...] = ()
    namesakes: tuple[tuple[str, ...], ...] = ()
    shares: tuple[Shared, ...] = ()
    taken: tuple[Taken, ...] = ()
    foreign: tuple[Foreign, ...] = ()
    photographs: Carried | None = None
    cautions: tuple[str, ...] = SHORT_CAUTIONS


def judge_merge(
    before: Records,
    folder: Path,
    incoming: Mapping[str, list[ox.Quad]],
    file: str,
    without: Sequence[str] = (),
    keep_old: bool = False,
) -> MergeAnswer:
    """What a merge would do, judged before anything is written; ``added`` and ``written`` are as if nothing were.

    ``without``: the sources and clubs that ``before`` leaves out; ``keep_old``: nothing that a club said before is
    replaced. Raises RecordsError where one of these names is not known or a club's file is broken.
    """
    plans = planned(folder, incoming, keep_old)
    read = read_stated(folder, {club: plan.quads for club, plan in plans.items()})
    store, vocabulary = list(read.quads), read.vocabulary
    found = answerable(read, without, merged=sorted({*merged_clubs(folder), *incoming}))
    after, findings = found.catalogue, found.findings
    old_sizes = {same_sizes(c) for c in size_conflicts(before.catalogue)}
    known = set(before.findings)
    old_notes = {same_notes(c) for c in note_conflicts(before.catalogue)}
    new_sizes = [c for c in size_conflicts(after) if same_sizes(c) not in old_sizes]
    flips = list(flipped(before.catalogue, after))
    return MergeAnswer(
        file=file,
        clubs=tuple(incoming),
        added=tuple(0 for _ in incoming),
        written=False,
        findings=tuple(f for f in findings if f not in known),
        differences=tuple(d for d in differences(store, vocabulary) if d.club in incoming),
        size_disputes=tuple(size_dispute(after, c) for c in new_sizes),
        note_disputes=tuple(note_dispute(after, c) for c in note_conflicts(after) if same_notes(c) not in old_notes),
        flips=tuple(flips[:MOST_FLIPS]),
        more_flips=max(0, len(flips) - MOST_FLIPS),
        namesakes=tuple(
            (club, *sorted(names))
            for club, plan in plans.items()
            if len(names := titles_of([*plan.quads, *incoming[club]], club)) > 1
        ),
        shares=tuple(s for club, quads in incoming.items() for s in shares_of(quads, club)),
        own=tuple(club for club, quads in incoming.items() if _is_own(store, club, quads)),
        taken=tuple(
            replace(_taken(folder, club, plan, vocabulary), in_future=in_future(incoming[club], club))
            for club, plan in plans.items()
        ),
        foreign=tuple(translated(quads, [*store, *quads], vocabulary)[1] for quads in incoming.values()),
        cautions=short_cautions_on(after),
    )


def as_merged(answer: MergeAnswer, added: Mapping[str, int]) -> MergeAnswer:
    """The answer once the clubs are written; one of which nothing is ``added`` could not be."""
    taken = tuple(t if t.club in added else replace(t, how=How.NOT_WRITTEN, taken=False) for t in answer.taken)
    return replace(answer, added=tuple(added.get(c, 0) for c in answer.clubs), taken=taken, written=True)


def _taken(folder: Path, club: str, plan: Merged, vocabulary: Vocabulary) -> Taken:
    if plan.how is not How.NEWER:
        return Taken(club, plan.how, plan.how.taken, plan.at, plan.there)
    there = said_before(folder, club)
    gone = no_longer(there, plan.quads, club, vocabulary)
    about = ox.NamedNode(f"{CLUBS}{club}/about")
    count = sum(1 for q in set(there) - set(plan.quads) if q.graph_name != about)
    more = max(0, len(gone) - MOST_NO_LONGER)
    return Taken(
        club=club,
        how=plan.how,
        taken=True,
        shared_at=plan.at,
        before=plan.there,
        replaced=count,
        no_longer=tuple(gone[:MOST_NO_LONGER]),
        more_no_longer=more,
    )


def _is_own(store: list[ox.Quad], club: str, quads: list[ox.Quad]) -> bool:
    """Whether a club's statements are all one's own, as one would share them oneself: one's own file come back."""
    about = ox.NamedNode(f"{CLUBS}{club}/about")
    said = {q for q in quads if q.graph_name != about}
    return bool(said) and said <= set(scoped(store, club))


def same_sizes(conflict: SizeConflict) -> tuple[object, ...]:
    """What contradicts, whoever says it: a club that repeats both sides brings no new contradiction."""
    sides = frozenset((s.low, s.high, s.code, s.order) for s in conflict.statements)
    return conflict.things, conflict.feature, conflict.dimension, sides


def same_notes(conflict: NoteConflict) -> tuple[object, ...]:
    """The same of notes that disagree."""
    return conflict.check, conflict.parts, frozenset((n.outcome, n.member, n.date, n.text) for n in conflict.notes)


def flipped(before: Catalogue, after: Catalogue) -> Iterator[Flip]:
    """All verdicts between things of ``before`` that are others in ``after``. Cost: the checks of what changed."""
    changed = _changed(before, after)
    for name, layout in before.layouts.items():
        if changed and after.layouts.get(name) == layout:
            tables = (Checks(before, Places(layout)), Checks(after, Places(layout)))
            yield from _joints(tables, changed)
            yield from _figures(tables, changed)


def _changed(before: Catalogue, after: Catalogue) -> set[str]:
    """Things of which other sizes, claims or notes are recorded."""
    changed = {t for t, f in before.features.items() if after.features.get(t) != f}
    changed |= {t for t in after.features if t not in before.features}
    identities = (Identity.among(before.claims), Identity.among(after.claims))
    for claim in sorted({*before.claims} ^ {*after.claims}, key=repr):
        named = {claim.part, claim.other_part} - {""}
        changed |= {same for i in identities for number in named for same in i.of(number)}
    for name in sorted(n for n in {*before.notes, *after.notes} if before.notes.get(n) != after.notes.get(n)):
        note = after.notes.get(name) or before.notes[name]
        changed |= set(note.parts) if note.outcome == "made to fit" else set()
    return changed - {""}


def _touched(candidate: Candidate, changed: set[str]) -> bool:
    return candidate.thing in changed or bool(set(candidate.numbers) & changed)


def _joints(tables: tuple[Checks, Checks], changed: set[str]) -> Iterator[Flip]:
    checks = tables[0]
    told: set[tuple[str, str, str]] = set()
    for at in checks.places.joints:
        ends = [list(new_parts(checks.catalogue, checks.places, p)) for p in (at.first, at.second)]
        touched = [[_touched(c, changed) for c in end] for end in ends]
        for first, first_touched in zip(ends[0], touched[0], strict=True):
            for second, second_touched in zip(ends[1], touched[1], strict=True):
                key = (at.joint.joint, first.number, second.number)
                if (first_touched or second_touched) and key not in told:
                    told.add(key)
                    yield from _compared(tables, at, first, second)


def _compared(tables: tuple[Checks, Checks], at: JointAt, first: Candidate, second: Candidate) -> Iterator[Flip]:
    before, after = (t.joint(at, first, second).verdict for t in tables)
    if before is not after:
        yield Flip(at.joint.joint, first.number, second.number, before, after)


def _figures(tables: tuple[Checks, Checks], changed: set[str]) -> Iterator[Flip]:
    """The figures of each vehicle as it stands, and with another part in one place that is listed for it."""
    checks = tables[0]
    bought = {p: [c for c in new_parts(checks.catalogue, checks.places, p) if _touched(c, changed)]
              for p in dict.fromkeys(p for at in checks.places.figures for p in at.places)}  # fmt: skip
    for vehicle in checks.catalogue.vehicles.values():
        if vehicle.layout != checks.places.layout.layout:
            continue
        now = as_found(checks.catalogue, checks.places, vehicle)
        models = {vehicle.vehicle, vehicle.made_as}
        told: set[tuple[str, str]] = set()
        for at in checks.places.figures:
            there = {p: now.get(p) for p in at.places}
            here = [c for c in there.values() if c is not None and _touched(c, changed)][:1]
            cases = [(c.number, there) for c in here]
            cases += [
                (c.number, {**there, p: c})
                for p in at.places
                for c in bought[p]
                if any(models & t.claims.listed(c.number) for t in tables)
                and c.number not in {x.number for x in there.values() if x is not None}
            ]
            for number, chosen in cases:
                key = (at.figure.figure, number)
                before, after = (t.figure(at, chosen, t.as_made_value(at, vehicle)).verdict for t in tables)
                if before is not after and key not in told:
                    told.add(key)
                    yield Flip(at.figure.figure, number, vehicle.vehicle, before, after)
