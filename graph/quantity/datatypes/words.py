"""Words: codes, hands, part numbers and dates."""

from __future__ import annotations

from knockon.graph.quantity.cells.cell import Cell, Datatype
from knockon.graph.quantity.cells.hands import read_hand
from knockon.graph.quantity.cells.model import Quantity
from knockon.graph.quantity.cells.partnumbers import read_part_number
from knockon.graph.quantity.dates import read_date


def _read_code(cell: Cell) -> dict[str, Quantity]:
    """A word or short text, in lower case with single blanks."""
    return {"": cell.coded(cell.text.casefold())}


CODE = Datatype(
    name="code", expected="a word or a short text", read=_read_code, sort="word", any_text=True, from_date=None
)
HAND = Datatype(name="hand", expected="left, right or either", read=read_hand, sort="word", from_date=None)
PART_NUMBER = Datatype(name="part number", expected="a part number", read=read_part_number, sort="word", from_date=None)
DATE = Datatype(
    name="date",
    expected="a date, such as 2012-11-02, May 2011 or 2014",
    read=read_date,
    sort="word",
    from_date=None,
)
