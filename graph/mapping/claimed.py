"""Columns of a sheet that claim something of a part: for which vehicle it is listed, what is said to supersede it."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping

from msgspec.structs import replace

from knockon.graph.mapping.cells_read import Read
from knockon.graph.mapping.model import LISTED_FOR, SUPERSEDED_BY
from knockon.graph.model.nearest import nearest
from knockon.graph.quantity import CellError, PartIndex, ReadingContext, read_cell
from knockon.graph.tables.cells import BadCellError

AS_WRITTEN = "text"
_PARTED = re.compile(r"\s*(?:[;,+&/]|\band\b|\bor\b)\s*", re.IGNORECASE)
_CONDITION = re.compile(r"\s*(?:[,;(]|\bthen\b|\bif\b|\bwith\b|\bfrom\b|\bonly\b|\bbut\b)", re.IGNORECASE)
_SEVERAL = re.compile(r"\s*(?:[;+&]|\band\b)\s*")
_BEFORE = re.compile(r"^(?:use|now|is|order|fit)\s+", re.IGNORECASE)


Vehicles = Mapping[str, Mapping[str, str]]
"""The rows of the vehicles, by name."""


def read_claimed(
    name: str, written: str, parts: PartIndex | None, vehicles: Vehicles
) -> tuple[str, tuple[str, ...], tuple[tuple[str, str], ...]]:
    """The vehicles or numbers that a cell names, parted by semicolons; flags; and the cell as the text of the claim
    where it says more.

    Raises BadCellError where one of them is not known: a claim about nothing is none.
    """
    flags: tuple[str, ...] = ()
    if name == LISTED_FOR:
        found = [_vehicle(piece, vehicles) for piece in _PARTED.split(written) if piece]
    else:
        found, is_conditional = _numbers(_BEFORE.sub("", written), parts)
        flags = ("its condition is kept as written",) if is_conditional else ()
    text = "; ".join(dict.fromkeys(found))
    return text, flags, ((AS_WRITTEN, written),) if written != text else ()


def _numbers(plain: str, parts: PartIndex | None) -> tuple[list[str], bool]:
    """The numbers, and whether more is said than numbers."""
    pieces = _SEVERAL.split(plain)
    numbers = [_number(piece, parts) for piece in pieces]
    if all(numbers):
        return numbers, False
    cut = _CONDITION.search(plain)
    number = _number(plain[: cut.start()], parts) if cut else ""
    if not number:
        offers = parts.contained(plain) if parts else ()
        raise BadCellError("is not a known part", "a part number, with its condition behind a comma", offers)
    return [number], True


def _number(piece: str, parts: PartIndex | None) -> str:
    if parts is None:
        return ""
    try:
        return read_cell(piece.strip(), "part number", context=ReadingContext(parts=parts))[""].code or ""
    except CellError:
        return ""


def _vehicle(piece: str, vehicles: Vehicles) -> str:
    said = piece.casefold()
    for name, row in sorted(vehicles.items()):
        if said in (name.casefold(), row.get("title", "").casefold()):
            return name
    raise BadCellError("is not a vehicle of these records", "a vehicle", tuple(nearest(piece, sorted(vehicles))))


def claims_of(read: Mapping[str, Read]) -> Iterator[dict[str, Read]]:
    """The rows of claims that the cells of a row make, on the standing of its sheet."""
    part = read.get("part")
    for name, column in ((LISTED_FOR, "vehicle"), (SUPERSEDED_BY, "other part")):
        cell = read.get(name)
        if part is None or cell is None:
            continue
        for about in filter(None, cell.text.split("; ")):
            row = {"part": part.text.partition("/")[0], "claim": name, column: about, **dict(cell.marked)}
            cells = {n: replace(cell, written=text, text=text, flags=(), marked=()) for n, text in row.items()}
            yield cells | ({"source": read["source"]} if "source" in read else {})
