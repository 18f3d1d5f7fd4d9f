"""What the reader of workbooks does not tell: cells that hold an error, formulas without a stored value, merged cells
of ods, and hidden rows.

Read from the formats' own XML (ECMA-376 part 1, OpenDocument 1.3 part 3), without building a tree; a document type
declaration, which neither format has, is refused. Runs in the process that is held to its memory and time.
"""

from __future__ import annotations

import zipfile
from collections.abc import Callable
from pathlib import PurePosixPath
from xml.parsers import expat

import msgspec

Attributes = dict[str, str]
MOST_MERGED = 10_000
PIECE = 1 << 20
LONGEST_FORMULA = 200
"""So much of a formula is shown."""


class Facts(msgspec.Struct):
    """Of one sheet: cells without a value by (row, column) from 0, merged areas as (top, left, bottom, right), hidden
    rows.

    ``errors``: what stands there instead: the error, or the formula (``=A1+1``), which nobody runs.
    """

    errors: dict[tuple[int, int], str] = msgspec.field(default_factory=dict)
    merged: list[tuple[int, int, int, int]] = msgspec.field(default_factory=list)
    hidden_rows: int = 0


def facts_of(path: str) -> dict[str, Facts]:
    """By sheet name; empty for a workbook that is no archive. Raises ValueError or expat's error."""
    if not zipfile.is_zipfile(path):
        return {}
    with zipfile.ZipFile(path) as archive:
        names = set(archive.namelist())
        if "content.xml" in names:
            reader = _Ods()
            _parse(archive, "content.xml", reader.start, reader.end, reader.text)
            return reader.found
        if "xl/workbook.xml" in names:
            return {sheet: _xlsx(archive, file) for sheet, file in _sheet_files(archive).items() if file in names}
    return {}


def _parse(
    archive: zipfile.ZipFile,
    name: str,
    start: Callable[[str, Attributes], None],
    end: Callable[[str], None] | None = None,
    text: Callable[[str], None] | None = None,
) -> None:
    parser = expat.ParserCreate(namespace_separator=" ")

    def refuse(*_: object) -> None:
        raise ValueError("a document type declaration, which no workbook has")

    def begin(tag: str, attributes: Attributes) -> None:
        # value-type stands in two namespaces of ods; whichever says "error" counts.
        plain = {_local(k): v for k, v in attributes.items()}
        start(_local(tag), plain | {_local(k): v for k, v in attributes.items() if v == "error"})

    def finish(tag: str) -> None:
        if end is not None:
            end(_local(tag))

    parser.StartDoctypeDeclHandler = refuse
    parser.StartElementHandler = begin
    parser.EndElementHandler = finish
    if text is not None:
        parser.CharacterDataHandler = text
    with archive.open(name) as stream:
        while piece := stream.read(PIECE):
            parser.Parse(piece, False)
    parser.Parse(b"", True)


def _local(name: str) -> str:
    return name.rpartition(" ")[2]


def _sheet_files(archive: zipfile.ZipFile) -> dict[str, str]:
    """The file of each sheet, as the workbook's relationships say."""
    targets: dict[str, str] = {}
    sheets: dict[str, str] = {}

    def relation(tag: str, attributes: Attributes) -> None:
        if tag == "Relationship":
            targets[attributes.get("Id", "")] = attributes.get("Target", "")

    def sheet(tag: str, attributes: Attributes) -> None:
        if tag == "sheet":
            sheets[attributes.get("name", "")] = attributes.get("id", "")

    _parse(archive, "xl/workbook.xml", sheet)
    if "xl/_rels/workbook.xml.rels" in archive.namelist():
        _parse(archive, "xl/_rels/workbook.xml.rels", relation)
    return {name: _place(targets.get(relation_id, "")) for name, relation_id in sheets.items()}


def _place(target: str) -> str:
    return target.lstrip("/") if target.startswith("/") else str(PurePosixPath("xl") / target)


def _position(reference: str) -> tuple[int, int]:
    """B3 -> (2, 1)."""
    letters = "".join(c for c in reference if c.isalpha())
    column = 0
    for letter in letters.upper():
        column = column * 26 + ord(letter) - ord("A") + 1
    return int(reference[len(letters) :] or 1) - 1, column - 1


