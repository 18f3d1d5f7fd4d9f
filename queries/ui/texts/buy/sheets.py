"""Sheets of an order, one of each kind a supplier: the letter as text, the lines as CSV, both as a workbook."""

from __future__ import annotations

import csv
import io
import re
from decimal import Decimal
from pathlib import Path
from tempfile import mkdtemp

from knockon.graph.files.atomic import own_umask
from knockon.queries.buy.order import OrderBought
from knockon.queries.ui.naming import Naming
from knockon.queries.ui.sentences import buy as say
from knockon.queries.ui.texts.buy.letter import letter

Row = tuple[str, str, str, int, int, Decimal, Decimal]


def write_sheets(naming: Naming, order: OrderBought, folder: Path) -> list[str]:
    """Write the sheets of an order into a new folder, all or none; the suppliers. Raises OSError."""
    files: dict[str, bytes] = {}
    suppliers = [bill.supplier for bill in order.parcel_bills]
    for supplier in suppliers:
        name = re.sub(r"[^a-z0-9]+", "-", supplier.casefold()).strip("-") or "supplier"
        while f"{name}.csv" in files:
            name += "-2"
        text = letter(naming, order, supplier)
        files[f"{name}.txt"] = ("\n".join(text) + "\n").encode()
        files[f"{name}.csv"] = _table(rows_of(order, supplier))
        files[f"{name}.xlsx"] = _workbook(rows_of(order, supplier), text)
    beside = Path(mkdtemp(dir=folder.parent, prefix=f".{folder.name}."))
    for name, content in files.items():
        (beside / name).write_bytes(content)
    beside.chmod(0o777 & ~own_umask())
    beside.rename(folder)
    return suppliers


def rows_of(order: OrderBought, supplier: str) -> list[Row]:
    """The lines of one supplier, with exact amounts."""
    return [
        (x.supplier, x.part or x.kit, x.title, x.quantity, x.pack, Decimal(x.price), Decimal(x.price) * x.quantity)
        for x in order.lines
        if x.supplier == supplier
    ]


def _table(rows: list[Row]) -> bytes:
    stream = io.StringIO(newline="")
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(say.SHEET_HEAD.split(","))
    writer.writerows(rows)
    return stream.getvalue().encode()


def _workbook(rows: list[Row], text: list[str]) -> bytes:
    """A workbook with the same bytes whenever it is made."""
    from datetime import datetime

    import xlsxwriter

    stream = io.BytesIO()
    book = xlsxwriter.Workbook(stream, {"in_memory": True, "strings_to_formulas": False, "strings_to_urls": False})
    book.set_properties({"created": datetime(2000, 1, 1)})
    sheet, bold, money = book.add_worksheet(say.SHEET), book.add_format({"bold": True}), book.add_format()
    money.set_num_format("0.00")
    for column, name in enumerate(say.SHEET_HEAD.split(",")):
        sheet.write_string(0, column, name, bold)
    for number, row in enumerate(rows, 1):
        for column, cell in enumerate(row):
            if isinstance(cell, str):
                sheet.write_string(number, column, cell)
            elif isinstance(cell, int | Decimal):
                sheet.write_number(number, column, float(cell), money if isinstance(cell, Decimal) else None)
    sheet.set_column(0, 2, 26)
    letters = book.add_worksheet(say.LETTER_SHEET)
    letters.set_column(0, 0, 100)
    for number, line in enumerate(text):
        letters.write_string(number, 0, line)
    book.close()
    return stream.getvalue()
