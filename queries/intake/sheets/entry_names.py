"""Names of the entries of a quarantine that do not shift: an entry keeps its name while others come and go."""

from __future__ import annotations

import hashlib
from collections import Counter
from collections.abc import Sequence

from knockon.graph.quarantine import Entry

_LETTERS = "abcdefghjkmnpqrstvwxyz23456789"
"""What cannot be taken for another letter or digit when it is read aloud."""
SHORTEST = 4


def names_of(entries: Sequence[Entry]) -> tuple[str, ...]:
    """A name for each entry, made of what its row and cell say, not of where they stand: a row that moves in its sheet
    keeps it. Rows alike in all are told apart by their order; names that begin alike are longer."""
    seen: Counter[tuple[str, ...]] = Counter()
    whole = []
    for entry in entries:
        said = (entry.file, entry.sheet, entry.table, entry.raw, entry.cells, entry.column, entry.written)
        whole.append(_letters("\0".join((*said, str(seen[said])))))
        seen[said] += 1
    length = SHORTEST
    while len({name[:length] for name in whole}) < len(whole):
        length += 1
    crowded = {stem for stem, n in Counter(name[:SHORTEST] for name in whole).items() if n > 1}
    return tuple(name[: length if name[:SHORTEST] in crowded else SHORTEST] for name in whole)


def _letters(text: str) -> str:
    number = int.from_bytes(hashlib.sha256(text.encode("utf-8", "surrogateescape")).digest())
    found = _LETTERS[number % 21]  # a letter first: a name is never taken for a number
    for _ in range(40):
        number, rest = divmod(number, len(_LETTERS))
        found += _LETTERS[rest]
    return found