def _xlsx(archive: zipfile.ZipFile, file: str) -> Facts:
    reader = _Xlsx()
    _parse(archive, file, reader.start, reader.end, reader.text)
    return reader.found


class _Xlsx:
    """Follows the cells of one sheet: which hold an error, and which a formula and no value."""

    def __init__(self) -> None:
        self.found = Facts()
        self._at = self._type = self._in = ""
        self._said: dict[str, list[str]] = {}

    def start(self, tag: str, attributes: Attributes) -> None:
        """A row, a cell, or what a cell holds begins."""
        if tag == "row" and attributes.get("hidden") in ("1", "true"):
            self.found.hidden_rows += 1
        elif tag == "c":
            self._at, self._type = attributes.get("r", ""), attributes.get("t", "")
            self._said = {}
        elif tag in ("f", "is") or (tag == "v" and (self._type == "e" or "f" in self._said)):
            self._in = tag
            self._said[tag] = []

    def end(self, tag: str) -> None:
        """What a cell holds, or the cell, ends."""
        self._in = "" if tag == self._in else self._in
        if tag != "c" or not self._at:
            return
        value = "".join(self._said.get("v", ())).strip()
        is_blank_text = self._type == "str" and "v" in self._said
        if self._type == "e":
            self.found.errors[_position(self._at)] = value or "#ERROR!"
        elif "f" in self._said and "is" not in self._said and not (value or is_blank_text):
            self.found.errors[_position(self._at)] = _formula("".join(self._said["f"]))

    def text(self, piece: str) -> None:
        """Text within a cell."""
        if self._in:
            self._said[self._in].append(piece)


def _formula(text: str) -> str:
    """A formula as it is shown, cut where it is long; one that is shared with another cell says nothing of its own."""
    return "=" + " ".join(text.split()).removeprefix("=")[:LONGEST_FORMULA]


class _Ods:
    """Follows rows and cells by their repetition counts, without spreading them out."""

    def __init__(self) -> None:
        self.found: dict[str, Facts] = {}
        self._facts = Facts()
        self._row = self._column = self._rows = self._columns = 0
        self._error: tuple[int, int] | None = None
        self._formula = ""
        self._said: list[str] = []

    def start(self, tag: str, attributes: Attributes) -> None:
        """A table, a row or a cell begins."""
        if tag == "table":
            self._facts = self.found.setdefault(attributes.get("name", ""), Facts())
            self._row = 0
        elif tag == "table-row":
            self._rows, self._column = int(attributes.get("number-rows-repeated", "1")), 0
            if attributes.get("visibility") in ("collapse", "filter") and self._rows < MOST_MERGED:
                self._facts.hidden_rows += self._rows
        elif tag in ("table-cell", "covered-table-cell"):
            self._columns = int(attributes.get("number-columns-repeated", "1"))
            self._spanned(tag, attributes)
            formula = attributes.get("formula", "")
            self._formula = _formula(formula.partition("=")[2]) if formula and "value-type" not in attributes else ""
            is_error = attributes.get("value-type") == "error" or self._formula
            self._error = (self._row, self._column) if is_error else None
            self._said.clear()

    def _spanned(self, tag: str, attributes: Attributes) -> None:
        down = int(attributes.get("number-rows-spanned", "1"))
        across = int(attributes.get("number-columns-spanned", "1"))
        if tag == "table-cell" and (down > 1 or across > 1) and len(self._facts.merged) < MOST_MERGED:
            area = (self._row, self._column, self._row + down - 1, self._column + across - 1)
            self._facts.merged.append(area)

    def end(self, tag: str) -> None:
        """A row or a cell ends."""
        if tag == "table-row":
            self._row += self._rows
        elif tag in ("table-cell", "covered-table-cell"):
            if self._error is not None:
                self._facts.errors[self._error] = self._formula or "".join(self._said).strip() or "#ERROR!"
                self._error = None
            self._column += self._columns

    def text(self, piece: str) -> None:
        """Text within a cell."""
        if self._error is not None:
            self._said.append(piece)
