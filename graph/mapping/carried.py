"""What a sheet carries down: ditto marks, and a name that stands once above the rows that it is for."""

from __future__ import annotations

from collections.abc import Mapping

from knockon.graph.mapping.model import Target

_DITTO = frozenset(
    {
        *('"', "''", '""', "〃", "-\"-", "- \" -", "do", "do.", "dto", "dto.", "ditto", "idem", "id.", "same"),
        *("as above", "same as above", "as per above", "wie oben", "s. o.", "s.o."),
    }
)  # fmt: skip


def names_once(target: Target) -> str:
    """The column whose name may stand once for several rows: the part of sizes, the kit of its lines; else none.

    Where a key is one column alone, a row without it says nothing of any row.
    """
    if target.shape.is_kind:
        return "part"
    keys = [c.name for c in target.shape.columns if c.key]
    return keys[0] if len(keys) > 1 else ""


def carried_down(
    target: Target, where: Mapping[str, int], cells: tuple[str, ...], above: Mapping[str, str]
) -> tuple[dict[str, str], dict[str, str]]:
    """The mapped cells of a row with what it takes from the row directly above, and a flag for each cell so taken.

    ``where``: the place of each mapped column. A name stands once above its rows where it leads them, in the first
    column; elsewhere it is missing. A blank size is not recorded, and never as above; a ditto mark under nothing stays
    as it is, and is refused.
    """
    found, flags = {n: cells[i] for n, i in where.items() if i < len(cells) and cells[i]}, {}
    for name, cell in tuple(found.items()):
        if cell.strip().casefold() in _DITTO and above.get(name):
            found[name], flags[name] = above[name], f"{cell.strip()}: as in the row above"
    once = names_once(target)
    leads = bool(once) and where.get(once) == min(where.values(), default=None)
    if leads and found and not found.get(once) and above.get(once):
        found[once], flags[once] = above[once], "blank: as in the row above"
    return found, flags
