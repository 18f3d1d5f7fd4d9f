"""Club notes beside a verdict: failures first, with text and date, and whether they agree with what the sizes say."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable

from knockon.graph.catalogue import Catalogue
from knockon.graph.model import Note
from knockon.graph.verdicts import Verdict
from knockon.queries.evidence import Evidence
from knockon.queries.ui.blocks import BAD, PLAIN, WARN, Block, Para
from knockon.queries.ui.naming import sentence

AGREES, AGAINST, ELSEWHERE = "agrees with the sizes", "found otherwise", "about other parts"
AS_CLAIMED, MADE = "agrees with what is claimed", "this note is why it fits with work"
TORQUE = re.compile(r"\b\d+(?:[.,]\d+)?\s*(?:lbs?|pounds?)?f?[\s./·-]*(?:ft|feet|foot|in)[\s./·-]*(?:lbs?|pounds?)f?\b"
                    r"|\b\d+(?:[.,]\d+)?\s*(?:lbs?|pounds?)f?[\s./·-]*(?:ft|feet|foot)\b|\b\d+(?:[.,]\d+)?\s*(?:kg\s?f?[\s./·-]?c?m|k?N[\s./·-]?m)\b",
                    re.IGNORECASE)  # fmt: skip
FAILED, WENT_WELL = ("failed",), ("worked", "made to fit")
ORDER = {"failed": 0, "measured": 1, "made to fit": 2, "worked": 3, "told": 4}


def _numbers(catalogue: Catalogue, number: str) -> set[str]:
    """All numbers under which a part of a note may stand in an answer: itself, its mirror, the drawings of a set."""
    part = catalogue.parts.get(number)
    members = {m.as_part for m in catalogue.set_members.get(number, ())}
    return {number, part.mirror_of if part else "", *members} - {""}


def bears_on(catalogue: Catalogue, note: Note, evidence: Evidence) -> bool:
    """Whether the note is about the parts judged: of each part type that it names, one of its parts was judged."""
    judged = {n.strip() for n in f"{evidence.first},{evidence.second}".split(",")} | set(evidence.things)
    for thing in evidence.things:  # a set's member is the part that it is drawn as
        number, _, member = thing.partition("/")
        position = member.partition("/")[0]
        judged |= {m.as_part for m in catalogue.set_members.get(number, ()) if m.position == position and m.as_part}
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


def without_torque(text: str) -> str:
    """The text without tightening values: a note is no source for one."""
    return TORQUE.sub("[tightening value left out: no source]", text)


def note_text(note: Note) -> str:
    """The note as it was written, with date, member, condition and outcome, and what the club reads in it."""
    who = ", ".join(x for x in (note.date, note.member, note.condition) if x)
    read = f" Read as: {note.says}." if note.says else ""
    work = f" Work done: {note.work_done}." if note.work_done else ""
    return f"{note.note} ({who}), {note.outcome or 'told'}: {sentence(without_torque(note.text))}{read}{work}"


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
    ordered = sorted(found, key=lambda n: (ORDER.get(catalogue.notes[n].outcome, 5), n))
    return [_block(catalogue.notes[name], found[name], indent) for name in ordered]


def _block(note: Note, standings: list[tuple[str, str]], indent: int) -> Para:
    said = []
    for standing in (MADE, AGREES, AS_CLAIMED, AGAINST):
        checks = dict.fromkeys(check for s, check in standings if s == standing)
        if checks:
            said.append(f"{standing} ({', '.join(checks)})")
    if standings and not said and all(s == ELSEWHERE for s, _ in standings):
        said.append(f"{ELSEWHERE} ({', '.join(note.parts)}), shown because it is about this place")
    lead = "; ".join(said)
    text = f"{lead[0].upper()}{lead[1:]}. {note_text(note)}" if lead else note_text(note)
    against = any(s == AGAINST for s, _ in standings)
    return Para(
        text, mark="-", indent=indent, tone=BAD if against and note.outcome in FAILED else WARN if against else PLAIN
    )
