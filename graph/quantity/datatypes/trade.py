"""Numbers of the trade: pieces with their basis, and prices with their tax and terms."""

from __future__ import annotations

from collections.abc import Iterator

from knockon.graph.quantity.cells.cell import Datatype, Readings
from knockon.graph.quantity.trade import read_money, read_quantity


def _quantity(readings: Readings) -> Iterator[str]:
    number, each, basis = readings[""].low or 0, readings["each"].low, readings["basis"].code
    groups = f"{number / (each or 1):g}"
    s = "" if groups == "1" else "s"
    yield {
        "piece": groups,
        "pair": f"{groups} pair{s}",
        "side": f"{each or 0:g} each side",
        "set": f"{groups} set{s}" + (f" of {each:g}" if each else ""),
        "kit": f"{groups} kit{s}" + (f" of {each:g}" if each else ""),
    }.get(basis or "", "")


QUANTITY = Datatype(
    name="quantity",
    expected="a number of pieces, such as 2, 1 pair or set of 4",
    read=read_quantity,
    write=_quantity,
    parts=dict.fromkeys(("", "basis", "each"), ""),
    sort="trade",
)


def _money(readings: Readings) -> Iterator[str]:
    codes = {part: reading.code or "" for part, reading in readings.items()}
    surcharge = readings["surcharge"].low
    words = [
        "$" if codes["currency"] == "dollar" else codes["currency"],
        f"{readings[''].low:.2f}",
        {"excluded": "ex VAT", "included": "inc VAT"}.get(codes["tax"], ""),
        codes["per"] and f"per {codes['per']}",
        codes["terms"],
        f"+ {surcharge:.2f} surcharge" if surcharge is not None else "",
    ]
    yield " ".join(word for word in words if word)


MONEY = Datatype(
    name="money",
    expected="a price, such as 12.50 each",
    read=read_money,
    write=_money,
    parts=dict.fromkeys(("", "currency", "tax", "per", "terms", "surcharge"), ""),
    sort="trade",
    largest=10**7,
    from_date=None,
)
