"""Which notes stand beside a verdict: those that are about the same check of the same parts."""

from __future__ import annotations

from collections.abc import Iterable

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.things import Note
from knockon.graph.notes.outcomes import outcome_rank
from knockon.queries.fits.checking.candidates import Candidate, alike
from knockon.queries.fits.checking.checks import Checks


def notes_on(checks: Checks, check: str, *candidates: Candidate) -> tuple[str, ...]:
    """The notes about these things at this check, failures first: of each part type that a note names, one of its
    parts is here. A note on another pair is not about this one."""
    here = {alike(checks.catalogue, n) for c in candidates for n in c.numbers}
    found = [
        (outcome_rank(note.outcome), note.note)
        for note in checks.catalogue.notes.values()
        if note.parts and note.joint in ("", check) and all(_here_by_type(checks.catalogue, note, here).values())
    ]
    return tuple(name for _, name in sorted(found))


def failures_told(catalogue: Catalogue, numbers: Iterable[str]) -> tuple[str, ...]:
    """The notes of something that failed with these parts: of each part type that a note names, one of its parts is
    among them."""
    here = {alike(catalogue, n) for n in numbers}
    failed = (n for n in catalogue.notes.values() if n.outcome == "failed" and n.parts)
    return tuple(sorted(n.note for n in failed if all(_here_by_type(catalogue, n, here).values())))


def _here_by_type(catalogue: Catalogue, note: Note, here: set[str]) -> dict[str, bool]:
    """For each part type that a note names, whether one of its parts is here (of a set: the drawing of a member)."""
    found: dict[str, bool] = {}
    for number in note.parts:
        part = catalogue.parts.get(number)
        key = part.part_type if part else number
        members = (m.as_part for m in catalogue.set_members.get(number, ()) if m.as_part)
        found[key] = found.get(key, False) or any(alike(catalogue, n) in here for n in (number, *members))
    return found
