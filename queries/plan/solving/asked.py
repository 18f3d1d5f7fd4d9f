"""What is asked, in the words in which one would type it."""

from __future__ import annotations

from typing import Self

from knockon.graph.model.layouts.layout import Place

WANT, KEEP, RENEW, AVOID = "want", "keep", "renew", "avoid"


class Asked(str):
    """One thing that is asked, in words: ``rotor=LARCH-201``, ``keep left hub``, ``avoid ALDER-111``.

    It knows the ``option`` it is typed with, the ``words`` behind that, and of which ``places`` it is.
    """

    __slots__ = ("option", "places", "words")
    option: str
    words: str
    places: tuple[Place, ...]

    def __new__(cls, option: str, words: str, places: tuple[Place, ...] = ()) -> Self:
        """Of an option, its words and their places."""
        text = super().__new__(cls, words if option == WANT else f"{option} {words}")
        text.option, text.words, text.places = option, words, places
        return text

    def __reduce__(self) -> tuple[type[Self], tuple[str, str, tuple[Place, ...]]]:  # to be copied
        return type(self), (self.option, self.words, self.places)
