"""What an upgrade of records comes to, as text."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import groupby

from knockon.queries.intake.upgrade import Renamed, Shorter, UpgradeAnswer
from knockon.queries.ui.naming import count
from knockon.queries.ui.sentences import intake as say
from knockon.queries.ui.terminal.blocks import GOOD, STRONG, Block, Para

NAMED = 6
"""So many of what a ready-made layout adds are named of each sort; the others are counted."""


def upgrade_text(answer: UpgradeAnswer) -> Sequence[Block]:
    """What is done, or would be, and with what it leaves the layouts."""
    if answer.is_up_to_date:
        return [Para(say.UP_TO_DATE, tone=GOOD)]
    first = say.UPGRADED if answer.written else say.CAN_UPGRADE
    return [Para(first, tone=STRONG), *upgrade_blocks(answer.renamed, answer.layouts)]


def upgrade_blocks(renamed: Sequence[Renamed], layouts: Sequence[Shorter]) -> Iterator[Block]:
    """The positions that get another name, and the layouts that are put together from ready-made ones."""
    for layout, names in groupby(renamed, key=lambda r: r.layout):
        said = "; ".join(say.BECOMES.format(was=name.was, becomes=name.becomes) for name in names)
        yield Para(say.RENAMED.format(layout=layout, names=said), mark="-")
    for one in layouts:
        uses = say.AND.join(_use(u.uses, u.without) for u in one.uses)
        taken = ", ".join(_rows(number, table) for table, number in one.taken_out.items())
        kept = ", ".join(_rows(number, table) for table, number in one.kept.items()) or say.NONE
        yield Para(say.PUT_TOGETHER.format(layout=one.layout, uses=uses, taken=taken, kept=kept), mark="-")
        for kind, rows in groupby(one.adds, key=lambda a: a[0]):
            added = [name for _, name in rows]
            more = say.AND_MORE_NAMED.format(number=len(added) - NAMED) if len(added) > NAMED else ""
            what = kind if kind.startswith("what") else count(len(added), kind)
            text = say.THEY_ADD.format(what=what, names="; ".join(added[:NAMED]), more=more)
            yield Para(text, mark="-", indent=2)


def _use(name: str, without: Sequence[str]) -> str:
    return say.WITHOUT.format(name=name, positions=", ".join(without)) if without else name


def _rows(number: int, table: str) -> str:
    return say.ROWS_OF.format(number=number, table=table)
