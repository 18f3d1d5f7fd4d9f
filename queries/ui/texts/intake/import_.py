"""The answers of ``knockon import`` and ``knockon quarantine`` as text."""

from __future__ import annotations

from collections.abc import Sequence

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.quarantine import Entry
from knockon.queries.intake.quarantine import Accepted, QuarantineAnswer
from knockon.queries.intake.sheets.imports import Altered, Changed, ImportAnswer
from knockon.queries.intake.would_read import Waiting
from knockon.queries.ui.blocks import GOOD, WARN, Block, Heading, Para
from knockon.queries.ui.naming import count

MOST_SHOWN = 20
MOST_NAMED = 4
MOST_CHECKS = 8
MOST_IN_FULL = 200
"""Entries of which the text tells with which parts each check is made; of those behind them the checks alone."""
LEFT = "0 = not known (?)"


def import_text(answer: ImportAnswer, dry_run: bool) -> Sequence[Block]:
    """The count of rows, what changed in the tables, and what went to the quarantine."""
    says = f"{answer.file}: {count(answer.rows, 'row')}, {answer.loaded} loaded, {answer.quarantined} in quarantine."
    blocks: list[Block] = [Para(says, tone=WARN if answer.quarantined else GOOD)]
    if dry_run:
        blocks.append(Para("Tried only: nothing was written."))
    blocks += [Para(f"no data, passed over: {count(n, 'row')} ({why})", mark="-") for why, n in answer.passed_over]
    blocks += [Para(r, mark="-") for r in answer.remarks]
    if answer.flagged:
        blocks.append(
            Para(f"{count(answer.flagged, 'row')} needed help to be read: imported.csv says which.", mark="-")
        )
    counts = {"added": answer.added, "altered": answer.altered, "taken out": answer.removed}
    changed = ", ".join(f"{len(rows)} {what}" for what, rows in counts.items())
    changed += f", {answer.unchanged} as they were"
    blocks.append(Heading(f"Rows of the tables: {changed}"))
    blocks += _changes(answer.added, "+") + _altered(answer.altered) + _changes(answer.removed, "-")
    if answer.contradicted:
        blocks.append(
            Heading("Sizes that contradict each other: all are kept (knockon disputes says what hangs on it)")
        )
        said = (f"{c.part}, {c.feature}, {c.dimension}: {' against '.join(c.written)}" for c in answer.contradicted)
        blocks += [Para(line, mark="-") for line in list(said)[:MOST_SHOWN]]
        if len(answer.contradicted) > MOST_SHOWN:
            blocks.append(Para(f"and {len(answer.contradicted) - MOST_SHOWN} more"))
    if answer.entries:
        blocks.append(Heading("In quarantine"))
        blocks += [Para(entry_line(e), mark="-") for e in answer.entries[:MOST_SHOWN]]
        if len(answer.entries) > MOST_SHOWN:
            blocks.append(Para(f"and {len(answer.entries) - MOST_SHOWN} more"))
        blocks.append(Para("knockon quarantine names them, says what hangs on each, and takes a choice with --accept."))
    return blocks


def _changes(changes: Sequence[Changed], mark: str) -> list[Block]:
    shown: list[Block] = [
        Para(f"{c.table}: {', '.join(filter(None, c.cells))}", mark=mark) for c in changes[:MOST_SHOWN]
    ]
    return [*shown, *([Para(f"and {len(changes) - MOST_SHOWN} more")] if len(changes) > MOST_SHOWN else [])]


def _altered(rows: Sequence[Altered]) -> list[Block]:
    """What each row said and says now, without the cells that stay."""
    shown: list[Block] = []
    for row in rows[:MOST_SHOWN]:
        stays = [a for b, a in zip(row.before, row.after, strict=True) if a == b and a]
        cells = [f"{b or 'nothing'} -> {a or 'nothing'}" for b, a in zip(row.before, row.after, strict=True) if a != b]
        shown.append(Para(f"{row.table}: {', '.join(stays)}: {'; '.join(cells)}", mark="~"))
    return [*shown, *([Para(f"and {len(rows) - MOST_SHOWN} more")] if len(rows) > MOST_SHOWN else [])]


def entry_line(entry: Entry, further: str = "") -> str:
    """Where a cell stands, what is written, why it was not read, what may be meant, and a further choice."""
    where = f"{entry.file}{f', sheet {entry.sheet}' if entry.sheet else ''}, row {entry.row}"
    where += f", {entry.column}" if entry.column else ""
    offers = [f"{n} = {text}" for n, text in enumerate(entry.suggestions, 1)]
    said = f". Perhaps {'; '.join(offers)}" if offers else ""
    return f"{where}: {entry.written!r}: {entry.why}{said}" + (
        f"{'; or' if offers else '. Or'} {further}" if further else ""
    )


