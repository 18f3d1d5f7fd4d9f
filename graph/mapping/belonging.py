"""Whether a feature goes with a part: a sheet that slipped by a column or a heading gives a bearing a spline."""

from __future__ import annotations

from collections.abc import Mapping

from knockon.graph.mapping.cells_read import Fault, Known, Read
from knockon.graph.mapping.model import Target
from knockon.graph.quantity import MEASURED
from knockon.graph.sheets.heads import is_word

_MOST_WORDS = 4
"""A title has no more; a remark may."""
_POINTING = frozenset({"see", "same", "as", "ditto", "like", "above", "below"})


def misplaced(target: Target, read: Mapping[str, Read], known: Known) -> tuple[Fault, ...]:
    """A fault where nothing in the records lets a part of this type have such a feature; offered as it stands, for a
    person to say that it does. Of a type that no layout places nothing is known, and nothing is refused."""
    if not target.shape.is_kind or "part" not in read or "feature" not in read:
        return ()
    thing = read["part"].text
    part_type = known.types.get(thing) or known.rows.get("parts", {}).get(thing, {}).get("part type", "")
    kinds = known.kinds.get(part_type)
    if kinds is None or target.table in kinds:
        return ()
    said = read["feature"]
    why = f"{target.shape.label}: no {part_type} of these records has one. Did the sheet slip by a column or a heading?"
    return (Fault("feature", said.written, why, (said.text,)),)


def is_unknown_heading(target: Target, written: Mapping[str, str], faults: tuple[Fault, ...]) -> bool:
    """Whether a row that could not be read looks like a heading that nobody understood: words only, no known part, and
    no size of it readable. What stands below such a row is of no known column."""
    if not target.shape.is_kind or "part" not in written:
        return False
    sizes = {c.name for c in target.columns if c.datatype in MEASURED and c.name in written}
    cells = [written[n] for n in ("part", *sorted(sizes))]
    if not sizes or not {"part", *sizes} <= {f.column for f in faults}:
        return False
    words = [cell.casefold().split() for cell in cells]
    return all(
        is_word(cell) and not any(c.isdigit() for c in cell) and len(said) <= _MOST_WORDS and not _POINTING & set(said)
        for cell, said in zip(cells, words, strict=True)
    )
