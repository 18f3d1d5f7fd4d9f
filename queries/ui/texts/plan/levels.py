"""The levels of preference in words."""

from __future__ import annotations

from knockon.queries.plan.solving.levels import CHANGES, NOT_KNOWN, PRICE, UNOFFERED, UNPROVEN

COUNTED = {
    NOT_KNOWN: ("check not known", "checks not known"),
    CHANGES: ("position changed", "positions changed"),
    UNPROVEN: ("unproven check", "unproven checks"),
    UNOFFERED: ("line that nobody offers", "lines that nobody offers"),
}
"""One and several of what counts in a level; the price is an amount."""
COMPARED = {
    NOT_KNOWN: "checks not known",
    CHANGES: "parts changed",
    UNPROVEN: "checks unproven",
    UNOFFERED: "lines not offered",
    PRICE: "price",
}
"""What plans are ordered by, side by side."""
