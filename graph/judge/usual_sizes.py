"""The usual sizes of dimensions: what tells inch from mm where a sheet says neither."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pyoxigraph as ox

from knockon.graph.files.shipped import shipped
from knockon.graph.model.schema import RDF, VOCAB, VocabularyError, own_files
from knockon.graph.quantity import Quantity

_USUAL = ox.NamedNode(VOCAB + "UsualSize")
Range = tuple[float, float]
Ranges = dict[tuple[str, str], Range]
INCH = 25.4
EPSILON = 1e-6


def usual_sizes(folder: Path) -> Ranges:
    """Lowest and highest usual size in mm by (record table, dimension): ours, then those of a folder's own *.ttl that
    are in order (``check`` tells of the others)."""
    found = dict(shipped_sizes())
    own = tuple(own_files(folder))
    if own:
        from knockon.graph.rulebook.own import usable_triples  # brings the shapes, which only a club's own Turtle needs

        text = ox.serialize(usable_triples(own), format=ox.RdfFormat.N_TRIPLES)
        found |= _read("own", text or b"")
    return found


@cache
def shipped_sizes() -> Ranges:
    """The usual sizes that we state, without those of any folder."""
    return _read("usual-sizes.ttl", shipped("graph", "judge", "usual-sizes.ttl").read_bytes())


@cache
def asked_back_sizes() -> Ranges:
    """Wider ones, for dimensions of which those say nothing: outside them a reading is asked back, and no more."""
    return _read("asked-back-sizes.ttl", shipped("graph", "judge", "asked-back-sizes.ttl").read_bytes())


def _read(name: str, text: bytes) -> Ranges:
    try:
        store = ox.Store()
        store.load(text, format=ox.RdfFormat.TURTLE)
        nodes = [q.subject for q in store.quads_for_pattern(None, ox.NamedNode(RDF + "type"), _USUAL)]
        found: Ranges = {}
        for node in nodes:
            said = {
                q.predicate.value: str(getattr(q.object, "value", ""))
                for q in store.quads_for_pattern(node, None, None)
            }
            table, dimension = said[VOCAB + "table"], said[VOCAB + "dimension"]
            found["features/" + table, dimension] = float(said[VOCAB + "low"]), float(said[VOCAB + "high"])
    except (SyntaxError, ValueError, KeyError, OSError) as error:
        raise VocabularyError(f"{name} has a usual size that cannot be read: {error}") from error
    return found


def is_outside(low: float | None, high: float | None, usual: Range) -> bool:
    """Whether a size lies wholly outside what is usual."""
    return (high is not None and high < usual[0] - EPSILON) or (low is not None and low > usual[1] + EPSILON)


def slips(quantity: Quantity, usual: Range) -> Iterator[str]:
    """What a length outside the usual sizes may be, by a slip of the point or of the unit, and would be usual."""
    ends = [x for x in (quantity.low, quantity.high) if x is not None]
    middle = sum(ends) / len(ends)
    inches = quantity.unit.casefold().strip(' ."') in ("in", "inch", "inches", "") and quantity.unit != ""
    number, unit, other = (middle / INCH, "in", "mm") if inches else (middle, "mm", "in")
    for factor in (0.1, 10, 0.01, 100):
        if usual[0] <= middle * factor <= usual[1]:
            yield f"{number * factor:.6g} {unit}"
            return
    if usual[0] <= number * (1 if inches else INCH) <= usual[1]:
        yield f"{number:.6g} {other}"
