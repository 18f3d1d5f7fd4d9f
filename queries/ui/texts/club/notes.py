"""Club notes beside a verdict: failures first, with text and date, and whether they agree with what the sizes say."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from knockon.graph.files.atomic import PHOTOGRAPHS
from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.things import Note
from knockon.graph.notes.outcomes import MADE_TO_FIT, outcome_rank
from knockon.queries.fits.checking.evidence import Evidence
from knockon.queries.tightening import without_torque
from knockon.queries.ui.details import next_blocks
from knockon.queries.ui.naming import count, sentence
from knockon.queries.ui.sentences import club as say
from knockon.queries.ui.terminal.blocks import BAD, PLAIN, QUIET, WARN, Block, Para

if TYPE_CHECKING:  # loading them would load RDF for every pair of parts
    from knockon.queries.club.note_added import Against, Bound
    from knockon.queries.club.notes import NotesAnswer, NoteShown

AGREES, AGAINST, ELSEWHERE = say.AGREES, say.AGAINST, say.ELSEWHERE
AS_CLAIMED, MADE = say.AS_CLAIMED, say.MADE
TEXT_ONLY = say.TEXT_ONLY
ON_PAGE = 18
"""So many notes stand on the first page of a list."""
FAILED, WENT_WELL = ("failed",), ("worked", MADE_TO_FIT)


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
    if evidence.verdict is Verdict.FITS_WITH_WORK and note.outcome == MADE_TO_FIT:
        return MADE
    if note.outcome in FAILED:
        return AGREES if evidence.verdict.is_no else AGAINST
    if note.outcome in WENT_WELL:
        return AGAINST if evidence.verdict.is_no else AS_CLAIMED if evidence.claimed else AGREES
    return ""


def text_only(outcome: str, sized: bool) -> bool:
    """Whether a note says that something was measured, and states no size as a size (``sized``: it states one)."""
    return outcome == "measured" and not sized


def added_lines(note: NoteShown, bound: Sequence[Bound], against: Sequence[Against]) -> Iterator[str]:
    """What a note that was just written does, a line each: where its readings belong, what it contradicts."""
    for at in bound:
        number = say.OF_NUMBER.format(number=at.number) if at.number else ""
        yield say.BELONGS.format(place=at.place, vehicle=at.vehicle, number=number, thing=at.thing)
    if text_only(note.outcome, bool(note.readings)):
        yield say.TEXT_ONLY + say.GIVE_SIZE
    for photograph in note.photographs:
        yield say.KEPT_PHOTOGRAPH.format(file=_file(photograph))
    if note.photographs:
        yield say.PLACE_IN_IT
    for other in against:
        if other.note:
            place = other.check or say.SAME_PARTS
            yield say.AGAINST_NOTE.format(note=other.note, otherwise=other.otherwise, place=place)
        else:
            size = (
                say.SIZE.format(feature=other.feature, dimension=other.dimension) if other.dimension else other.feature
            )
            by = f"{other.source or say.THE_RECORDS}, {other.standing}"
            template = say.DIFFERS_OF_NUMBER if other.of_number else say.CONTRADICTS
            yield template.format(size=size, otherwise=other.otherwise, written=other.written, by=by)


def note_text(note: Note, sized: bool = True) -> str:
    """The note as it was written, with date, member, condition and outcome, and what the club reads in it; ``sized``:
    it states a size as a size."""
    who = ", ".join(x for x in (note.date, note.member, note.condition) if x)
    said = sentence(without_torque(note.text))
    text = say.NOTE_TEXT.format(note=note.note, who=who, outcome=note.outcome or say.SAID, text=said)
    text += f" {say.TEXT_ONLY}" if text_only(note.outcome, sized) else ""
    text += say.READ_AS.format(text=note.says) if note.says else ""
    text += (
        " " + say.SHOWN_BY.format(photographs=count(len(note.photographs), "photograph")) if note.photographs else ""
    )
    return text + (say.WORK_DONE.format(text=note.work_done) if note.work_done else "")


def note_blocks(
    catalogue: Catalogue,
    checks: Iterable[Evidence],
    indent: int = 0,
    beside: Iterable[str] = (),
    only: Sequence[str] | None = None,
) -> list[Block]:
    """All notes of these checks, each once, failures first; ``beside``: notes that belong to no check; ``only``: none
    but these."""
    found: dict[str, list[tuple[str, str]]] = defaultdict(list)
    for evidence in checks:
        for name in evidence.notes:
            note = catalogue.notes[name]
            found[name].append((standing_of(catalogue, note, evidence), evidence.check))
    for name in beside:
        found.setdefault(name, [])
    ordered = sorted(
        (n for n in found if only is None or n in only), key=lambda n: (outcome_rank(catalogue.notes[n].outcome), n)
    )
    stating = catalogue.sources_with_sizes
    notes = (catalogue.notes[name] for name in ordered)
    return [_block(note, found[note.note], indent, note.source in stating) for note in notes]


def _block(note: Note, standings: list[tuple[str, str]], indent: int, sized: bool) -> Para:
    said = []
    for standing in (MADE, AGREES, AS_CLAIMED, AGAINST):
        checks = dict.fromkeys(check for s, check in standings if s == standing)
        if checks:
            said.append(say.STANDING_AT.format(standing=standing, checks=", ".join(checks)))
    if standings and not said and all(s == ELSEWHERE for s, _ in standings):
        said.append(say.SHOWN_FOR_PLACE.format(standing=ELSEWHERE, parts=", ".join(note.parts)))
    lead = "; ".join(said)
    text = f"{lead[0].upper()}{lead[1:]}. {note_text(note, sized)}" if lead else note_text(note, sized)
    against = any(s == AGAINST for s, _ in standings)
    return Para(
        text, mark="-", indent=indent, tone=BAD if against and note.outcome in FAILED else WARN if against else PLAIN
    )


def _file(photograph: str) -> str:
    return f"{PHOTOGRAPHS}/{photograph}"


def notes_text(answer: NotesAnswer, full: bool, ask: str) -> Iterator[Block]:
    """A list of notes, failures first: the first of them in short, or, ``full``, all with all that they state."""
    once = [n for n in answer.notes if not n.same_as]
    if not once:
        yield Para(say.NO_NOTES, tone=WARN)
        return
    shown = once if full else once[:ON_PAGE]
    number = sentence(count(len(once), "note")).removesuffix(".")
    few = say.NOTES_FOUND.format(notes=number)
    yield Para(few if len(shown) == len(once) else say.NOTES_SHOWN.format(notes=number, shown=len(shown)))
    for note in shown:
        copies = [c for c in answer.notes if c.same_as == note.note]
        tone = QUIET if note.withdrawn else BAD if note.outcome == "failed" else PLAIN
        yield Para(" ".join(_lines(note, copies, full)), mark="-", tone=tone)
    if not full:
        yield from next_blocks([f"{ask} --full"])


def _lines(note: NoteShown, copies: Sequence[NoteShown], full: bool) -> Iterator[str]:
    """A note of a list, sentence by sentence."""
    about = ", ".join(x for x in (note.date or say.NO_DATE, note.member, note.vehicle, note.condition) if x)
    said = sentence(without_torque(note.text))
    yield say.NOTE_TEXT.format(note=note.note, who=about, outcome=note.outcome or say.SAID, text=said)
    readings = dict.fromkeys(note.readings or (r for c in copies for r in c.readings))
    if text_only(note.outcome, bool(readings)):
        yield say.TEXT_ONLY
    more = {
        "about": ", ".join([*note.parts, *([note.joint] if note.joint else [])]),
        "readings": "; ".join(readings), "work done": note.work_done, "read as": note.says,
        "evidence": note.evidence,
        "photographs": ", ".join(map(_file, note.photographs)), "standing": note.standing, "withdrawn": note.withdrawn,
        "same": "; ".join(c.note for c in copies),
    }  # fmt: skip
    if note.photographs and not full:
        yield say.SHOWN_BY.format(photographs=count(len(note.photographs), "photograph"))
    shown = more if full else ("about", "withdrawn", "same")
    for label in (x for x in shown if more[x]):
        said = more[label] if label in ("same", "photographs") else sentence(more[label]).removesuffix(".")
        yield sentence(say.LABELS[label].format(text=said))
