"""What random worlds may hold beside the plain things: each can be left out, to see what comes of it."""

from __future__ import annotations

SET_JOINTS = "a set states a joint as made"
SET_ITEMS = "a named thing is a member of a set"
PINS = "a one-use part that only a joint owns"
STRADDLING = "claims where sizes straddle"
PRESSED = "a carrier with what is pressed into it"
NOT_RECORDED = "a needed place of which nothing is recorded"
TO_BE_FOUND = "a part type without any accepted part"
SURCHARGES = "exchange surcharges"
THREADS = "threads with and without a written hand"
SAME_NUMBER = "another vehicle's reading on the same number"
CHAINS = "a chain of one-use parts that both go"
PRICE_FIRST = "prices preferred"
READ_IN_PLACE = "a reading bound to a place of a vehicle"
CHOICES = "two choices, and a vehicle that says one of them or none"
REACH = "a thing in the way of another"

ALL = (
    SET_JOINTS,
    SET_ITEMS,
    PINS,
    STRADDLING,
    PRESSED,
    NOT_RECORDED,
    TO_BE_FOUND,
    SURCHARGES,
    THREADS,
    SAME_NUMBER,
    READ_IN_PLACE,
    CHAINS,
    PRICE_FIRST,
    CHOICES,
    REACH,
)

PLAIN: frozenset[str] = frozenset()
"""Worlds without any of it."""
