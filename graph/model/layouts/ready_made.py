"""Ready-made layouts, and the layouts that are put together from them: ``layout_uses.csv`` names which, and where.

Each use is written out as rows of the layout that uses it, before anything is judged, so that the rest of the program
sees one flat layout. Names are prefixed only where ``as`` is filled. A row of one's own with the same key stands
instead of the ready-made one.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping, Sequence
from functools import cache
from pathlib import Path

import msgspec

from knockon.graph.files.shipped import shipped
from knockon.graph.formulas import formula
from knockon.graph.model.layouts.mechanism import Layout, LayoutUse

USES = "layout_uses"
FOLDER = "ready-made"
"""How findings name the files of ready-made layouts: ``ready-made/driven-front-corner/joints.csv``."""
KEYS = {
    "layouts": ("layout",),
    "arrangements": ("layout", "arrangement"),
    "positions": ("layout", "position"),
    "joints": ("layout", "joint"),
    "figures": ("layout", "figure"),
    "figure_terms": ("layout", "figure", "order"),
    "consumables": ("layout", "part type", "with position"),
    "in_the_way": ("layout", "position", "in the way of", "arrangement"),
    "layout_words": ("layout", "word"),
    "how_to_measure": ("layout", "position", "feature", "dimension"),
    "steps": ("layout", "step"),
    "tightening": ("layout", "position", "part"),
    "wear_limits": ("layout", "position", "part", "feature", "dimension"),
}
"""The tables of a layout, each with the columns of its key."""
NAMED = {"arrangements": ("arrangement", "choice"), "joints": ("joint",), "figures": ("figure",)}
NAMED |= {"positions": ("position", "group"), "figure_terms": ("figure",), "steps": ("step",)}
"""Columns that hold names of a layout's own."""
NAMING = {"positions": ("with position", "carried by"), "joints": ("position", "other position", "owns")}
NAMING |= {"figure_terms": ("position",), "consumables": ("with position",)}
NAMING |= {
    "how_to_measure": ("position",),
    "in_the_way": ("position", "in the way of"),
    "steps": ("position", "tightens"),
}
NAMING |= {"tightening": ("position",), "wear_limits": ("position",)}
"""Columns that name positions, of the same use or of another."""
MANY = {("joints", "owns"), ("steps", "position"), ("steps", "tightens")}
"""Those that may name several: those that are not there are left out. A step that is left with none is left out too."""
BETWEEN = 1000
"""How far apart in the layout's order the positions of uses with a prefix stand."""
Cells = dict[str, str]


class NotTaken(msgspec.Struct, frozen=True, order=True):
    """A row of a ready-made layout that a composition does without: it names positions that are not there."""

    layout: str
    uses: str
    kind: str
    name: str
    lacking: tuple[str, ...]


class ReadyMade(msgspec.Struct, frozen=True):
    """One ready-made layout: its name, its axle (blank: the vehicle), and the rows of its tables with their numbers."""

    name: str
    axle: str
    folder: str
    tables: Mapping[str, tuple[tuple[int, Cells], ...]]

    @property
    def positions(self) -> list[str]:
        """The names of its positions."""
        return [cells["position"] for _, cells in self.tables.get("positions", ())]


@cache
def ready_made() -> Mapping[str, ReadyMade]:
    """The ready-made layouts by name."""
    found = {}
    for folder in sorted(shipped("graph", "layouts").iterdir()):
        if folder.is_dir() and folder.joinpath("layouts.csv").is_file():
            tables = {name: _rows(folder.joinpath(f"{name}.csv")) for name in KEYS}
            (_, about), *_more = tables["layouts"]
            found[about["layout"]] = ReadyMade(about["layout"], about.get("axle", ""), folder.name, tables)
    return found


def _rows(file: Path) -> tuple[tuple[int, Cells], ...]:
    if not file.is_file():
        return ()
    rows = csv.DictReader(file.read_text(encoding="utf-8").splitlines())
    return tuple((number, dict(cells)) for number, cells in enumerate(rows, 2))


