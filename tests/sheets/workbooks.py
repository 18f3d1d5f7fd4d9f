"""Workbooks made for tests, from the formats' own parts, and the ugly one of 500 rows with its known truth."""

from __future__ import annotations

import random
from dataclasses import dataclass
from pathlib import Path
from xml.sax.saxutils import escape
from zipfile import ZIP_DEFLATED, ZipFile

_TYPES = (
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="xml" ContentType="application/xml"/>'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Override PartName="/xl/workbook.xml" '
    'ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/>'
    '<Override PartName="/xl/worksheets/sheet1.xml" '
    'ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/></Types>'
)
_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_RELS = '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">{}</Relationships>'
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"


def _letter(column: int) -> str:
    return chr(ord("A") + column)


def _cell(row: int, column: int, value: object) -> str:
    where = f"{_letter(column)}{row}"
    if isinstance(value, float | int):
        return f'<c r="{where}"><v>{value}</v></c>'
    text = str(value)
    if text.startswith("="):
        return f'<c r="{where}"><f>{escape(text[1:])}</f></c>'
    return f'<c r="{where}" t="inlineStr"><is><t xml:space="preserve">{escape(text)}</t></is></c>'


def write_xlsx(path: Path, rows: list[list[object]], merged: str = "") -> None:
    """A workbook of one sheet, "Sheet1"; a text that begins with = is a formula without a stored value."""
    lines = "".join(
        f'<row r="{n}">{"".join(_cell(n, c, v) for c, v in enumerate(row) if v != "")}</row>'
        for n, row in enumerate(rows, 1)
    )
    merge = f'<mergeCells count="1"><mergeCell ref="{merged}"/></mergeCells>' if merged else ""
    with ZipFile(path, "w", ZIP_DEFLATED) as archive:
        archive.writestr("[Content_Types].xml", _TYPES)
        link = f'<Relationship Id="r1" Type="{_OFFICE}/officeDocument" Target="xl/workbook.xml"/>'
        archive.writestr("_rels/.rels", _RELS.format(link))
        sheets = '<sheets><sheet name="Sheet1" sheetId="1" r:id="r1"/></sheets>'
        archive.writestr("xl/workbook.xml", f'<workbook xmlns="{_MAIN}" xmlns:r="{_OFFICE}">{sheets}</workbook>')
        link = f'<Relationship Id="r1" Type="{_OFFICE}/worksheet" Target="worksheets/sheet1.xml"/>'
        archive.writestr("xl/_rels/workbook.xml.rels", _RELS.format(link))
        sheet = f'<worksheet xmlns="{_MAIN}"><sheetData>{lines}</sheetData>{merge}</worksheet>'
        archive.writestr("xl/worksheets/sheet1.xml", sheet)


def write_ods(path: Path, rows: list[list[str]]) -> None:
    """A workbook of one sheet of texts."""
    cells = "".join(
        "<table:table-row>"
        + "".join(
            f'<table:table-cell office:value-type="string"><text:p>{escape(v)}</text:p></table:table-cell>' for v in row
        )
        + "</table:table-row>"
        for row in rows
    )
    base = "urn:oasis:names:tc:opendocument:xmlns"
    with ZipFile(path, "w", ZIP_DEFLATED) as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        manifest = f'<manifest:manifest xmlns:manifest="{base}:manifest:1.0"/>'
        archive.writestr("META-INF/manifest.xml", manifest)
        archive.writestr(
            "content.xml",
            f'<office:document-content xmlns:office="{base}:office:1.0" xmlns:table="{base}:table:1.0" '
            f'xmlns:text="{base}:text:1.0"><office:body><office:spreadsheet><table:table table:name="One">{cells}'
            "</table:table></office:spreadsheet></office:body></office:document-content>",
        )


@dataclass(frozen=True)
class Truth:
    """``good``: the least bore in mm by row (27 means 26.5 to 27.5; None: unknown). ``bad``: rows to be refused."""

    good: dict[int, float | None]
    bad: frozenset[int]


GOOD_CELLS: list[tuple[object, float | None]] = [
    (28.575, 28.575), ('1 1/8"', 28.575), ("1-1/8 in", 28.575), ("1.1/8 in", 28.575), ("1½ in", 38.1),
    ("1Â½ in", 38.1), (27, 26.5), ("?", None), ("tbc", None), ("n/a", None), ("30 mm", 30.0), ("1.125 in", 28.575),
]  # fmt: skip
BAD_CELLS = ["08-Mar", "2026-03-08", "27,52", "see above", "same as drum", "#REF!", "l.125 in", "twelve", "28/0 in"]


def ugly_rows(seed: int, count: int = 500) -> tuple[list[list[object]], Truth]:
    """Two header rows, repeated headers, totals and empty rows among ``count`` rows of data."""
    made = random.Random(seed)
    rows: list[list[object]] = [["Bearings of the friend", "", ""], ["Part No", "Bore", "colour"], ["", "mm", ""]]
    good: dict[int, float | None] = {}
    bad: set[int] = set()
    while len(good) + len(bad) < count:
        sort = made.random()
        if sort < 0.03:
            no_data: list[list[object]] = [["Part No", "Bore", "colour"], ["Total", 12.5, ""], ["", "", ""]]
            rows.append(no_data[made.randrange(3)])
            continue
        part = made.choice(["ALDER-211", " alder 211 ", "ALDER-311"])
        number = len(rows) + 1
        if sort < 0.25:
            bad.add(number)
            rows.append([part, made.choice(BAD_CELLS), "red"])
        elif sort < 0.3:
            bad.add(number)
            rows.append([made.choice(["ALDER-2l1", "ALDER-99999", "same as drum one"]), 28.575, ""])
        else:
            cell, truth = made.choice(GOOD_CELLS)
            good[number] = truth
            rows.append([part, cell, "blue"])
    return rows, Truth(good, frozenset(bad))
