"""Records as an earlier version had them, brought up to date: a layout that spells out what a ready-made one says is
put together from it, and positions of its own names get those of the ready-made one.

Nothing of one's own is lost: a row that says something else than the ready-made one stays, and stands instead of it.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

import msgspec

from knockon.graph.files.atomic import sole_writer
from knockon.graph.files.plain import content_of
from knockon.graph.judge.lacking import LIKE
from knockon.graph.model.layouts.mechanism import LayoutUse
from knockon.graph.model.layouts.ready_made import KEYS, USES, Composition, ReadyMade, ready_made
from knockon.graph.model.schema import Vocabulary, own_files
from knockon.graph.quarantine.all_or_none import finish, write_together
from knockon.graph.records import Finding, RecordsError, read_own_vocabulary
from knockon.graph.tables.edited_meanwhile import line_of, lines_of
from knockon.graph.tables.files import RawTable, read_folder
from knockon.queries.answers import Answer

DEFAULTS = {"pressed in": "no", "factor": "1", "slackened": "no", "listed": "no"}
"""What an empty cell of a column means, where two rows are compared."""
Cells = Mapping[str, str]
Key = tuple[str, ...]


class Renamed(msgspec.Struct, frozen=True):
    """A position of a layout that the ready-made one calls otherwise."""

    layout: str
    was: str
    becomes: str


class Shorter(msgspec.Struct, frozen=True):
    """A layout that ``uses`` ready-made ones from now on.

    ``taken_out``: rows by table that the ready-made ones say alike; ``kept``: rows that stay; ``adds``: (kind, name) of
    what the ready-made ones look at and the layout did not.
    """

    layout: str
    uses: tuple[LayoutUse, ...]
    taken_out: dict[str, int]
    kept: dict[str, int]
    adds: tuple[tuple[str, str], ...]


class UpgradeAnswer(Answer, frozen=True):
    """What is brought up to date, or would be (not ``written``)."""

    records: str
    renamed: tuple[Renamed, ...] = ()
    layouts: tuple[Shorter, ...] = ()
    written: bool = False

    @property
    def is_up_to_date(self) -> bool:
        """Whether there is nothing to do."""
        return not self.renamed and not self.layouts


class _Folder(msgspec.Struct):
    """The tables of a folder: cells by file and row, with what each row becomes (None: it goes)."""

    folder: Path
    vocabulary: Vocabulary
    tables: dict[str, RawTable] = msgspec.field(default_factory=dict)
    gone: dict[str, set[int]] = msgspec.field(default_factory=lambda: defaultdict(set))
    renamed: dict[str, dict[int, dict[str, str]]] = msgspec.field(default_factory=lambda: defaultdict(dict))
    more_uses: list[LayoutUse] = msgspec.field(default_factory=list)

    def rows(self, table: str) -> Iterable[tuple[int, dict[str, str]]]:
        """(row number, cells by header) of a table, renamed as far as they are."""
        raw = self.tables.get(f"{table}.csv")
        for number, cells in raw.rows if raw else ():
            yield (
                number,
                {**dict(zip(raw.header, cells, strict=True)), **self.renamed[raw.file].get(number, {})} if raw else {},
            )


def what_to_upgrade(folder: Path) -> UpgradeAnswer:
    """What an upgrade of a folder comes to. Raises RecordsError."""
    return work_out(folder, read_own_vocabulary(tuple(own_files(folder)))[0])[0]


def bring_up_to_date(folder: Path) -> None:
    """Write what an upgrade comes to, all of it or nothing. Raises RecordsError."""
    vocabulary = read_own_vocabulary(tuple(own_files(folder)))[0]
    with sole_writer(folder):
        finish(folder)
        write_together(folder, work_out(folder, vocabulary)[1])


def work_out(folder: Path, vocabulary: Vocabulary) -> tuple[UpgradeAnswer, dict[Path, bytes]]:
    """What an upgrade of a folder comes to, and the contents of the files that it changes. Raises RecordsError."""
    findings: list[Finding] = []
    work = _Folder(folder, vocabulary, {t.file: t for t in read_folder(folder, findings)})
    renamed: list[Renamed] = []
    shorter: list[Shorter] = []
    used = {cells.get("layout", "") for _, cells in work.rows(USES)}
    for layout in sorted({c.get("layout", "") for _, c in work.rows("positions")} - used - {""}):
        uses = _uses_for(work, layout)
        if uses:
            names = _renames(work, layout, uses)
            renamed += [Renamed(layout, was, becomes) for was, becomes in names.items()]
            _rename(work, layout, names)
            shorter.append(_shorter(work, layout, _without(work, layout, uses)))
    return UpgradeAnswer(str(folder), tuple(renamed), tuple(shorter)), _contents(work)


def _positions(work: _Folder, layout: str) -> list[dict[str, str]]:
    return [cells for _, cells in work.rows("positions") if cells.get("layout") == layout]


def _uses_for(work: _Folder, layout: str) -> list[LayoutUse]:
    """The ready-made layouts that a layout spells out: the axle that it has most of, and what there is of the vehicle;
    none where its arrangements have other names, since nobody knows which is which."""
    own = Counter(p.get("part type", "") for p in _positions(work, layout))
    arrangements = {c.get("arrangement", "") for _, c in work.rows("arrangements") if c.get("layout") == layout}

    def share(made: ReadyMade) -> float:
        always = [p for _, p in made.tables["positions"] if not p["arrangement"] and p["need"] == "needed"]
        return sum(p["part type"] in own for p in always) / len(always)

    axles = [m for m in ready_made().values() if m.axle]
    best = max(axles, key=share)
    known = {c["arrangement"] for _, c in best.tables["arrangements"]}
    if share(best) < LIKE or not arrangements <= known:
        return []
    whole = [m for m in ready_made().values() if not m.axle and share(m) >= LIKE]
    return [LayoutUse(layout, made.name) for made in (best, *whole)]


def _renames(work: _Folder, layout: str, uses: Iterable[LayoutUse]) -> dict[str, str]:
    """Own positions whose part type one ready-made position alone has, under another name."""
    own: dict[str, list[str]] = defaultdict(list)
    made: dict[str, list[str]] = defaultdict(list)
    for position in _positions(work, layout):
        own[position.get("part type", "")].append(position.get("position", ""))
    for use in uses:
        for _, position in ready_made()[use.uses].tables["positions"]:
            made[position["part type"]].append(position["position"])
    pairs = (
        (names[0], made[part_type][0]) for part_type, names in own.items() if len(names) == len(made[part_type]) == 1
    )
    return {was: becomes for was, becomes in pairs if was != becomes}


def _rename(work: _Folder, layout: str, names: Mapping[str, str]) -> None:
    """Put the new names wherever a position of the layout is named: by the columns that the shapes say name positions,
    and in the names of sets' members."""
    if not names:
        return
    vehicles = {c.get("vehicle", "") for _, c in work.rows("vehicles") if c.get("layout") == layout}
    for raw in work.tables.values():
        columns = _naming(work.vocabulary, raw)
        for number, cells in raw.rows:
            row = dict(zip(raw.header, cells, strict=True))
            elsewhere = row.get("layout", layout) != layout or (
                "vehicle" in row and row["vehicle"] not in {*vehicles, ""}
            )
            if not elsewhere:
                new = {c: renamed(row[c], names) for c, renamed in columns.items() if c in row}
                work.renamed[raw.file][number] = {c: text for c, text in new.items() if text != row[c]}


