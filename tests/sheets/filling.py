"""Filling in a measuring sheet as a spreadsheet program would: cells of its XML, found by the number of the line."""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterator, Mapping
from pathlib import Path
from xml.etree import ElementTree

MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"
TABS = {"left": 1, "right": 2, "vehicle": 3}
Cells = Mapping[str, Mapping[str, Mapping[str, object]]]
"""By tab and line (``L7``, or ``outer joint, stub end: thread``): what is written under each heading."""


def part(workbook: bytes, name: str) -> ElementTree.Element:
    """One XML part of a workbook."""
    with zipfile.ZipFile(io.BytesIO(workbook)) as archive:
        return ElementTree.fromstring(archive.read(name))


def tab(workbook: bytes, name: str) -> ElementTree.Element:
    return part(workbook, f"xl/worksheets/sheet{_numbers(workbook)[name]}.xml")


def _numbers(workbook: bytes) -> dict[str, int]:
    sheets = part(workbook, "xl/workbook.xml").iter(f"{MAIN}sheet")
    return {sheet.attrib["name"]: number for number, sheet in enumerate(sheets, 1)}


def texts(workbook: bytes) -> list[str]:
    """The shared texts of a workbook."""
    found = part(workbook, "xl/sharedStrings.xml").iter(f"{MAIN}si")
    return ["".join(t.text or "" for t in si.iter(f"{MAIN}t")) for si in found]


def rows(workbook: bytes, name: str) -> Iterator[dict[str, ElementTree.Element]]:
    """The cells of each row of a tab by their column's letters."""
    for row in tab(workbook, name).iter(f"{MAIN}row"):
        yield {c.attrib["r"].rstrip("0123456789"): c for c in row.iter(f"{MAIN}c")}


def text_of(cell: ElementTree.Element | None, shared: list[str]) -> str:
    if cell is None:
        return ""
    value = cell.find(f"{MAIN}v")
    if value is None or value.text is None:
        return "".join(t.text or "" for t in cell.iter(f"{MAIN}t"))
    return shared[int(value.text)] if cell.attrib.get("t") == "s" else value.text


def table(workbook: bytes, name: str) -> tuple[dict[str, str], list[dict[str, str]]]:
    """(the letters of each heading, the lines by heading, with ``row``) of a tab."""
    shared = texts(workbook)
    headings: dict[str, str] = {}
    lines = []
    for cells in rows(workbook, name):
        said = {column: text_of(cell, shared) for column, cell in cells.items()}
        if headings:
            number = next(iter(cells.values())).attrib["r"].lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ")
            lines.append({name: said.get(column, "") for name, column in headings.items()} | {"row": number})
        elif {"place", "feature", "size"} <= set(said.values()):
            headings = {text: column for column, text in said.items()}
    return headings, lines


def filled(workbook: bytes, cells: Cells, head: Mapping[str, Mapping[str, str]] | None = None) -> bytes:
    """The workbook with what is written into it; ``head``: into the rows above the lines (``measured by``), by tab."""
    numbers = _numbers(workbook)
    out = io.BytesIO()
    head = head or {}
    changed = {
        f"xl/worksheets/sheet{numbers[name]}.xml": _filled_tab(workbook, name, cells.get(name, {}), head.get(name, {}))
        for name in {*cells, *head}
    }
    with zipfile.ZipFile(io.BytesIO(workbook)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, changed.get(name) or old.read(name))
    return out.getvalue()


def _filled_tab(
    workbook: bytes, name: str, cells: Mapping[str, Mapping[str, object]], head: Mapping[str, str]
) -> bytes:
    headings, lines = table(workbook, name)
    at = {line["line"]: line["row"] for line in lines}
    at |= {f"{line['place']}, {line['feature']}: {line['size']}": line["row"] for line in lines}
    root = tab(workbook, name)
    found = {c.attrib["r"]: c for c in root.iter(f"{MAIN}c")}
    for line, written in cells.items():
        for heading, value in written.items():
            _write(found[headings[heading] + at[line]], value)
    shared = texts(workbook)
    for label, said in head.items():
        row = next(r for r in rows(workbook, name) if text_of(r.get("A"), shared) == label)
        _write(found["B" + row["A"].attrib["r"][1:]], said)
    ElementTree.register_namespace("", MAIN.strip("{}"))
    xml: bytes = ElementTree.tostring(root, encoding="utf-8", xml_declaration=True)
    return xml


def _write(cell: ElementTree.Element, value: object) -> None:
    for child in list(cell):
        cell.remove(child)
    if isinstance(value, int | float):
        cell.attrib.pop("t", None)
        ElementTree.SubElement(cell, f"{MAIN}v").text = repr(value)
        return
    cell.attrib["t"] = "inlineStr"
    inline = ElementTree.SubElement(ElementTree.SubElement(cell, f"{MAIN}is"), f"{MAIN}t")
    inline.text = str(value)


def fill(path: Path, cells: Cells, head: Mapping[str, Mapping[str, str]] | None = None) -> Path:
    """Fill in a measuring sheet where it stands."""
    path.write_bytes(filled(path.read_bytes(), cells, head))
    return path
