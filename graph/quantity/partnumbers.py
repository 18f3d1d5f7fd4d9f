"""Part numbers as they are written, against those that are known."""

from __future__ import annotations


class PartIndex:
    """The known part numbers with their names, prepared for look-up."""

    def __init__(self, names: dict[str, str]) -> None:
        self.names = names

    def named(self, text: str) -> tuple[str, ...]:
        """The numbers whose names hold one of the words of `text`."""
        return ()
