"""The demo world as queries see it, and what each ready-made query needs to be told there."""

from functools import cache
from importlib import resources
from pathlib import Path

import pyoxigraph as ox

from knockon.graph.model.catalogue import Catalogue
from knockon.graph.records.asked import asked_of

DEMO = Path(str(resources.files("knockon.data_demo")))
GIVEN = {
    "parts-by-size": {"kind": "spacer", "dimension": "length", "least": "0.5 in", "most": "14"},
    "where-else-used": {"part": "ALDER-212"},
    "what-it-touches": {"part": "ROWAN-201"},
    "look-alikes": {"part": "ROWAN-201"},
    "threads-like": {"diameter": "3/8 in"},
    "kits-with-part": {"part": "ROWAN-251"},
    "offers-of": {"part": "LARCH-203L"},
    "claims-about": {"part": "HAZEL-911"},
}


@cache
def asked() -> tuple[tuple[ox.Quad, ...], Catalogue]:
    """The statements and the catalogue, read once for all tests."""
    quads, catalogue = asked_of(DEMO)
    return tuple(quads), catalogue
