"""The datatypes of cells. A new one is a file here, named in the list below, and its lines in the vocabulary."""

from knockon.graph.quantity.cells.cell import Datatype
from knockon.graph.quantity.datatypes.length import LENGTH
from knockon.graph.quantity.datatypes.measured import ANGLE, FORCE, NUMBER, PRESSURE, RATIO, TORQUE
from knockon.graph.quantity.datatypes.splines import COUNT, SPLINE_PITCH
from knockon.graph.quantity.datatypes.thread import THREAD
from knockon.graph.quantity.datatypes.trade import MONEY, QUANTITY
from knockon.graph.quantity.datatypes.words import CODE, DATE, HAND, PART_NUMBER

DATATYPES: dict[str, Datatype] = {
    datatype.name: datatype
    for datatype in (
        *(LENGTH, ANGLE, COUNT, RATIO, PRESSURE, TORQUE, FORCE, NUMBER, THREAD, SPLINE_PITCH),
        *(QUANTITY, MONEY, CODE, PART_NUMBER, HAND, DATE),
    )
}
"""Each datatype by its name."""

MEASURED = frozenset(datatype.name for datatype in DATATYPES.values() if datatype.sort == "size")
"""The datatypes of sizes that can be measured on a part."""

__all__ = ["DATATYPES", "MEASURED", "Datatype"]
