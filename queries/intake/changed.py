"""What changed since then, and does it hit my plan? The difference of answers, not of rows."""

from __future__ import annotations

from collections.abc import Sequence

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Place
from knockon.queries.answers import SHORT_CAUTIONS, Answer, short_cautions_on
from knockon.queries.club.contradictions import note_conflicts, size_conflicts
from knockon.queries.club.disputes import SizeDispute, size_dispute
from knockon.queries.club.merging import MOST_FLIPS, Flip, flipped, same_notes, same_sizes
from knockon.queries.club.note_disputes import NoteDispute, note_dispute
from knockon.queries.plan.line_changes import LineChange, line_changes
from knockon.queries.plan.swap import SwapAnswer, swap


class ChangedAnswer(Answer, frozen=True):
    """What differs between two states of the records.

    ``lines`` and ``places`` (place, before, after) compare the plan for ``vehicle`` in both; without a vehicle they are
    empty, and so is ``planned`` (whether there is a plan: before, after).
    """

    parts_new: tuple[str, ...]
    parts_gone: tuple[str, ...]
    notes_new: tuple[str, ...]
    notes_gone: tuple[str, ...]
    flips: tuple[Flip, ...]
    more_flips: int
    size_disputes: tuple[SizeDispute, ...]
    note_disputes: tuple[NoteDispute, ...]
    settled: int
    vehicle: str = ""
    planned: tuple[bool, ...] = ()
    lines: tuple[LineChange, ...] = ()
    places: tuple[tuple[Place, str, str], ...] = ()
    cautions: tuple[str, ...] = SHORT_CAUTIONS

    @property
    def is_quiet(self) -> bool:
        """Whether no verdict, no contradiction and no line of the plan is another one."""
        told = (self.flips, self.size_disputes, self.note_disputes, self.lines, self.places)
        return not any(told) and len(set(self.planned)) < 2


def changed_answers(before: Catalogue, after: Catalogue, vehicle: str = "", want: Sequence[str] = ()) -> ChangedAnswer:
    """Compare the answers of two states. Raises UnknownNameError or RequestError for what one of them lacks."""
    flips = list(flipped(before, after))
    sizes = {same_sizes(c): c for c in size_conflicts(after)}
    notes = {same_notes(c): c for c in note_conflicts(after)}
    old_sizes = {same_sizes(c) for c in size_conflicts(before)}
    old_notes = {same_notes(c) for c in note_conflicts(before)}
    plans = [swap(c, vehicle, want=want, alternatives=0) for c in (before, after)] if vehicle else []
    return ChangedAnswer(
        parts_new=tuple(p for p in after.parts if p not in before.parts),
        parts_gone=tuple(p for p in before.parts if p not in after.parts),
        notes_new=tuple(n for n in after.notes if n not in before.notes),
        notes_gone=tuple(n for n in before.notes if n not in after.notes),
        flips=tuple(flips[:MOST_FLIPS]),
        more_flips=max(0, len(flips) - MOST_FLIPS),
        size_disputes=tuple(size_dispute(after, c) for k, c in sizes.items() if k not in old_sizes),
        note_disputes=tuple(note_dispute(after, c) for k, c in notes.items() if k not in old_notes),
        settled=len(old_sizes - set(sizes)) + len(old_notes - set(notes)),
        vehicle=vehicle,
        planned=tuple(p.plan is not None for p in plans),
        lines=line_changes(*plans) if plans else (),
        places=_places(*plans) if plans else (),
        cautions=short_cautions_on(after),
    )


def _places(before: SwapAnswer, after: SwapAnswer) -> tuple[tuple[Place, str, str], ...]:
    then, now = ({f.place: f.number for f in (p.plan.filled if p.plan else ())} for p in (before, after))
    return tuple((p, then.get(p, ""), now.get(p, "")) for p in sorted({*then, *now}) if then.get(p) != now.get(p))