def _naming(vocabulary: Vocabulary, raw: RawTable) -> dict[str, Callable[[str, Mapping[str, str]], str]]:
    if raw.file.startswith("features/"):
        return {"part": _member}
    shape = vocabulary.tables.get(raw.table)
    found: dict[str, Callable[[str, Mapping[str, str]], str]] = {}
    for column in shape.columns if shape else ():
        if column.names_in == "positions" or (raw.table == "positions" and column.name == "position"):
            found[column.name] = _listed
        elif "set_members" in column.refers_to:
            found[column.name] = _member
    return found


def _listed(text: str, names: Mapping[str, str]) -> str:
    return ";".join(names.get(name.strip(), name) for name in text.split(";"))


def _member(text: str, names: Mapping[str, str]) -> str:
    set_, slash, rest = text.partition("/")
    position, side, hand = rest.partition("/")
    return f"{set_}/{names.get(position, position)}{side}{hand}" if slash else text


def _without(work: _Folder, layout: str, uses: Iterable[LayoutUse]) -> list[LayoutUse]:
    """The uses, each without the arrangements and positions that the layout has not."""
    own = {p.get("position", "") for p in _positions(work, layout)}
    found = []
    for use in uses:
        made = ready_made()[use.uses]
        arrangements = [c["arrangement"] for _, c in made.tables["arrangements"]]
        theirs = {
            a: {p["position"] for _, p in made.tables["positions"] if p["arrangement"] == a} for a in arrangements
        }
        dropped = [a for a in arrangements if not theirs[a] & own]
        within = {name for a in dropped for name in theirs[a]}
        dropped += [name for name in made.positions if name not in own | within]
        found.append(LayoutUse(layout, use.uses, "", tuple(dropped)))
    return found


