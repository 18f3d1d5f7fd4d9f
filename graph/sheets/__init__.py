"""Sheets as people keep them: CSV of any delimiter and encoding, xlsx, xls and ods, as rows of text."""

from knockon.graph.sheets.heads import Head, find_head, is_data
from knockon.graph.sheets.opened import Sheet, SheetError, StoredNumber, open_sheets

__all__ = ["Head", "Sheet", "SheetError", "StoredNumber", "find_head", "is_data", "open_sheets"]
