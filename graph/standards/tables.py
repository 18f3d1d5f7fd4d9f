"""Reading of the tables that lie beside the formulas as CSV."""

from __future__ import annotations

import csv
from functools import cache

from knockon.graph.files.shipped import shipped


@cache
def table(name: str) -> tuple[dict[str, str], ...]:
    """The rows of ``NAME.csv`` of this package, cells as text by column header."""
    text = shipped("graph", "standards", f"{name}.csv").read_text("utf-8")
    return tuple(csv.DictReader(text.splitlines()))
