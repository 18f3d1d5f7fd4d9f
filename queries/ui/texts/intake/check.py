"""The answer of ``knockon check`` as text."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from knockon.queries.intake.check import CheckAnswer
from knockon.queries.ui.blocks import GOOD, WARN, Block, Heading, Para
from knockon.queries.ui.naming import count, sentence
from knockon.queries.ui.texts.findings import finding_line
from knockon.queries.ui.texts.intake.upgrade import upgrade_blocks


def check_text(answer: CheckAnswer) -> Sequence[Block]:
    """What was read, and every finding under its file."""
    read = ", ".join(f"{number} {name}" for name, number in answer.counts.items())
    blocks: list[Block] = [Para(f"Read: {read}.")]
    if not answer.findings:
        blocks.append(Para("Everything is in order: no finding, nothing set aside.", tone=GOOD))
        return [*blocks, *_lacking(answer)]
    found = count(len(answer.findings), "finding")
    blocks.append(Para(f"{found}; {answer.set_aside} of them set something aside. The rest was loaded.", tone=WARN))
    for file, findings in groupby(answer.findings, key=lambda f: f.file):
        blocks.append(Heading(file))
        blocks += [Para(finding_line(f), mark="-") for f in findings]
    return [*blocks, *_lacking(answer)]


def _lacking(answer: CheckAnswer) -> list[Block]:
    """The usual checks that layouts lack, each with what happens where nobody looks: remarks, no findings."""
    blocks: list[Block] = []
    for one in answer.lacks_checks:
        said = f"{one.layout} lacks these, so nobody looks at them. Add a joint or a stack for each that you need."
        blocks += [Heading("Usual checks not made"), Para(said, tone=WARN)]
        for check in one.checks:
            text = f"{sentence(check.check)} {sentence(check.why)} Between: {', '.join(check.positions)}."
            blocks.append(Para(f"{text} [{check.source}]", mark="-"))
    if answer.lacks_positions:
        blocks.append(Heading("Usual positions that are not there"))
    for lacked in answer.lacks_positions:
        where = f"{lacked.layout}, {lacked.axle} axle," if lacked.axle else lacked.layout
        text = (
            f"{where} is like the ready-made layout {lacked.like}, and has no position for these, so nobody asks for "
        )
        blocks.append(Para(f"{text}them: {', '.join(lacked.positions)}.", mark="-"))
    return [*blocks, *_not_taken(answer), *_upgrade(answer)]


def _upgrade(answer: CheckAnswer) -> list[Block]:
    if answer.upgrade is None:
        return []
    first = "Nothing is wrong with it; knockon upgrade writes it so, knockon upgrade --dry-run shows it."
    blocks = upgrade_blocks(answer.upgrade.renamed, answer.upgrade.layouts)
    return [Heading("What could be said shorter"), Para(first), *blocks]


NAMED = 8
"""So many of the rows that a composition does without are named of each sort; the others are counted."""


def _not_taken(answer: CheckAnswer) -> list[Block]:
    """What ready-made layouts would give, and a layout does without: remarks, since it is as was asked."""
    blocks: list[Block] = []
    for (layout, uses, kind), rows in groupby(answer.not_taken, key=lambda r: (r.layout, r.uses, r.kind)):
        names = list(dict.fromkeys(r.name for r in rows if r.name))
        if kind == "figure term":  # told with the figures that they belong to
            continue
        more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
        text = f"{layout} takes {uses} without {count(len(names), kind)} that would meet what it has not: "
        blocks.append(Para(text + "; ".join(names[:NAMED]) + more + ".", mark="-"))
    return [Heading("Left out of ready-made layouts"), *blocks] if blocks else []
