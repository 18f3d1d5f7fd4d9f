"""Prices that an import brings: the records hold bare numbers, so all of them must be of one currency."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from knockon.graph.mapping.cells_read import Fault, Read
from knockon.graph.quarantine import Kept

_SAYS = "currency: "


def currencies_in(kept: Iterable[Kept]) -> set[str]:
    """The currencies that imported prices stated. Prices without one, and those of the records' own, say nothing."""
    return {c for one in kept if _SAYS in one.flags for c in _stated(one.flags.split("; "))}


def other_currency(read: Mapping[str, Read], stated: set[str]) -> tuple[Fault, ...]:
    """A fault for each price in another currency than those before it; what it states is added to ``stated``.

    Totals add prices and orders take the cheapest: numbers of two currencies would be compared as one.
    """
    faults = []
    for column, cell in read.items():
        for currency in _stated(cell.flags):
            if stated - {currency}:
                others = ", ".join(sorted(stated - {currency}))
                why = f"a price in {currency}, and earlier ones are in {others}. Use one currency"
                faults.append(Fault(column, cell.written, why))
            else:
                stated.add(currency)
    return tuple(faults)


def _stated(flags: Iterable[str]) -> Iterable[str]:
    return (f.removeprefix(_SAYS) for f in flags if f.startswith(_SAYS))
