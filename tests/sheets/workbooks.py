"""Workbooks made for tests, from the formats' own parts, and the ugly one of 500 rows with its known truth."""

from __future__ import annotations

import csv
import datetime
import random
from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path
from xml.sax.saxutils import escape
from zipfile import ZIP_DEFLATED, ZipFile

_OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
_RELS = '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">{}</Relationships>'
_MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
_SHEET_TYPE = "application/vnd.openxmlformats-officedocument.spreadsheetml"
_STYLES = f'<styleSheet xmlns="{_MAIN}"><cellXfs count="2"><xf numFmtId="0"/><xf numFmtId="16"/></cellXfs></styleSheet>'
_EPOCH = datetime.date(1899, 12, 30)
Rows = list[list[object]]


class Fault(str):
    """The text of a cell whose formula failed, such as #REF!."""

    __slots__ = ()


def _letter(column: int) -> str:
    return chr(ord("A") + column)


def _cell(row: int, column: int, value: object) -> str:
    where = f"{_letter(column)}{row}"
    if isinstance(value, datetime.date):
        return f'<c r="{where}" s="1"><v>{(value - _EPOCH).days}</v></c>'
    if isinstance(value, Fault):
        return f'<c r="{where}" t="e"><v>{value}</v></c>'
    if isinstance(value, float | int):
        return f'<c r="{where}"><v>{value}</v></c>'
    text = str(value)
    if text.startswith("="):
        return f'<c r="{where}"><f>{escape(text[1:])}</f></c>'
    return f'<c r="{where}" t="inlineStr"><is><t xml:space="preserve">{escape(text)}</t></is></c>'


def write_xlsx(path: Path, rows: Rows, merged: str = "") -> None:
    """A workbook of one sheet, "Sheet1"; a text that begins with = is a formula without a stored value."""
    write_xlsx_book(path, {"Sheet1": rows}, merged=merged)


def write_xlsx_book(
    path: Path,
    sheets: dict[str, Rows],
    merged: str = "",
    hidden_sheets: Collection[str] = (),
    hidden_rows: Collection[int] = (),
) -> None:
    """A workbook of several sheets; ``merged`` and ``hidden_rows`` are of each of them."""
    override = '<Override PartName="/xl/{}" ContentType="' + _SHEET_TYPE + '.{}+xml"/>'
    kinds = [("workbook.xml", "sheet.main"), ("styles.xml", "styles")]
    kinds += [(f"worksheets/sheet{n}.xml", "worksheet") for n in range(1, len(sheets) + 1)]
    with ZipFile(path, "w", ZIP_DEFLATED) as archive:
        types = "".join(override.format(*kind) for kind in kinds)
        archive.writestr(
            "[Content_Types].xml",
            '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
            '<Default Extension="xml" ContentType="application/xml"/><Default Extension="rels" '
            f'ContentType="application/vnd.openxmlformats-package.relationships+xml"/>{types}</Types>',
        )
        link = f'<Relationship Id="r0" Type="{_OFFICE}/officeDocument" Target="xl/workbook.xml"/>'
        archive.writestr("_rels/.rels", _RELS.format(link))
        named = "".join(
            f'<sheet name="{escape(name)}" sheetId="{n}" r:id="r{n}"{HIDDEN if name in hidden_sheets else ""}/>'
            for n, name in enumerate(sheets, 1)
        )
        archive.writestr(
            "xl/workbook.xml", f'<workbook xmlns="{_MAIN}" xmlns:r="{_OFFICE}"><sheets>{named}</sheets></workbook>'
        )
        links = "".join(
            f'<Relationship Id="r{n}" Type="{_OFFICE}/worksheet" Target="worksheets/sheet{n}.xml"/>'
            for n in range(1, len(sheets) + 1)
        )
        links += f'<Relationship Id="s" Type="{_OFFICE}/styles" Target="styles.xml"/>'
        archive.writestr("xl/_rels/workbook.xml.rels", _RELS.format(links))
        archive.writestr("xl/styles.xml", _STYLES)
        for n, rows in enumerate(sheets.values(), 1):
            archive.writestr(f"xl/worksheets/sheet{n}.xml", _worksheet(rows, merged, hidden_rows))


HIDDEN = ' state="hidden"'


def _worksheet(rows: Rows, merged: str, hidden: Collection[int]) -> str:
    lines = "".join(
        f'<row r="{n}"{" hidden=" + chr(34) + "1" + chr(34) if n in hidden else ""}>'
        f"{''.join(_cell(n, c, v) for c, v in enumerate(row) if v != '')}</row>"
        for n, row in enumerate(rows, 1)
    )
    merge = f'<mergeCells count="1"><mergeCell ref="{merged}"/></mergeCells>' if merged else ""
    return f'<worksheet xmlns="{_MAIN}"><sheetData>{lines}</sheetData>{merge}</worksheet>'


