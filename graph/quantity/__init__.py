"""Lengths, angles, threads and other sizes, read as people write them.

`read_cell` reads one cell. Importing this package imports neither lark nor pint: they come with the
first cell that is not plain.
"""

from knockon.graph.quantity.cells.model import LENIENT, STRICT, CellError, Quantity, ReadingContext
from knockon.graph.quantity.cells.part_index import PartIndex
from knockon.graph.quantity.datatypes import DATATYPES, MEASURED, Datatype
from knockon.graph.quantity.read import LONGEST, no_such_day, read_cell
from knockon.graph.quantity.write import write_cell

__all__ = [
    "DATATYPES",
    "LENIENT",
    "LONGEST",
    "MEASURED",
    "STRICT",
    "CellError",
    "Datatype",
    "PartIndex",
    "Quantity",
    "ReadingContext",
    "no_such_day",
    "read_cell",
    "write_cell",
]
