"""The parts that go into the short records: what may stand in a plan, and what the records name beside it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

import msgspec

from knockon.graph.model.catalogue import Catalogue
from knockon.queries.fits.checking.claims import SAME_AS
from knockon.queries.shortlist.asked import Swap
from knockon.queries.shortlist.engines import Columns
from knockon.queries.shortlist.equals import stood_for
from knockon.queries.shortlist.outward import Left


class Kept(msgspec.Struct, frozen=True):
    """The numbers of the parts that are kept, sorted; ``stood_for``: parts that equal one of them, with that one."""

    numbers: tuple[str, ...]
    stood_for: tuple[tuple[str, str], ...]


def kept_parts(columns: Columns, swap: Swap, left: Left, with_equals: bool = False) -> Kept:
    """The parts that are kept; ``with_equals``: those too that another one stands for.

    These are the parts that are left; all of positions that were not narrowed, since what nobody recorded there is
    weighed against each of them; one accepted part of each position, since without any a part yet to be found would
    stand there; consumables; what vehicles, items, kits and notes name; and what those share sizes, hand or identity
    with.
    """
    alive = left.alive.select("part").distinct()
    whole = left.candidates.filter(left.candidates.position.isin(sorted(left.unknown))).select("part").distinct()
    types = _consumable_types(swap)
    parts = columns.parts
    more = parts.filter(parts.part_type.isin(sorted(types))).select("part")
    named = {*named_in(swap.catalogue), *swap.asked_for, *swap.request.avoid} - {""}
    every = alive.union(whole, more).distinct()
    equal: dict[str, str] = {}
    if not with_equals:
        dropped = columns.settled(stood_for(columns, every, sorted(named), swap.request.avoid))
        told = dropped.order_by("part").to_pyarrow()
        equal = dict(zip(told["part"].to_pylist(), told["by"].to_pylist(), strict=True))
        every = every.anti_join(dropped, "part")
    found = {*_column(every), *(equal.get(n, n) for n in left.witnesses.values()), *named}
    numbers = _with_kin(columns, found)
    chosen = set(numbers)
    return Kept(numbers, tuple((n, by) for n, by in equal.items() if n not in chosen))


def _consumable_types(swap: Swap) -> set[str]:
    vocabulary = swap.catalogue.vocabulary
    wanted = {c.part_type for c in swap.places.layout.consumables}
    return {t for t in vocabulary.part_types for w in wanted if vocabulary.is_a(t, w)} | wanted


def named_in(catalogue: Catalogue) -> Iterable[str]:
    """The numbers that vehicles, items, kits and notes name."""
    for vehicle in catalogue.vehicles.values():
        yield from (f.part for f in vehicle.fittings)
    yield from (i.part for i in catalogue.items.values())
    for kit in catalogue.kits.values():
        yield from (line.part for line in kit.lines)
    for note in catalogue.notes.values():
        yield from note.parts


def _with_kin(columns: Columns, numbers: set[str]) -> tuple[str, ...]:
    """With the parts that these mirror, are drawn as or are said to be the same as, and their sets' members."""
    found = {n for n in numbers if n}
    new = found
    while new:
        asked = columns.table(part=sorted(new))
        kin: set[str] = set()
        for name, table in _links(columns).items():
            kin |= {n for n in _column(table.semi_join(asked, "part"), name) if n}
        new = kin - found
        found |= new
    known = columns.parts.semi_join(columns.table(part=sorted(found)), "part").select("part")
    return tuple(sorted({*_column(known)}))


def _links(columns: Columns) -> Mapping[str, Any]:
    """By the column that names the other: tables from a part to another that must be there too."""
    parts, claims = columns.parts, columns.claims
    members = columns.things.filter(columns.things["is"] == "member")
    same = claims.filter((claims.claim == SAME_AS) & (claims.other_part != "")).select("part", "other_part")
    back = same.select(part="other_part", other_part="part")
    return {
        "mirror_of": parts.filter(parts.mirror_of != "").select("part", "mirror_of"),
        "drawn_as": parts.filter(parts.drawn_as != "").select("part", "drawn_as"),
        "shared_with": members.filter(members.drawn_as != "").select("part", shared_with="drawn_as"),
        "other_part": same.union(back),
    }


def _column(table: Any, name: str = "part") -> list[str]:
    found: list[str] = table.select(name).distinct().to_pyarrow()[name].to_pylist()
    return found
