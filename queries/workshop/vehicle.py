"""What stands with every answer about brakes, wheels and steering: the words that these parts bring to any answer."""

from __future__ import annotations

from knockon.graph.triples.cautions import shipped_cautions
from knockon.queries.answers import CAUTION, RULES

VEHICLE_SHORT_CAUTIONS = (CAUTION, *(c.text for c in shipped_cautions() if c.order == RULES))