class Composition(msgspec.Struct):
    """What a layout of one's own is put together from. ``own``: its own rows' keys by table; ``positions``: its own."""

    layout: str
    uses: list[LayoutUse] = msgspec.field(default_factory=list)
    own: dict[str, set[tuple[str, ...]]] = msgspec.field(default_factory=dict)
    positions: set[str] = msgspec.field(default_factory=set)

    def rows(self, not_taken: list[NotTaken]) -> Iterator[tuple[str, str, int, Cells]]:
        """(file, table, row number, cells) of all rows that its uses give it."""
        if ("layouts", (self.layout,)) not in self._replaced():
            title = ", ".join(u.uses if u.as_ in u.uses.split() else f"{u.as_} {u.uses}".strip() for u in self.uses)
            yield (
                f"{USES}.csv",
                "layouts",
                2,
                {"layout": self.layout, "title": title},
            )  # a row of its own, which is handed out
        parts = [_Part(use, ready_made()[use.uses], i) for i, use in enumerate(self.uses)]
        there = self.positions | {name for part in parts for name in part.names.values()}
        by_axle = {f"{p.layout.axle} {old}": new for p in parts if p.layout.axle for old, new in p.names.items()}
        while True:  # a position that hangs on one that is not there is not there either
            found = [(part, row) for part in parts for row in part.rows(self.layout, there, by_axle)]
            lost = {row.cells["position"] for _, row in found if row.table == "positions" and row.lacking}
            if not lost & there - self.positions:
                break
            there -= lost - self.positions
        replaced = self._replaced()
        gone = set(self._figures_gone([row for _, row in found]))
        with_needs(parts, found)
        for part, row in found:
            name = row.cells.get(KEYS[row.table][1], "") if row.table in NAMED else ""
            if (row.table, row.key) in replaced:
                continue
            if row.lacking or (row.table == "figures" and name in gone):
                kind = row.table.replace("_", " ").removesuffix("s")
                not_taken.append(NotTaken(self.layout, part.use.uses, kind, name, row.lacking))
            elif not (row.table == "figure_terms" and name in gone):
                yield part.file(row.table), row.table, row.number, row.cells

    def _figures_gone(self, rows: Sequence[_Taken]) -> Iterator[str]:
        """The figures that are left without a term, or without one that their formula cannot do without."""
        own = {key[1] for table in ("figures", "figure_terms") for key in self.own.get(table, ())}
        left: dict[str, list[Cells]] = {r.cells["figure"]: [] for r in rows if r.table == "figures"}
        for row in rows:
            if row.table == "figure_terms" and not row.lacking and row.cells["figure"] in left:
                left[row.cells["figure"]].append(row.cells)
        for row in rows:
            name = row.cells.get("figure", "")
            if row.table == "figures" and name not in own:
                known = formula(row.cells["formula"]) if row.cells.get("formula") else None
                needed = known.arguments[: known.required] if known else ()
                if not left[name] or not {t["role"] for t in left[name]} >= set(needed):
                    yield name

    def _replaced(self) -> set[tuple[str, tuple[str, ...]]]:
        return {(table, key) for table, keys in self.own.items() for key in keys}


def with_needs(parts: Sequence[_Part], found: Sequence[tuple[_Part, _Taken]]) -> None:
    """Let each step need steps that are there: in place of one that is left out, what that one needs; and in place of
    one of another ready-made layout, that step of each of its uses. A joint that is not there is not named."""
    steps = {row.cells["step"]: row for _, row in found if row.table == "steps"}
    joints = {row.cells["joint"] for _, row in found if row.table == "joints" and not row.lacking}
    by_plain: dict[str, list[str]] = {}
    for part in parts:
        for _, cells in part.layout.tables["steps"]:
            by_plain.setdefault(cells["step"], []).append(part.prefixed(cells["step"]))

    def there(name: str, seen: tuple[str, ...]) -> Iterator[str]:
        for one in [name] if name in steps or name not in by_plain else by_plain[name]:
            if one in seen or one not in steps:
                continue
            if not steps[one].lacking:
                yield one
            else:
                for before in needs_of(steps[one]):
                    yield from there(before, (*seen, one))

    for row in steps.values():
        row.cells["joint"] = row.cells["joint"] if row.cells["joint"] in joints else ""
        row.cells["needs"] = ";".join(dict.fromkeys(n for b in needs_of(row) for n in there(b, ())))


def needs_of(row: _Taken) -> list[str]:
    """The steps that a step needs, as written."""
    return [n.strip() for n in row.cells["needs"].split(";") if n.strip()]


class _Taken(msgspec.Struct, frozen=True):
    """A row as a composition would have it; ``lacking``: positions that it names and that are not there."""

    table: str
    number: int
    cells: Cells
    lacking: tuple[str, ...]

    @property
    def key(self) -> tuple[str, ...]:
        return tuple(self.cells.get(c, "") for c in KEYS[self.table])


