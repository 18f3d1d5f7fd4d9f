"""The usual sizes of dimensions: what tells inch from mm where a sheet says neither."""

from __future__ import annotations

from functools import cache
from importlib import resources
from pathlib import Path

import pyoxigraph as ox

from knockon.graph.schema import RDF, VOCAB, VocabularyError

_USUAL = ox.NamedNode(VOCAB + "UsualSize")
Ranges = dict[tuple[str, str], tuple[float, float]]


def usual_sizes(folder: Path) -> Ranges:
    """Lowest and highest usual size in mm by (record table, dimension): ours, then those of a folder's own *.ttl.

    Raises VocabularyError, naming the file, where one cannot be used.
    """
    found = dict(shipped_sizes())
    for path in sorted(folder.glob("*.ttl")):
        found |= _read(path.name, path.read_bytes())
    return found


@cache
def shipped_sizes() -> Ranges:
    """The usual sizes that we state, without those of any folder."""
    shipped = resources.files("knockon.graph.mapping").joinpath("usual-sizes.ttl")
    return _read("usual-sizes.ttl", shipped.read_bytes())


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
        raise VocabularyError(f"{name}: a usual size cannot be read: {error}") from error
    return found
