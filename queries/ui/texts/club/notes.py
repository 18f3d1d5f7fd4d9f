"""Club notes beside a verdict: failures first, with text and date, and whether they agree with what the sizes say."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.things import Note
from knockon.graph.notes.outcomes import outcome_rank
from knockon.queries.club.note_added import Against, Bound
from knockon.queries.club.notes import NoteShown
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.per_catalogue import per_catalogue
from knockon.queries.tightening import without_torque
from knockon.queries.ui.blocks import BAD, PLAIN, WARN, Block, Para
from knockon.queries.ui.naming import sentence

AGREES, AGAINST, ELSEWHERE = "agrees with the sizes", "found otherwise", "about other parts"
AS_CLAIMED, MADE = "agrees with what is claimed", "this note is why it fits with work"
TEXT_ONLY = "The size stands in its text only, and was not taken as a size."
FAILED, WENT_WELL = ("failed",), ("worked", "made to fit")


def _numbers(catalogue: Catalogue, number: str) -> set[str]:
    """All numbers under which a part of a note may stand in an answer: itself, its mirror, the drawings of a set."""
    part = catalogue.parts.get(number)
    members = {m.as_part for m in catalogue.set_members.get(number, ())}
    return {number, part.mirror_of if part else "", *members} - {""}


def bears_on(catalogue: Catalogue, note: Note, evidence: Evidence) -> bool:
    """Whether the note is about the parts judged: of each part type that it names, one of its parts was judged."""
    judged = {*evidence.numbers, *evidence.things}
    for thing in evidence.things:  # a set's member is the part that it is drawn as
        judged |= {m.as_part for m in catalogue.members_beside(thing) if m.as_part}
    by_type: dict[str, bool] = defaultdict(bool)
    for number in note.parts:
        part = catalogue.parts.get(number)
        by_type[part.part_type if part else number] |= bool(_numbers(catalogue, number) & judged)
    return bool(by_type) and all(by_type.values())


def standing_of(catalogue: Catalogue, note: Note, evidence: Evidence) -> str:
    """Whether a note agrees with a verdict, found otherwise, or is about other parts; blank where it does not say."""
    if not bears_on(catalogue, note, evidence):
        return ELSEWHERE
    if evidence.verdict in (Verdict.NOT_KNOWN, Verdict.DISPUTED):
        return ""
    if evidence.verdict is Verdict.FITS_WITH_WORK and note.outcome == "made to fit":
        return MADE
    if note.outcome in FAILED:
        return AGREES if evidence.verdict.is_no else AGAINST
    if note.outcome in WENT_WELL:
        return AGAINST if evidence.verdict.is_no else AS_CLAIMED if evidence.claimed else AGREES
    return ""


def text_only(outcome: str, sized: bool) -> bool:
    """Whether a note says that something was measured, and states no size as a size (``sized``: it states one)."""
    return outcome == "measured" and not sized


@per_catalogue("features")
def _sources_with_sizes(catalogue: Catalogue) -> frozenset[str]:
    """The sources that state a size, or that a feature is there or not."""
    features = [f for own in catalogue.features.values() for f in own.values()]
    sized = {s.source for f in features for statements in f.dimensions.values() for s in statements}
    return frozenset(sized | {s.source for f in features for s in f.absent})


def added_lines(note: NoteShown, bound: Sequence[Bound], against: Sequence[Against]) -> Iterator[str]:
    """What a note that was just written does, a line each: where its readings belong, what it contradicts."""
    for at in bound:
        number = f" ({at.number})" if at.number else ""
        yield f"Belongs to the {at.place} of {at.vehicle}{number}, and to no other part: {at.thing}."
    if text_only(note.outcome, bool(note.readings)):
        yield f"{TEXT_ONLY} Give it with --size to have it used."
    for other in against:
        if other.note:
            yield f"Contradicts note {other.note}: {other.otherwise}, at {other.check or 'the same parts'}."
        else:
            size = f"{other.feature}: {other.dimension}" if other.dimension else other.feature
            said = "Differs from what is recorded of its number" if other.of_number else "Contradicts what is recorded"
            by = f"{other.source or 'the records'}, {other.standing}"
            yield f"{said}: {size} {other.otherwise}, not {other.written} ({by})."


def note_text(note: Note, sized: bool = True) -> str:
    """The note as it was written, with date, member, condition and outcome, and what the club reads in it; ``sized``:
    it states a size as a size."""
    who = ", ".join(x for x in (note.date, note.member, note.condition) if x)
    read = f" Read as: {note.says}." if note.says else ""
    work = f" Work done: {note.work_done}." if note.work_done else ""
    bare = f" {TEXT_ONLY}" if text_only(note.outcome, sized) else ""
    return f"{note.note} ({who}), {note.outcome or 'told'}: {sentence(without_torque(note.text))}{bare}{read}{work}"


def note_blocks(
    catalogue: Catalogue, checks: Iterable[Evidence], indent: int = 0, beside: Iterable[str] = ()
) -> list[Block]:
    """All notes of these checks, each once, failures first; ``beside``: notes that belong to no check."""
    found: dict[str, list[tuple[str, str]]] = defaultdict(list)
    for evidence in checks:
        for name in evidence.notes:
            note = catalogue.notes[name]
            found[name].append((standing_of(catalogue, note, evidence), evidence.check))
    for name in beside:
        found.setdefault(name, [])
    ordered = sorted(found, key=lambda n: (outcome_rank(catalogue.notes[n].outcome), n))
    stating = _sources_with_sizes(catalogue)
    notes = (catalogue.notes[name] for name in ordered)
    return [_block(note, found[note.note], indent, note.source in stating) for note in notes]


def _block(note: Note, standings: list[tuple[str, str]], indent: int, sized: bool) -> Para:
    said = []
    for standing in (MADE, AGREES, AS_CLAIMED, AGAINST):
        checks = dict.fromkeys(check for s, check in standings if s == standing)
        if checks:
            said.append(f"{standing} ({', '.join(checks)})")
    if standings and not said and all(s == ELSEWHERE for s, _ in standings):
        said.append(f"{ELSEWHERE} ({', '.join(note.parts)}), shown because it is about this place")
    lead = "; ".join(said)
    text = f"{lead[0].upper()}{lead[1:]}. {note_text(note, sized)}" if lead else note_text(note, sized)
    against = any(s == AGAINST for s, _ in standings)
    return Para(
        text, mark="-", indent=indent, tone=BAD if against and note.outcome in FAILED else WARN if against else PLAIN
    )