@dataclass(frozen=True)
class Merged:
    """A cell of ods that covers ``down`` rows and ``across`` columns; those that it covers are written as ""."""

    value: object
    down: int = 1
    across: int = 1


def _ods_cell(value: object) -> str:
    spans = ""
    if isinstance(value, Merged):
        spans = f' table:number-rows-spanned="{value.down}" table:number-columns-spanned="{value.across}"'
        value = value.value
    if isinstance(value, datetime.date):
        kind, text = f'office:value-type="date" office:date-value="{value.isoformat()}"', value.strftime("%d-%b")
    elif isinstance(value, Fault):
        kind, text = 'office:value-type="string" office:string-value="" calcext:value-type="error"', str(value)
    elif isinstance(value, float | int):
        kind, text = f'office:value-type="float" office:value="{value}"', str(value)
    elif value == "":
        return f"<table:table-cell{spans}/>"
    else:
        kind, text = 'office:value-type="string"', str(value)
    return f"<table:table-cell {kind}{spans}><text:p>{escape(text)}</text:p></table:table-cell>"


def write_ods(path: Path, rows: Rows, hidden_rows: Collection[int] = ()) -> None:
    """A workbook of one sheet, "One"."""
    cells = "".join(
        f"<table:table-row{' table:visibility=' + chr(34) + 'collapse' + chr(34) if n in hidden_rows else ''}>"
        f"{''.join(map(_ods_cell, row))}</table:table-row>"
        for n, row in enumerate(rows, 1)
    )
    base = "urn:oasis:names:tc:opendocument:xmlns"
    with ZipFile(path, "w", ZIP_DEFLATED) as archive:
        archive.writestr("mimetype", "application/vnd.oasis.opendocument.spreadsheet")
        manifest = f'<manifest:manifest xmlns:manifest="{base}:manifest:1.0"/>'
        archive.writestr("META-INF/manifest.xml", manifest)
        archive.writestr(
            "content.xml",
            f'<office:document-content xmlns:office="{base}:office:1.0" xmlns:table="{base}:table:1.0" '
            f'xmlns:calcext="urn:org:documentfoundation:names:experimental:calc:xmlns:calcext:1.0" '
            f'xmlns:text="{base}:text:1.0"><office:body><office:spreadsheet><table:table table:name="One">{cells}'
            "</table:table></office:spreadsheet></office:body></office:document-content>",
        )


def write_csv(path: Path, rows: Rows) -> None:
    """The same rows as text; a date as a spreadsheet exports it."""
    with path.open("w", encoding="utf-8", newline="") as stream:
        writer = csv.writer(stream)
        writer.writerows([[v.strftime("%d-%b") if isinstance(v, datetime.date) else v for v in r] for r in rows])


Span = tuple[float, float]


@dataclass(frozen=True)
class Truth:
    """``good``: the bore in mm by row (27 means 26.5 to 27.5; None: unknown). ``bad``: rows to be refused."""

    good: dict[int, Span | None]
    bad: frozenset[int]


GOOD_CELLS: list[tuple[object, Span | None]] = [
    (28.575, (28.575, 28.575)), ('1 1/8"', (28.575, 28.575)), ("1-1/8 in", (28.575, 28.575)),
    ("1.1/8 in", (28.575, 28.575)), ("1½ in", (38.1, 38.1)), ("1Â½ in", (38.1, 38.1)), (27, (26.5, 27.5)),
    ("?", None), ("tbc", None), ("n/a", None), ("", None), ("30 mm", (30, 30)), ("1.125 in", (28.575, 28.575)),
    ("28 ±0.5", (27.5, 28.5)), ("28.0-28.6", (28, 28.6)), ("~28", (26, 30)), ("28.6 mm (1.126 in)", (28.6, 28.6)),
    ("ø30 mm", (30, 30)), ("30 mm (new)", (30, 30)), ("1 1/8â€", (28.575, 28.575)), ("30 H7", (30, 30.021)),
]  # fmt: skip
BAD_CELLS: list[object] = [
    datetime.date(2026, 3, 8), Fault("#REF!"), Fault("#N/A"), 44993, "10x4", "27/28", "28 or 29", "max 30 mm", "30 mm?",
    "08-Mar", "2026-03-08", "27,52", "see above", "same as drum", "#REF!", "l.125 in", "twelve", "28/0 in",
    "1.125 mm", "half inch",
]  # fmt: skip


def ugly_rows(seed: int, count: int = 500) -> tuple[list[list[object]], Truth]:
    """Two header rows, repeated headers, totals and empty rows among ``count`` rows of data."""
    made = random.Random(seed)
    rows: list[list[object]] = [["Bearings of the friend", "", ""], ["Part No", "Bore", "colour"], ["", "mm", ""]]
    good: dict[int, Span | None] = {}
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
