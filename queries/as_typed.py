"""How names that a user types compare with those of the records, and the error of a question that cannot be read."""

from __future__ import annotations

import re


class RequestError(ValueError):
    """The question cannot be understood; the message says what was read and what is expected."""


def fold(name: str) -> str:
    """Names compare without case, blanks, hyphens and underscores."""
    return re.sub(r"[\s_-]+", " ", name.strip().casefold())
