"""What an upgrade of records comes to, as text."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from knockon.queries.intake.upgrade import Renamed, Shorter, UpgradeAnswer
from knockon.queries.ui.blocks import GOOD, STRONG, Block, Para
from knockon.queries.ui.naming import count

NAMED = 6
"""So many of what a ready-made layout adds are named of each sort; the others are counted."""


def upgrade_text(answer: UpgradeAnswer) -> Sequence[Block]:
    """What is done, or would be, and with what it leaves the layouts."""
    if answer.is_up_to_date:
        return [Para("The records are up to date: there is nothing to do.", tone=GOOD)]
    if answer.written:
        first = "The records are brought up to date. Look at them with: knockon check"
    else:
        first = "The records of this folder can be brought up to date. Nothing is written yet: knockon upgrade does it."
    return [Para(first, tone=STRONG), *upgrade_blocks(answer.renamed, answer.layouts)]


def upgrade_blocks(renamed: Sequence[Renamed], layouts: Sequence[Shorter]) -> list[Block]:
    """The positions that get another name, and the layouts that are put together from ready-made ones."""
    blocks: list[Block] = []
    for layout, names in groupby(renamed, key=lambda r: r.layout):
        said = "; ".join(f"{name.was} becomes {name.becomes}" for name in names)
        blocks.append(Para(f"{layout}, positions under the names of the ready-made layouts: {said}.", mark="-"))
    for one in layouts:
        uses = " and ".join(_use(u.uses, u.without) for u in one.uses)
        taken = ", ".join(_rows(number, table) for table, number in one.taken_out.items())
        kept = ", ".join(_rows(number, table) for table, number in one.kept.items()) or "none"
        blocks.append(
            Para(f"{one.layout} is put together from {uses}: {taken} are theirs. Rows that stay: {kept}.", mark="-")
        )
        for kind, rows in groupby(one.adds, key=lambda a: a[0]):
            added = [name for _, name in rows]
            more = f" and {len(added) - NAMED} more" if len(added) > NAMED else ""
            what = kind if kind.startswith("what") else count(len(added), kind)
            text = f"They add {what} that it did not have: {'; '.join(added[:NAMED])}{more}."
            blocks.append(Para(text, mark="-", indent=2))
    return blocks


def _use(name: str, without: Sequence[str]) -> str:
    return f"{name} (without {', '.join(without)})" if without else name


def _rows(number: int, table: str) -> str:
    return f"{number} of {table}.csv"
