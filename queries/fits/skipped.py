"""What was set aside while the records were read, and would have been a check in an answer: it is told there.

A joint that cannot be read is a check that nobody makes. Unknown is never "fits", so the answer says which row it was.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.mechanism import Layout
from knockon.graph.model.things import SetAside


def touching(
    catalogue: Catalogue,
    layouts: Iterable[Layout],
    positions: Collection[str],
    part_types: Collection[str] = (),
    vehicle: str = "",
) -> tuple[SetAside, ...]:
    """The rows that may speak of one of these positions: those that name one, and those that can be read of none.

    A position that is not in the layout touches whatever is asked of it; where ``part_types`` are given, only parts
    that may stand there. A fitting touches what is asked of its ``vehicle`` and of those that are like it, wherever it
    stands; so does one whose vehicle cannot be read.
    """
    known = {layout.layout: {p.position for p in layout.positions} for layout in layouts}
    like = _like(catalogue, vehicle)
    return tuple(
        r
        for r in catalogue.set_aside
        if (r.kind != "fitting" and _touches(catalogue, r, known, positions, part_types))
        or (r.kind == "fitting" and vehicle and (r.name in like or r.name not in catalogue.vehicles))
    )


def _like(catalogue: Catalogue, vehicle: str) -> set[str]:
    """A vehicle and those that it is like."""
    found: set[str] = set()
    while vehicle in catalogue.vehicles and vehicle not in found:
        found.add(vehicle)
        vehicle = catalogue.vehicles[vehicle].like
    return found


def is_of_set(row: SetAside, numbers: Collection[str]) -> bool:
    """Whether a row should have said what one of these sets holds."""
    return row.kind == "set member" and row.name in numbers


def _touches(
    catalogue: Catalogue,
    row: SetAside,
    known: dict[str, set[str]],
    positions: Collection[str],
    part_types: Collection[str],
) -> bool:
    if row.layout in catalogue.layouts and row.layout not in known:
        return False
    if row.kind == "position":
        vocabulary, wanted = catalogue.vocabulary, row.part_type
        readable = bool(part_types) and wanted in vocabulary.part_types
        return not readable or any(vocabulary.is_a(t, wanted) for t in part_types)
    named = _named(row, known)
    return bool(named & set(positions)) if named else bool(positions)


def _named(row: SetAside, known: dict[str, set[str]]) -> set[str]:
    """The positions of a row that are in a layout."""
    return {p for p in row.positions if any(p in names for names in known.values())}


def between(row: SetAside, layouts: Iterable[Layout], positions: Collection[str]) -> bool:
    """Whether the check of a row may stand between things in these positions: all that it names, as far as it can be
    read, are among them."""
    named = _named(row, {layout.layout: {p.position for p in layout.positions} for layout in layouts})
    return row.kind in ("joint", "figure") and bool(named) and named <= set(positions)


def told(rows: Iterable[SetAside]) -> tuple[str, ...]:
    """The rows in words, as cautions."""
    return tuple(_told(row) for row in rows)


def _told(row: SetAside) -> str:
    where = f"{row.file}: {row.problem}"  # a whole table
    if row.row != 1:
        at_row = f"{row.file}, row {row.row}," if row.row else f"A row of {row.file}"  # RDF has no rows to count
        where = f"{at_row} was skipped ({row.problem})"
    at = " and ".join(row.positions)
    if not row.name:
        what = "Its content is not known"
    elif row.kind in ("fitting", "set member"):
        place = " ".join(x for x in (row.side, at) if x) or "one of its places"
        what = f'The {"thing" if row.kind == "fitting" else "member"} in {place} of "{row.name}" is not known'
    elif row.kind == "position":
        what = f'The position "{row.name}" is not in the layout, and nothing in it is checked'
    else:
        stands = f" {'between' if row.kind == 'joint' else 'of'} {at}" if at else ""
        what = f'The {row.kind} "{row.name}"{stands} is not checked, and its result is not known'
    return f"{where}. {what}. See knockon check."
