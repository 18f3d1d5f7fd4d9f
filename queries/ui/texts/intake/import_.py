"""The answers of ``knockon import`` and ``knockon quarantine`` as text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from msgspec.structs import replace

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.quarantine import Entry
from knockon.queries.intake.quarantine import Accepted, QuarantineAnswer
from knockon.queries.intake.sheets.imports import Altered, Changed, ImportAnswer
from knockon.queries.intake.would_read import Waiting
from knockon.queries.ui.naming import count, sentence
from knockon.queries.ui.sentences import intake as say
from knockon.queries.ui.terminal.blocks import GOOD, WARN, Block, Heading, Para

ON_PAGE = 6
"""So many rows of one sort stand on the first page of an import."""
MOST_NAMED = 4
MOST_CHECKS = 8
MOST_IN_FULL = 200
FULL_ON_PAGE, LISTED_ON_PAGE = 2, 10
"""Entries of the quarantine that its first page shows in full, and at all."""
"""Entries of which the text says with which parts each check is made; of those behind them the checks alone."""


def import_text(answer: ImportAnswer, dry_run: bool, full: bool = False) -> Sequence[Block]:
    """The count of rows, what went to the quarantine, and what changed in the tables; ``full``: every row."""
    rows = count(answer.rows, "row")
    says = say.IMPORTED_ALL.format(file=answer.file, rows=rows)
    if answer.quarantined:
        says = say.IMPORTED.format(file=answer.file, rows=rows, loaded=answer.loaded, quarantined=answer.quarantined)
    blocks: list[Block] = [Para(says, tone=WARN if answer.quarantined else GOOD)]
    blocks += [Para(say.TRIED)] if dry_run else []
    blocks += [Para(say.PARTLY.format(rows=count(answer.partly, "row")))] if answer.partly else []
    for why, number in answer.passed_over:
        blocks.append(Para(say.NO_DATA.format(rows=count(number, "row"), why=why), mark="-"))
    blocks += [Para(r, mark="-") for r in answer.remarks]
    if answer.flagged:
        blocks.append(Para(say.NEEDED_HELP.format(rows=count(answer.flagged, "row")), mark="-"))
    most = None if full else ON_PAGE
    if answer.entries:
        blocks.append(Heading(say.IN_QUARANTINE))
        blocks += _some([entry_line(e) for e in answer.entries], "-", most)
        blocks.append(Para(say.SEE_QUARANTINE))
    if answer.contradicted:
        said = [
            say.CONTRADICTED.format(
                part=c.part, feature=c.feature, dimension=c.dimension, written=say.AGAINST.join(c.written)
            )
            for c in answer.contradicted
        ]
        blocks += [Heading(say.CONTRADICTIONS), Para(say.ALL_KEPT), *_some(said, "-", most)]
    return [*blocks, *_rows(answer, most)]


def _rows(answer: ImportAnswer, most: int | None) -> Iterator[Block]:
    """The rows of the tables that change, after their numbers; zeros are left out."""
    yield Heading(say.CHANGED)
    counts = [
        (say.ADDED, len(answer.added)),
        (say.ALTERED, len(answer.altered)),
        (say.REMOVED, len(answer.removed)),
    ]
    changed = [template.format(number=number) for template, number in counts if number]
    if not changed:
        there = say.ALREADY_THERE.format(rows=count(answer.unchanged, "row"))
        yield Para(there if answer.unchanged else say.NOTHING_CHANGED, tone=GOOD)
        return
    changed += [say.UNCHANGED.format(number=answer.unchanged)] if answer.unchanged else []
    yield Para(say.CHANGES.format(changes=", ".join(changed)))
    yield from _some([_cells(c) for c in answer.added], "+", most)
    yield from _some([_altered(row) for row in answer.altered], "~", most)
    yield from _some([_cells(c) for c in answer.removed], "-", most)


def _some(lines: Sequence[str], mark: str, most: int | None) -> Iterator[Block]:
    """The lines, or the first of them."""
    yield from (Para(line, mark=mark) for line in lines[:most])
    if most is not None and len(lines) > most:
        yield Para(say.AND_MORE.format(number=len(lines) - most))


def _cells(changed: Changed) -> str:
    return say.TABLE_CELLS.format(table=changed.table, cells=", ".join(filter(None, changed.cells)))


def _altered(row: Altered) -> str:
    """What a row said and says now, without the cells that stay."""
    pairs = list(zip(row.before, row.after, strict=True))
    stays = ", ".join(after for before, after in pairs if before == after and after)
    cells = [
        say.FROM_TO.format(before=before or say.NOTHING, after=after or say.NOTHING)
        for before, after in pairs
        if before != after
    ]
    return say.ALTERED_CELLS.format(table=row.table, stays=stays, cells="; ".join(cells))


def entry_line(entry: Entry, further: str = "") -> str:
    """Where a cell stands, what is written, why it was not read, what may be meant, and a further choice."""
    place = say.PLACE_SHEET if entry.sheet else say.PLACE
    named = {"file": entry.file, "row": entry.row} | ({"sheet": entry.sheet} if entry.sheet else {})
    where = place.format(**named)
    where = say.PLACE_COLUMN.format(place=where, column=entry.column) if entry.column else where
    text = say.ENTRY.format(place=where, written=entry.written, why=sentence(entry.why))
    offers = [say.OFFER.format(number=n, text=offer) for n, offer in enumerate(entry.suggestions, 1)]
    offers += [further] if further else []
    return f"{text} {say.OFFERS.format(offers='; '.join(offers))}" if offers else text


def accepted_lines(accepted: Sequence[Accepted]) -> list[str]:
    """What came of each choice, a line each."""
    lines = []
    for done in accepted:
        ended = say.LOADED_NOW if done.loaded else say.STILL_WAITS.format(why="; ".join(done.left))
        lines.append(
            say.ACCEPTED.format(row=done.row, column=done.column, written=done.written, chosen=done.chosen, ended=ended)
        )
    return lines


def quarantine_text(answer: QuarantineAnswer, full: bool = False) -> Sequence[Block]:
    """What was accepted, then the entries with their names, and what depends on the first of them; ``full``: every
    entry, and what depends on each."""
    blocks: list[Block] = [Para(line) for line in accepted_lines(answer.accepted)]
    if answer.not_read:
        blocks.append(Para(say.NOT_READ_AGAIN, tone=WARN))
        return [*blocks, *(Para(entry_line(one.entry), mark=one.name) for one in answer.entries)]
    if not answer.entries:
        return [*blocks, Para(say.EMPTY, tone=GOOD)]
    blocks.append(Para(say.WAITING.format(rows=count(answer.rows, "row")), tone=WARN))
    blocks += _entries(answer) if full else _first_entries(answer)
    blocks.append(Para(say.HOW_ACCEPT))
    if any(one.may_be_unknown for one in answer.entries):
        blocks.append(Para(say.HOW_UNKNOWN))
    judged = any(w.now is not None for one in answer.entries for w in one.hangs)
    return [*blocks, *(Para(c, tone=WARN) for c in (answer.cautions if judged else ()))]


def _first_entries(answer: QuarantineAnswer) -> Iterator[Block]:
    """As many entries as one screen holds, in full or by their own line, and how many more there are."""
    yield from _entries(replace(answer, entries=answer.entries[:FULL_ON_PAGE]))
    for one in answer.entries[FULL_ON_PAGE:LISTED_ON_PAGE]:
        unknown = say.UNKNOWN if one.may_be_unknown and "?" not in one.entry.suggestions else ""
        yield Para(entry_line(one.entry, unknown), mark=one.name)
    more = len(answer.entries) - LISTED_ON_PAGE
    if more > 0:
        yield Para(say.MORE_ENTRIES.format(entries=count(more, "more entry", "more entries")))
    elif len(answer.entries) > FULL_ON_PAGE:
        yield Para(say.ALL_DEPENDS)


def _entries(answer: QuarantineAnswer) -> Iterator[Block]:
    seen: dict[tuple[Waiting, ...], str] = {}
    rows: set[tuple[str, str, int, str]] = set()
    for number, one in enumerate(answer.entries, 1):
        unknown = say.UNKNOWN if one.may_be_unknown and "?" not in one.entry.suggestions else ""
        yield Para(entry_line(one.entry, unknown), mark=one.name)
        if one.rest and one.entry.place not in rows:
            yield Para(say.REST_WAITS.format(cells=", ".join(f"{c.column} {c.written}" for c in one.rest)))
        rows.add(one.entry.place)
        first = seen.setdefault(one.hangs, one.name) if one.hangs else one.name
        if first != one.name:
            yield Para(say.SAME_DEPENDS.format(first=first))
        elif number <= MOST_IN_FULL:
            yield from _hanging(one.hangs)
        else:
            yield _briefly(one.hangs)


def _briefly(hangs: Sequence[Waiting]) -> Para:
    """The names of the checks alone: of thousands of entries nobody reads more."""
    if not hangs:
        return Para(say.NOTHING_DEPENDS)
    names = tuple(dict.fromkeys(one.check for one in hangs))
    unknown = sum(1 for one in hangs if one.now is Verdict.NOT_KNOWN)
    now = say.NOT_KNOWN_NOW.format(answers=count(unknown, "answer")) if unknown else ""
    checks = "; ".join(names[:MOST_NAMED])
    return Para(say.DEPENDS_BRIEF.format(checks=checks, more=_more(names), now=now))


def _hanging(hangs: Sequence[Waiting]) -> Iterator[Block]:
    """What depends on an entry: each check once with its parts, then the kits, vehicles and swaps."""
    if not hangs:
        yield Para(say.NOTHING_DEPENDS)
        return
    lines: dict[tuple[str, str], list[str]] = {}
    for one in hangs:
        said = ""
        if one.now:
            others = ", ".join(one.others[:MOST_NAMED])
            said = say.WITH.format(parts=others, more=_more(one.others), verdict=one.now)
        lines.setdefault((one.check, one.part if one.now else ""), []).append(said)
    unknown = sum(1 for one in hangs if one.now is Verdict.NOT_KNOWN)
    yield Para(say.DEPENDS_UNKNOWN.format(answers=count(unknown, "answer")) if unknown else say.DEPENDS)
    for (check, part), parts in list(lines.items())[:MOST_CHECKS]:
        which = say.CHECK_PART.format(check=check, part=part) if part else check
        yield Para(f"{which} {'; '.join(parts)}".strip(), mark="-")
    if len(lines) > MOST_CHECKS:
        yield Para(say.MORE_IN_JSON.format(number=len(lines) - MOST_CHECKS), mark="-")
    for title, field in ((say.KITS, "kits"), (say.ON_VEHICLES, "vehicles"), (say.IN_PLANS, "swaps")):
        names = tuple(dict.fromkeys(n for one in hangs for n in getattr(one, field)))
        if names:
            yield Para(say.NAMED.format(title=title, names="; ".join(names)), mark="-")


def _more(names: Sequence[str]) -> str:
    return say.AND_MORE_NAMED.format(number=len(names) - MOST_NAMED) if len(names) > MOST_NAMED else ""
