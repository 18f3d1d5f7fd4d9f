"""Who is right? Each contradiction with both sides, what the sizes say, what hangs on it, and what would settle it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

import msgspec
from msgspec.structs import replace

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.schema import column_of
from knockon.graph.model.things import STANDINGS, Statement
from knockon.queries.answers import SHORT_CAUTIONS, Answer, short_cautions_on
from knockon.queries.club.contradictions import PRESENCE, SizeConflict, believing, note_conflicts, size_conflicts
from knockon.queries.club.note_disputes import NoteDispute, note_dispute
from knockon.queries.club.what_reads import Hanging, HangingSwap, answers_hanging_on, swaps_hanging_on
from knockon.queries.club.wishes import Wish, wish_list
from knockon.queries.fits.checking.evidence import type_and_unit
from knockon.queries.plan.asked_swaps import MOST_PLANS, AskedSwap, asked_swaps
from knockon.queries.plan.solving.patience import Patience


class SizeSide(msgspec.Struct, frozen=True):
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


class SizeDispute(msgspec.Struct, frozen=True):
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


class DisputesAnswer(Answer, frozen=True):
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


def find_disputes(
    catalogue: Catalogue, most_wishes: int = 0, most_plans: int = MOST_PLANS, patience: Patience | None = None
) -> DisputesAnswer:
    """All contradictions and the wish list (cut off at ``most_wishes``; 0: all).

    Cost: the checks that read a contradicted size, once for each statement of it; and at most ``most_plans`` plans,
    each in the time that ``patience`` gives it.
    """
    asked = asked_swaps(catalogue, most_plans, patience)
    sizes = tuple(size_dispute(catalogue, c, asked.planned) for c in size_conflicts(catalogue))
    notes = tuple(note_dispute(catalogue, c, asked.planned) for c in note_conflicts(catalogue))
    wanted = wish_list(catalogue, most_wishes, asked.planned)
    return DisputesAnswer(
        size_disputes=sizes,
        note_disputes=notes,
        wishes=wanted.wishes,
        unknown_answers=wanted.unknown_answers,
        swaps_planned=tuple(s.said for s in asked.planned),
        swaps_without_plan=asked.without_plan,
        swaps_passed_over=asked.passed_over,
        cautions=short_cautions_on(catalogue),
    )


def size_dispute(catalogue: Catalogue, conflict: SizeConflict, swaps: Sequence[AskedSwap] = ()) -> SizeDispute:
    """One contradicted size with all that hangs on it; ``swaps``: the plans to look through."""
    alike: dict[object, list[Statement]] = {}
    for statement in conflict.statements:  # equal sizes are one belief, whoever states them
        alike.setdefault((statement.low, statement.high, statement.nominal, statement.code), []).append(statement)
    catalogues = [catalogue, *(believing(catalogue, conflict, s[0].source, s[0].written) for s in alike.values())]
    labels = [f"{_sources(s)}: {s[0].written}" for s in alike.values()]
    answers = answers_hanging_on(catalogues, labels, conflict)
    return SizeDispute(
        things=conflict.things,
        feature=conflict.feature,
        dimension=column_of(conflict.dimension),
        sides=tuple(_folded(_size_side(catalogue, conflict, s) for s in conflict.statements)),
        decided=not conflict.equal_standing,
        ruling=_size_ruling(conflict, answers),
        answers=answers,
        settle=_settle_size(catalogue, conflict),
        swaps=swaps_hanging_on(catalogues, labels, conflict, swaps),
    )


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
        source=statement.source,
        standing=STANDINGS[statement.rank - 1],
        written=statement.written,
        low=statement.low,
        high=statement.high,
        unit=""
        if conflict.dimension == PRESENCE
        else type_and_unit(catalogue.vocabulary, feature, conflict.dimension)[1],
        computes=statement.rank == min(s.rank for s in conflict.statements),
        member=source.member if source else "",
        date=source.date if source else "",
        note=note.note if note else "",
        condition=note.condition if note else "",
        text=note.text if note else "",
    )


def _size_ruling(conflict: SizeConflict, answers: tuple[Hanging, ...]) -> str:
    best = min(s.rank for s in conflict.statements)
    standing = STANDINGS[best - 1]
    if not conflict.equal_standing:
        best_ones = [s for s in conflict.statements if s.rank == best]
        written = dict.fromkeys(s.written for s in best_ones)
        computes = ", ".join(f"{w} ({_sources([s for s in best_ones if s.written == w])})" for w in written)
        return f"better evidence is used: {computes}, {standing}. The others are shown and not used."
    disputed = any(h.now is Verdict.DISPUTED for h in answers)
    weight = "The answers that depend on it are disputed" if disputed else "Where it decides, the worse one is used"
    return f"equal standing ({standing}): neither rules the other out, and nothing is averaged. {weight}."


def _settle_size(catalogue: Catalogue, conflict: SizeConflict) -> str:
    thing = next((t for t in conflict.things if t in catalogue.parts), conflict.things[0])
    if conflict.dimension == PRESENCE:
        return f"look whether {thing} has {conflict.feature}"
    kind = catalogue.vocabulary.kinds[catalogue.features[thing][conflict.feature].kind]
    base = column_of(conflict.dimension)
    method = next((c.method for c in kind.columns if c.name == base), "")
    return f"measure {thing}, {conflict.feature}: {base}" + (f" ({method})" if method else "")
