"""The photographs of what is shared: beside the file that is handed out, in a folder ``photographs`` as in records.

Each is named by the SHA-256 of its bytes (``graph/notes/photographs.py``), so that one that was changed on the way is
noticed and left out.
"""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

import pyoxigraph as ox

from knockon.graph.exchange.handed_out import write_alone
from knockon.graph.files.atomic import PHOTOGRAPHS, not_written, sole_writer, write_whole
from knockon.graph.files.plain import content_of
from knockon.graph.model.schema import VOCAB
from knockon.graph.notes.photographs import MOST_BYTES, Carried, problem_of


def named_photographs(quads: Iterable[ox.Quad]) -> tuple[str, ...]:
    """The photographs that notes name, each once, by name."""
    found = (q.object for q in quads if q.predicate.value == f"{VOCAB}photographs")
    return tuple(sorted({o.value for o in found if isinstance(o, ox.Literal)}))


def hand_out_photographs(records: Path, file: Path, names: Iterable[str]) -> Carried:
    """Copy photographs of records beside a file that was handed out. Raises NotWritten."""
    beside = file.absolute().parent
    return _copied(records, beside, names, alone=True)


def take_in_photographs(file: Path, records: Path, names: Iterable[str]) -> Carried:
    """Copy photographs that stand beside a club's file into records. Raises NotWritten."""
    with sole_writer(records):
        return _copied(file.absolute().parent, records, names, alone=False)


def _copied(source: Path, target: Path, names: Iterable[str], alone: bool) -> Carried:
    there = copied = missing = 0
    for name in names:
        if not problem_of(target, name):
            there += 1
        elif problem_of(source, name):
            missing += 1
        else:
            _copy(source / PHOTOGRAPHS / name, target / PHOTOGRAPHS / name, alone)
            there, copied = there + 1, copied + 1
    return Carried(str(target / PHOTOGRAPHS), there, copied, missing)


def _copy(source: Path, target: Path, alone: bool) -> None:
    try:
        content = content_of(source, MOST_BYTES)
        target.parent.mkdir(exist_ok=True)
    except OSError as error:
        raise not_written(target, error) from error
    (write_alone if alone else write_whole)(target, content)
