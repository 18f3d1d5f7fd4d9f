"""What hangs on a row in quarantine: the checks that would read it, with which parts, and the kits, vehicles and swaps
that use them."""

from __future__ import annotations

import json
from collections import defaultdict
from collections.abc import Iterable, Sequence

import msgspec

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.mapping.statements import record_table
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.layout import Places
from knockon.graph.quarantine import Entry
from knockon.queries.club.contradictions import SizeConflict
from knockon.queries.club.what_reads import (
    Holding,
    MayStand,
    figures_of_swap,
    figures_reading,
    joints_of_swap,
    joints_reading,
)
from knockon.queries.fits.checking.checks import Checks
from knockon.queries.plan.asked_swaps import AskedSwap

_SUBJECTS = {
    "parts": ("part", "every answer about {}"),
    "offers": ("part", "the price of {}"),
    "kit_lines": ("kit", "what kit {} holds"),
    "kits": ("kit", "kit {}"),
    "fittings": ("vehicle", "every answer about {}"),
    "vehicles": ("vehicle", "every answer about {}"),
    "items": ("item", "every answer about {}"),
    "claims": ("part", "joints of {} without recorded sizes"),
}
"""By record table: the column that names what a row is about, and what then hangs on it."""


class Waiting(msgspec.Struct, frozen=True):
    """A check that would read a row in quarantine, or (``now`` None) something else that the row decides.

    ``part``: the part whose size is meant. ``others``: the parts on the other side, or the vehicles of a figure, with
    which its verdict is ``now``. ``kits`` hold the part, and one of the others where these are parts. ``vehicles``
    have the part. ``swaps``: those whose best plan has this check with this part.
    """

    check: str
    part: str
    others: tuple[str, ...] = ()
    now: Verdict | None = None
    kits: tuple[str, ...] = ()
    vehicles: tuple[str, ...] = ()
    swaps: tuple[str, ...] = ()


class Hangs:
    """Finds what hangs on entries: what parts, places, kits, vehicles and swaps have to do with each other is looked up
    once, and so is each size of each part."""

    def __init__(self, catalogue: Catalogue, swaps: Sequence[AskedSwap]) -> None:
        self._catalogue = catalogue
        self._swaps = [(s, [Checks(catalogue, s.problem.places)], {c.thing for c in s.chosen.values()}) for s in swaps]
        self._standing = [MayStand(Checks(catalogue, Places(layout))) for layout in catalogue.layouts.values()]
        self._kits = Holding(catalogue)
        self._found: dict[tuple[object, ...], tuple[Waiting, ...]] = {}
        self._alike: dict[str, list[str]] = defaultdict(list)
        self._drawn: dict[str, list[str]] = defaultdict(list)
        for number, part in catalogue.parts.items():
            self._alike[_key(number)].append(number)
            self._drawn[part.drawn_as].append(number)
        for number, members in catalogue.set_members.items():
            for member in members:
                self._drawn[member.as_part].append(f"{number}/{member.position}")
        self._having: dict[str, set[str]] = defaultdict(set)
        for vehicle in catalogue.vehicles.values():
            for fitting in vehicle.fittings:
                self._having[fitting.part].add(vehicle.vehicle)
                self._having[fitting.item].add(vehicle.vehicle)

    def on(self, entry: Entry) -> tuple[Waiting, ...]:
        """What hangs on one entry. Where its part is in doubt too, that of every part that it may be."""
        cells = {str(k): str(v) for k, v in json.loads(entry.cells).items()}
        if not entry.table.startswith("features/"):
            return self._of_table(entry, cells)
        parts = entry.suggestions if entry.column == "part" else (cells.get("part", ""),)
        if not any(self._is_known(p) for p in parts) and self._catalogue.parts:
            parts = tuple(self._alike.get(_key(cells.get("part", "")), ()))
        dimensions = tuple(sorted(self._dimensions(entry, cells)))
        key = (parts, cells.get("feature", ""), dimensions)
        if key not in self._found:
            self._found[key] = tuple(self._checks(*key))
        return self._found[key]

    def _is_known(self, part: str) -> bool:
        return part in self._catalogue.parts or part in self._catalogue.items or "/" in part

    def _dimensions(self, entry: Entry, cells: dict[str, str]) -> Iterable[str]:
        """The dimension whose cell is in doubt; all of the row where its part, feature or source is."""
        if entry.column not in ("part", "feature", "source"):
            return (entry.column,)
        return (n for n in cells if n not in ("part", "feature", "source"))

    def _of_table(self, entry: Entry, cells: dict[str, str]) -> tuple[Waiting, ...]:
        column, says = _SUBJECTS.get(record_table(entry.table), ("", ""))
        offered = entry.suggestions if entry.column == column else ()
        about = " or ".join(offered) or cells.get(column, "")
        if not about:
            return (Waiting(f"all that asks for this row of {entry.table}", ""),)
        names = offered or (about,)
        if column != "part":
            return (Waiting(says.format(about), ""),)
        key = (says, names)
        if key not in self._found:
            swaps = (s.said for s, _, _ in self._swaps if any(c.number in names for c in s.chosen.values()))
            kits, vehicles = self._kits.any_of(names), self._vehicles(names)
            self._found[key] = (
                Waiting(says.format(about), about, kits=kits, vehicles=vehicles, swaps=tuple(dict.fromkeys(swaps))),
            )
        return self._found[key]

    def _checks(self, parts: tuple[str, ...], feature: str, dimensions: tuple[str, ...]) -> Iterable[Waiting]:
        things = tuple(dict.fromkeys(t for p in parts for t in self._things(p)))
        found: dict[tuple[str, str, Verdict], dict[str, None]] = defaultdict(dict)
        swaps: dict[tuple[str, str], dict[str, None]] = defaultdict(dict)
        for dimension in dimensions:
            conflict = SizeConflict(things, feature, dimension, ())
            for standing in self._standing:
                for reading in (joints_reading, figures_reading):
                    for check, part, other, verdicts in reading(standing, [standing.checks], conflict):
                        found[check, part, verdicts[0]][other] = None
            for swap, table, chosen in self._swaps:
                if chosen.isdisjoint(things):
                    continue
                for of_swap in (joints_of_swap, figures_of_swap):
                    for check, part, _ in of_swap(swap, table, conflict):
                        swaps[check, part][swap.said] = None
        for (check, part, now), others in sorted(found.items(), key=lambda at: (at[0][0], at[0][1], at[0][2].name)):
            yield Waiting(
                check=check,
                part=part,
                others=tuple(others),
                now=now,
                kits=self._kits.both(part, tuple(others)),
                vehicles=self._vehicles((part,)),
                swaps=tuple(swaps[check, part]),
            )

    def _things(self, part: str) -> Iterable[str]:
        """A part, what is drawn as it, and the members of a set that are it."""
        yield part
        if part:
            yield from self._drawn.get(part, ())

    def _vehicles(self, parts: Sequence[str]) -> tuple[str, ...]:
        return tuple(sorted({v for p in parts for v in self._having.get(p, ())}))


def _key(text: str) -> str:
    return "".join(c for c in text.casefold() if c.isalnum())