def accepted_lines(accepted: Sequence[Accepted]) -> list[str]:
    """What came of each choice, a line each."""
    lines = []
    for done in accepted:
        ended = "loaded" if done.loaded else "still in quarantine: " + "; ".join(done.left)
        lines.append(f"row {done.row}, {done.column}: {done.written!r} taken as {done.chosen!r}; {ended}")
    return lines


def quarantine_text(answer: QuarantineAnswer) -> Sequence[Block]:
    """What was accepted, then every entry with its name and what hangs on it."""
    blocks: list[Block] = [Para(line) for line in accepted_lines(answer.accepted)]
    if answer.not_read:
        blocks.append(Para("The records could not be read again, so what hangs on the rest is not shown.", tone=WARN))
        blocks += [Para(entry_line(one.entry), mark=one.name) for one in answer.entries]
        return blocks
    if not answer.entries:
        return [*blocks, Para("The quarantine is empty.", tone=GOOD)]
    blocks.append(Para(f"{count(answer.rows, 'row')} in quarantine.", tone=WARN))
    told: dict[tuple[Waiting, ...], str] = {}
    rows: set[tuple[str, str, int, str]] = set()
    for number, one in enumerate(answer.entries, 1):
        blocks.append(
            Para(
                entry_line(one.entry, LEFT * (one.may_be_unknown and "?" not in one.entry.suggestions)),
                mark=one.name,
            )
        )
        if one.rest and one.entry.place not in rows:
            blocks.append(
                Para(f"The rest of its row waits too: {', '.join(f'{c.column} {c.written}' for c in one.rest)}.")
            )
        rows.add(one.entry.place)
        first = told.setdefault(one.hangs, one.name) if one.hangs else one.name
        same = Para(f"What hangs on it: the same as on {first}.")
        full = _hanging(one.hangs) if number <= MOST_IN_FULL else [_briefly(one.hangs)]
        blocks += full if first == one.name else [same]
    blocks.append(Para("--accept ENTRY=CHOICE takes a suggestion; a row is loaded when each of its cells can be read."))
    if any(one.may_be_unknown for one in answer.entries):
        blocks.append(
            Para("ENTRY=0 takes the row without that size, which is recorded as not known: no claim stands in.")
        )
    judged = any(w.now is not None for one in answer.entries for w in one.hangs)
    return [*blocks, *(Para(c, tone=WARN) for c in (answer.cautions if judged else ()))]


def _briefly(hangs: Sequence[Waiting]) -> Para:
    """The names of the checks alone: of thousands of entries nobody reads more."""
    names = tuple(dict.fromkeys(one.check for one in hangs))
    unknown = sum(1 for one in hangs if one.now is Verdict.NOT_KNOWN)
    now = f"; {unknown} of these answers not known now" if unknown else ""
    said = f"{'; '.join(names[:MOST_NAMED])}{_more(names)}{now} (--json says with what)" if hangs else "nothing"
    return Para(f"What hangs on it: {said}.")


def _hanging(hangs: Sequence[Waiting]) -> list[Block]:
    """What hangs on an entry: each check once with its parts, then the kits, vehicles and swaps."""
    if not hangs:
        return [Para("No answer hangs on it.")]
    lines: dict[tuple[str, str], list[str]] = {}
    for one in hangs:
        said = f"with {', '.join(one.others[:MOST_NAMED])}{_more(one.others)} (now {one.now})" if one.now else ""
        lines.setdefault((one.check, one.part if one.now else ""), []).append(said)
    unknown = sum(1 for one in hangs if one.now is Verdict.NOT_KNOWN)
    blocks: list[Block] = [
        Para(f"What hangs on it{f' ({unknown} of these answers not known now)' if unknown else ''}:")
    ]
    for (check, part), parts in list(lines.items())[:MOST_CHECKS]:
        which = f"{check}: {part}" if part else check
        blocks.append(Para(f"{which} {'; '.join(parts)}".strip(), mark="-"))
    if len(lines) > MOST_CHECKS:
        blocks.append(Para(f"and {len(lines) - MOST_CHECKS} more (--json has them all)", mark="-"))
    for title, field in (("Kits", "kits"), ("On vehicles", "vehicles"), ("In the plans of", "swaps")):
        names = tuple(dict.fromkeys(n for one in hangs for n in getattr(one, field)))
        if names:
            blocks.append(Para(f"{title}: {'; '.join(names)}.", mark="-"))
    return blocks


def _more(names: Sequence[str]) -> str:
    return f" and {len(names) - MOST_NAMED} more" if len(names) > MOST_NAMED else ""
