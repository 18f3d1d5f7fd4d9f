"""The answer to an import that has no mapping yet: what each table of the sheet is like, to be looked over."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from knockon.graph.mapping import MappingError, Target
from knockon.graph.mapping.propose import Proposal
from knockon.graph.mapping.several_tables import tables_apart
from knockon.graph.quantity import CellError, ReadingContext, read_cell
from knockon.graph.sheets import Sheet, find_head, is_data
from knockon.queries.answers import Answer
from knockon.queries.intake.sheets.folder import Folder
from knockon.queries.intake.sheets.seen import PARTS

SHOWN = 5
"""Rows that are named one by one."""


class ProposedAnswer(Answer, frozen=True):
    """A mapping for each table of a sheet, to confirm; ``mapping_file``: where a mapping is looked for, and kept."""

    sheet: str
    mapping_file: str
    proposals: tuple[Proposal, ...]


def left_out(
    folder: Folder, file: str, sheets: Sequence[Sheet], proposals: Sequence[Proposal], where: str
) -> dict[str, str]:
    """What is said of proposed tables that a sheet cannot fill, because it lacks columns that they need: by sheet.

    ``sheets``: as they are in the file; ``where``: the file in which the mapping is kept. Raises MappingError where a
    sheet is of nothing but parts which are not recorded, and cannot bring them: none of it could be loaded.
    """
    by_name = {sheet.name: sheet for sheet in tables_apart(sheets, folder.targets.values())}
    bringing = [p for p in proposals if p.mapping.table == PARTS and p.can_be_read]
    brought = {part for p in bringing for _, part in _parts(folder, by_name[p.mapping.sheet], p)}
    said: dict[str, str] = {}
    for proposal in (p for p in proposals if p.lacking and any(p.likeness)):
        sheet, target = proposal.mapping.sheet, folder.targets[proposal.mapping.table]
        lacking = f"no column {' and no column '.join(map(repr, proposal.lacking))}"
        in_sheet = f"{file}, sheet {sheet}" if sheet else file
        if target.table != PARTS:
            said[sheet] = f"{in_sheet} has {lacking}, so nothing of it goes to {target.table}"
            continue
        new, known = _new_parts(folder, by_name[sheet], proposal, brought)
        if not new:
            continue
        named = ", ".join(f"row {row}: {part}" for row, part in new[:SHOWN])
        more = f" and {len(new) - SHOWN} more" if len(new) > SHOWN else ""
        which = "part is" if len(new) == 1 else "parts are"
        why = f"{in_sheet}: {len(new)} {which} not recorded yet ({named}{more}), and there is {lacking}"
        if not known:
            options = " ".join(f"--set {n!r}=VALUE" for n in proposal.lacking)
            values = "; ".join(f"{n!r} is {_values(target, n)}" for n in proposal.lacking)
            raise MappingError(
                f"{why}. Add to the sheet what is missing, row by row: {values}. "
                f"Where all rows are alike, type {options}"
            )
        said[sheet] = f"{why}. Such rows wait. Add what is missing to the sheet, remove {where}, and import it again"
    return said


def _values(target: Target, name: str) -> str:
    column = next(c for c in target.columns if c.name == name)
    allowed = column.values or (("yes", "no") if column.datatype == "boolean" else ())
    return " or ".join(allowed) or f"needed ({column.description.rstrip('.')})"


def _new_parts(
    folder: Folder, sheet: Sheet, proposal: Proposal, brought: Collection[str]
) -> tuple[list[tuple[int, str]], bool]:
    """The rows of a sheet whose part nobody has recorded, each part once; and whether it has rows of others.

    ``brought``: what other sheets bring.
    """
    found: dict[str, int] = {}
    known = False
    for row, part in _parts(folder, sheet, proposal):
        if part in brought or _is_recorded(folder, part):
            known = True
        else:
            found.setdefault(part, row)
    return [(row, part) for part, row in found.items()], known


def _parts(folder: Folder, sheet: Sheet, proposal: Proposal) -> Iterator[tuple[int, str]]:
    head = find_head(sheet, folder.whole_titles)
    heads = tuple(cells for number, cells in sheet.rows if head.first <= number <= head.last)
    places = [n for n, column in enumerate(proposal.mapping.columns) if "part" in column.names]
    for number, cells in sheet.rows:
        if number > head.last and not is_data(head, heads, cells):
            yield from ((number, cells[n]) for n in places if n < len(cells) and cells[n])


def _is_recorded(folder: Folder, part: str) -> bool:
    if any(part in folder.known.keys.get(table, ()) for table in (PARTS, "items", "set_members")):
        return True
    if folder.known.parts is None:
        return False
    try:
        read_cell(part, "part number", context=ReadingContext(parts=folder.known.parts))
    except CellError:
        return False
    return True
