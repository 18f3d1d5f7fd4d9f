"""Several names in one text."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Self


class Several(str):
    """Names in one text, ``ALDER-111, ALDER-112``, which still knows each of them."""

    __slots__ = ("between", "each")
    each: tuple[str, ...]
    between: str

    def __new__(cls, each: Iterable[str], between: str = ", ") -> Self:
        """Of these names, with a text between each two."""
        names = tuple(each)
        text = super().__new__(cls, between.join(names))
        text.each, text.between = names, between
        return text

    def __reduce__(self) -> tuple[type[Self], tuple[tuple[str, ...], str]]:  # to be copied
        return type(self), (self.each, self.between)
