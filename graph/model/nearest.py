"""Names most like a name that nothing has."""

from __future__ import annotations

from collections.abc import Iterable


def nearest(text: str, known: Iterable[str], most: int = 3) -> tuple[str, ...]:
    """The known names nearest to what was written, best first."""
    from rapidfuzz import fuzz, process, utils  # only a mistake pays for it

    found = process.extract(
        text, sorted(known), scorer=fuzz.WRatio, processor=utils.default_process, limit=most, score_cutoff=60
    )
    return tuple(name for name, _, _ in found)