def _shorter(work: _Folder, layout: str, uses: list[LayoutUse]) -> Shorter:
    """Take out the layout's rows that its ready-made ones say alike, and say what these add."""
    own = {p.get("position", "") for p in _positions(work, layout)}
    rows = list(Composition(layout, uses, {}, own).rows([]))
    given = {(table, _key(table, cells)): cells for _, table, _, cells in rows if table != "layouts"}
    choices: dict[str, list[str]] = defaultdict(list)
    for _, table, _, cells in rows:
        if table == "arrangements":
            choices[cells["choice"]].append(cells["arrangement"])
    fixed = {names[0] for names in choices.values() if len(names) == 1}
    taken_out, kept, there = Counter[str](), Counter[str](), set[tuple[str, Key]]()
    for table in KEYS:
        for number, cells in work.rows(table) if table != "layouts" else ():
            key = (table, _key(table, cells))
            if cells.get("layout") == layout:
                there.add(key)
                alike = key in given and (table == "arrangements" or _alike(table, cells, given[key], fixed))
                (taken_out if alike else kept)[table] += 1
                if alike:
                    work.gone[f"{table}.csv"].add(number)
    work.more_uses += uses
    adds = [(table, cells) for (table, _), cells in given.items() if (table, _key(table, cells)) not in there]
    named = dict.fromkeys(
        (_kind(table), _name(table, cells)) for table, cells in adds if table not in ("arrangements", "figure_terms")
    )
    return Shorter(layout, tuple(uses), dict(taken_out), dict(kept), tuple(named))


def _key(table: str, cells: Cells) -> Key:
    return tuple(cells.get(column, "") for column in KEYS[table])


def _kind(table: str) -> str:
    named = {"in_the_way": "what is in the way", "layout_words": "what a layout calls things"}
    named |= {"how_to_measure": "how to measure", "tightening": "tightening value", "wear_limits": "wear limit"}
    return named.get(table, table.removesuffix("s"))


def _name(table: str, cells: Cells) -> str:
    return f"{cells['position']} of {cells['in the way of']}" if table == "in_the_way" else _key(table, cells)[1]


def _alike(table: str, own: Cells, made: Cells, fixed: set[str]) -> bool:
    """Whether two rows say the same; an arrangement of which there is only one left goes without saying."""
    for column in {*own, *made} - {"layout", "axle"}:
        mine, theirs = (_meant(column, cells.get(column, "")) for cells in (own, made))
        if column == "arrangement" and {mine, theirs} - fixed == {""}:
            continue
        if mine != theirs and (mine or column not in _SAID_SINCE):
            return False
    return True


_SAID_SINCE = ("kind", "also called", "reached", "other reached")
"""Columns that ready-made layouts filled later: a row that leaves them blank says the same."""


def _meant(column: str, text: str) -> str:
    said = ";".join(sorted(t.strip() for t in text.split(";"))) if column in ("owns", "leaves") else text.strip()
    return said or DEFAULTS.get(column, "")


def _contents(work: _Folder) -> dict[Path, bytes]:
    """The new content of each file that changes; a line that stays keeps its bytes."""
    found: dict[Path, bytes] = {}
    for file, raw in work.tables.items():
        changed = {n: new for n, new in work.renamed.get(file, {}).items() if new}
        if not changed and not work.gone.get(file):
            continue
        lines = lines_of(content_of(work.folder / file))
        end = "\r\n" if lines[0][1].endswith("\r\n") else "\n"
        numbers = [number for number, _ in raw.rows]
        if len(numbers) != len(lines) - 1:
            raise RecordsError(f"{work.folder / file} has rows that cannot be read. Correct them first (knockon check)")
        text = [lines[0][1]]
        for number, (cells, written) in zip(numbers, lines[1:], strict=True):
            if number in work.gone.get(file, ()):
                continue
            padded = (*cells, *("" for _ in raw.header[len(cells) :]))
            row = tuple(changed.get(number, {}).get(h, c) for h, c in zip(raw.header, padded, strict=True))
            text.append(line_of(row, end) if number in changed else written)
        found[work.folder / file] = "".join(text).encode("utf-8", "surrogateescape")
    if work.more_uses:
        found[work.folder / f"{USES}.csv"] = _uses_written(work)
    return found


def _uses_written(work: _Folder) -> bytes:
    """``layout_uses.csv`` with the new rows after those that are there."""
    there = work.tables.get(f"{USES}.csv")
    head = there.header if there else ("layout", "uses", "as", "without")
    text = content_of(work.folder / there.file).decode("utf-8-sig", "surrogateescape") if there else line_of(head)
    for use in work.more_uses:
        cells = {"layout": use.layout, "uses": use.uses, "as": use.as_, "without": ";".join(use.without)}
        text += ("" if text.endswith("\n") else "\n") + line_of(tuple(cells.get(h, "") for h in head))
    return text.encode("utf-8", "surrogateescape")
