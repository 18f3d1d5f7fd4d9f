"""Tables that name ready-made layouts, and the rows that these give, as tables of their own."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping

from knockon.graph.model.findings import Finding
from knockon.graph.model.layouts.mechanism import LayoutUse
from knockon.graph.model.layouts.ready_made import KEYS, USES, Cells, Composition, ready_made
from knockon.graph.tables.cells import near, shown
from knockon.graph.tables.files import RawTable

MOST_USES = 12
"""Ready-made layouts in one layout: that is more than any vehicle needs, and each is written out in full."""


def compositions(tables: Iterable[RawTable], findings: list[Finding]) -> list[Composition]:
    """The layouts that these tables put together; a use of what is no ready-made layout goes to ``findings``."""
    tables = list(tables)
    found: dict[str, Composition] = {}
    for use in (u for raw in tables if raw.table == USES for u in _uses(raw, findings)):
        composition = found.setdefault(use.layout, Composition(use.layout))
        composition.uses += [use] if use.uses in ready_made() and use not in composition.uses else []
        composition.uses.sort(key=lambda u: (u.as_, u.uses))  # whatever the order of the rows
    for raw in tables if found else ():
        columns = KEYS.get(raw.table)
        if columns is not None and not raw.file.startswith("features/") and "layout" in raw.header:
            for _, cells in raw.rows:
                row = dict(zip(raw.header, cells, strict=True))
                if row["layout"] in found:
                    composition = found[row["layout"]]
                    composition.own.setdefault(raw.table, set()).add(tuple(row.get(c, "") for c in columns))
                    if raw.table == "positions":
                        composition.positions.add(row.get("position", ""))
    return [found[name] for name in sorted(found)]


def _unknown_without(raw: RawTable, number: int, use: LayoutUse) -> Iterator[Finding]:
    """What a use is to lack, and its ready-made layout never had: a slip would leave it in."""
    made = ready_made().get(use.uses)
    if made is not None:
        known = {*made.positions, *(cells["arrangement"] for _, cells in made.tables["arrangements"])}
        known |= {f"{use.as_} {name}" for name in known} if use.as_ else set()
        for name in (n for n in use.without if n not in known):
            problem = f"{use.uses} has no such position or arrangement, so nothing is left out"
            expected, offered = "a position or an arrangement of it", near(name, known)
            yield Finding(
                file=raw.file,
                row=number,
                column="without",
                written=shown(name),
                problem=problem,
                expected=expected,
                suggestions=offered,
                set_aside=False,
            )


def _uses(raw: RawTable, findings: list[Finding]) -> Iterator[LayoutUse]:
    seen_of: dict[str, dict[LayoutUse, None]] = {}
    for number, cells in raw.rows:
        use = _use(dict(zip(raw.header, cells, strict=True)))
        if use.uses and use.uses not in ready_made():
            problem, expected = "no such ready-made layout", "one of " + ", ".join(ready_made())
            offered = near(use.uses, ready_made())
            findings.append(
                Finding(
                    file=raw.file,
                    row=number,
                    column="uses",
                    written=shown(use.uses),
                    problem=problem,
                    expected=expected,
                    suggestions=offered,
                )
            )
        elif (
            use.layout and use.uses and len(seen := seen_of.setdefault(use.layout, {})) >= MOST_USES and use not in seen
        ):
            problem = f"the layout already uses {MOST_USES} ready-made ones, so this one is not used"
            findings.append(
                Finding(
                    file=raw.file,
                    row=number,
                    column="layout",
                    written=shown(use.layout),
                    problem=problem,
                    expected=f"at most {MOST_USES}",
                )
            )
            continue
        else:
            findings += _unknown_without(raw, number, use)
        if use.layout and use.uses:
            seen_of.setdefault(use.layout, {})[use] = None
            yield use


def _use(cells: Mapping[str, str]) -> LayoutUse:
    without = tuple(w.strip() for w in cells.get("without", "").split(";") if w.strip())
    return LayoutUse(cells.get("layout", ""), cells.get("uses", ""), cells.get("as", ""), without)


def written_out(tables: Iterable[RawTable], findings: list[Finding]) -> list[RawTable]:
    """The rows that ready-made layouts give to the layouts of these tables, as tables of their own."""
    found: dict[tuple[str, str], list[tuple[int, Cells]]] = {}
    for composition in compositions(tables, findings):
        for file, table, number, cells in composition.rows([]):
            found.setdefault((file, table), []).append((number, cells))
    return [_table(file, table, rows) for (file, table), rows in found.items()]


def _table(file: str, table: str, rows: list[tuple[int, Cells]]) -> RawTable:
    header = tuple(dict.fromkeys(column for _, cells in rows for column in cells))
    return RawTable(file, table, header, tuple((n, tuple(cells.get(h, "") for h in header)) for n, cells in rows))
