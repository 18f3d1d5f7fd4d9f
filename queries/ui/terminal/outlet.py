"""Where the answer of a command goes when it is not printed: to who asked within this process, such as the page.

While an outlet is open, a command hands over its answer with the blocks of its text instead of writing them; whatever
else it writes, says beside the answer or refuses goes there too. All else of a command stays as it is.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from typing import TYPE_CHECKING, Any

import msgspec

from knockon.queries.ui.terminal.blocks import Block

if TYPE_CHECKING:
    from pathlib import Path

    from knockon.graph.model.catalogue import Catalogue
    from knockon.graph.records import Records

Load = Callable[["Path", tuple[str, ...]], "Records"]
Heard = Callable[[str, int, int], None]


class Answered(msgspec.Struct, frozen=True):
    """An answer by its name, the catalogue that its text is made from, and the blocks of that text."""

    name: str
    answer: Any
    status: int
    catalogue: Catalogue
    blocks: tuple[Block, ...]


class Outlet:
    """What one command left: ``answered``, if it came so far; ``blocks`` that it showed without an answer; ``written``
    to the standard output; ``beside`` it; and of a mistake the option or argument that it is about (``about``).

    ``load`` gives records that were read before; ``heard`` is called as a step of long work begins.
    """

    def __init__(self, load: Load | None = None, heard: Heard | None = None) -> None:
        self.load, self.heard = load, heard
        self.answered: Answered | None = None
        self.blocks: list[Block] = []
        self.written = bytearray()
        self.beside: list[str] = []
        self.mistake, self.about = "", ""

    def write(self, text: str | bytes) -> None:
        """Keep what would have gone to the standard output."""
        self.written += text.encode() if isinstance(text, str) else text

    def refused(self, mistake: str, about: str = "") -> None:
        """Keep why a command did not do what was asked, and which option or argument is wrong."""
        self.mistake, self.about = mistake, about


_open: ContextVar[Outlet | None] = ContextVar("outlet", default=None)


def outlet_now() -> Outlet | None:
    """The outlet that is open, if one is."""
    return _open.get()


@contextmanager
def outlet_open(outlet: Outlet) -> Iterator[Outlet]:
    """Within this block answers go to this outlet."""
    token = _open.set(outlet)
    try:
        yield outlet
    finally:
        _open.reset(token)
