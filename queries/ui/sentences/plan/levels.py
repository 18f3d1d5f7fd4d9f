"""The levels of preference in words."""

from typing import Final

CHECK_NOT_KNOWN: Final = ("check not known", "checks not known")
POSITION_CHANGED: Final = ("position changed", "positions changed")
UNPROVEN_CHECK: Final = ("unproven check", "unproven checks")
LINE_NOT_OFFERED: Final = ("line that nobody offers", "lines that nobody offers")

CHECKS_NOT_KNOWN: Final = "checks not known"
PARTS_CHANGED: Final = "parts changed"
CHECKS_UNPROVEN: Final = "checks unproven"
LINES_NOT_OFFERED: Final = "lines not offered"
COST: Final = "price"

MORE: Final = "{number} more {what}"
FEWER: Final = "{number} fewer {what}"
DEARER: Final = "{money} dearer"
CHEAPER: Final = "{money} cheaper"
NO_PRICES: Final = "the prices cannot be compared"
SAME: Final = "the costs are the same"