class _Part(msgspec.Struct, frozen=True):
    """One use of a ready-made layout in a composition."""

    use: LayoutUse
    layout: ReadyMade
    index: int

    def prefixed(self, name: str) -> str:
        """A name of the layout's own, as it is called here."""
        is_plain = self.use.as_ and name and not name.startswith(f"{self.use.as_} ")
        return f"{self.use.as_} {name}" if is_plain else name

    @property
    def dropped(self) -> set[str]:
        """What it is used without, under the layout's own names."""
        rows = (r for table in ("positions", "arrangements") for _, r in self.layout.tables[table])
        names = {c.get("position") or c["arrangement"] for c in rows}
        return {name for name in names if {name, self.prefixed(name)} & set(self.use.without)}

    @property
    def positions_dropped(self) -> set[str]:
        """The positions that it is used without, as they would be called here."""
        names = self.names
        return {self.prefixed(name) for name in self.layout.positions if name not in names}

    @property
    def names(self) -> dict[str, str]:
        """Its positions that are there, by their names in the ready-made layout."""
        rows, dropped = self.layout.tables["positions"], self.dropped
        there = (c for _, c in rows if not {c["position"], c.get("arrangement", "")} & dropped)
        return {c["position"]: self.prefixed(c["position"]) for c in there}

    def file(self, table: str) -> str:
        return f"{FOLDER}/{self.layout.folder}/{table}.csv"

    def rows(self, layout: str, there: set[str], by_axle: Mapping[str, str]) -> Iterator[_Taken]:
        names, dropped = self.names, self.dropped
        gone = {f["figure"] for _, f in self.layout.tables["figures"] if f.get("arrangement") in dropped - {""}}
        for table in KEYS:
            for number, old in self.layout.tables[table] if table != "layouts" else ():
                own = {old.get("arrangement", ""), old["position"] if table == "positions" else ""} - {""}
                if own & dropped or (table == "figure_terms" and old["figure"] in gone):
                    continue
                cells = {**old, "layout": layout}
                for column in NAMED.get(table, ()):
                    cells[column] = self.prefixed(old.get(column, ""))
                if table != "arrangements" and old.get("arrangement"):
                    cells["arrangement"] = self.prefixed(old["arrangement"])
                lacking: list[str] = []
                for column in NAMING.get(table, ()):
                    cells[column] = self._named(
                        old.get(column, ""), names, there, by_axle, (table, column) in MANY, lacking
                    )
                if table == "steps":
                    lacking += self._lacking_of_step(old, cells)
                if table == "in_the_way":
                    left = (n.strip() for n in old.get("leaves", "").split(";"))
                    cells["leaves"] = ";".join(self.prefixed(n) for n in left if n)
                if table == "positions" and self.use.as_:
                    cells["axle"] = self.use.as_
                    also = (n.strip() for n in old.get("also called", "").split(";"))
                    cells["also called"] = ";".join(self.prefixed(n) for n in also if n)
                    cells["order"] = str(int(old["order"]) + BETWEEN * self.index)
                yield _Taken(table, number, cells, tuple(lacking))

    def _lacking_of_step(self, old: Cells, cells: Cells) -> list[str]:
        """What a step cannot do without: a position of those it is about, and its joint. Its joint, its needs and the
        figures of its reading are named as they are called here."""
        cells["joint"] = self.prefixed(old.get("joint", ""))
        figures = {row["figure"] for _, row in self.layout.tables["figures"]}
        for column in ("reading", "if changed"):
            if old.get(column, "") in figures:
                cells[column] = self.prefixed(old[column])
        own = {row["step"] for _, row in self.layout.tables["steps"]}
        needs = (n.strip() for n in old.get("needs", "").split(";"))
        cells["needs"] = ";".join(self.prefixed(n) if n in own else n for n in needs if n)
        about = [n.strip() for n in old.get("position", "").split(";") if n.strip()]
        return [self.prefixed(n) for n in about] if about and not cells["position"] else []

    def _named(
        self, written: str, names: Mapping[str, str], there: set[str], by_axle: Mapping[str, str], many: bool,
        lacking: list[str],
    ) -> str:  # fmt: skip
        """The positions that a cell names, as they are called here; of ``many`` those that are there."""
        found = []
        for name in (n.strip() for n in written.split(";") if n.strip()):
            own = self.prefixed(name) if name in self.layout.positions else name
            here = names.get(name) or (own if own in there else by_axle.get(name, ""))
            if here in there:
                found.append(here)
            elif not many:
                lacking.append(own)
        return ";".join(found)


def is_ready_made(file: str) -> bool:
    """Whether a row comes from a ready-made layout, by the name of its file."""
    return file.startswith(f"{FOLDER}/")


def not_taken(layout: Layout) -> list[NotTaken]:
    """The rows of ready-made layouts that a layout does without, since they name positions that it lacks; but for those
    that it is said to be used without."""
    found: list[NotTaken] = []
    composition = Composition(layout.layout, list(layout.uses), {}, {p.position for p in layout.positions})
    for _ in composition.rows(found):
        pass
    dropped = {name for use in layout.uses for name in _Part(use, ready_made()[use.uses], 0).positions_dropped}
    return sorted(row for row in found if not row.lacking or not set(row.lacking) <= dropped)
