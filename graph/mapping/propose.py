"""A proposal of which columns are which, by likeness of names. It is shown, and never applied unasked."""

from __future__ import annotations

from dataclasses import dataclass

from rapidfuzz import fuzz

from knockon.graph.mapping.model import ColumnMap, Mapping, Target
from knockon.graph.sheets import Head

ENOUGH = 70.0
"""Likeness, 0 to 100, from which a column is proposed."""
OTHER_WORDS = {
    "part": ("part no", "part number", "number", "p/n", "pn", "part no.", "our number"),
    "name": ("description", "title", "what"),
    "hand": ("side", "l/r", "left/right", "n/s o/s"),
    "outside diameter": ("od", "o.d.", "outer diameter"),
    "inside diameter": ("id", "i.d.", "inner diameter"),
    "diameter": ("dia", "dia.", "bore", "od"),
    "bore": ("id", "i.d.", "bore dia"),
    "major diameter": ("major", "od"),
    "teeth": ("splines", "spline count", "no of teeth", "spl"),
    "thread": ("thd", "threads"),
    "quantity": ("qty", "no off", "number off"),
    "price": ("cost", "each"),
    "supplier": ("seller", "from", "shop"),
    "source": ("from whom", "who", "measured by"),
    "length": ("long", "len"),
    "assembled width": ("width",),
    "thickness": ("thick", "thk"),
}
"""Words that people write for a record column: the trade's usual abbreviations."""


@dataclass(frozen=True, slots=True)
class Proposal:
    """A mapping to confirm, with how alike each column is (0 to 100), and what it lacks of the required columns."""

    mapping: Mapping
    likeness: tuple[float, ...]
    lacking: tuple[str, ...]


def _likeness(title: str, name: str) -> float:
    said = " ".join(title.casefold().replace("_", " ").split())
    if not said:
        return 0.0
    return max(fuzz.ratio(said, word) - (0 if word == name else 1) for word in (name, *OTHER_WORDS.get(name, ())))


def propose(sheet: str, head: Head, target: Target, fixed: tuple[tuple[str, str], ...] = ()) -> Proposal:
    """The best one-to-one matching, greedy by likeness; columns that resemble nothing are passed over."""
    given = {name for name, _ in fixed}
    pairs = sorted(
        (
            (-_likeness(title, column.name), place, order, column.name)
            for place, title in enumerate(head.titles)
            for order, column in enumerate(target.columns)
            if column.name not in given
        ),
    )
    chosen: dict[int, tuple[str, float]] = {}
    for negative, place, _, name in pairs:
        if -negative >= ENOUGH and place not in chosen and name not in {n for n, _ in chosen.values()}:
            chosen[place] = (name, -negative)
    columns = tuple(
        ColumnMap(title, chosen.get(place, ("", 0.0))[0], unit)
        for place, (title, unit) in enumerate(zip(head.titles, head.units, strict=True))
    )
    filled = given | {c.name for c in columns}
    return Proposal(
        mapping=Mapping(sheet, target.table, columns, tuple(sorted(fixed))),
        likeness=tuple(chosen.get(place, ("", 0.0))[1] for place in range(len(columns))),
        lacking=tuple(n for n in target.required if n not in filled),
    )


def best_target(sheet: str, head: Head, known: dict[str, Target], fixed: tuple[tuple[str, str], ...]) -> Proposal:
    """The proposal that leads to the table whose columns are most alike; nothing lacking comes first."""
    found = [propose(sheet, head, t, fixed) for t in known.values()]
    return max(found, key=lambda p: (sum(1 for x in p.likeness if x), -len(p.lacking), sum(p.likeness)))
