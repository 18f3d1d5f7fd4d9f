"""Laying blocks out as lines of text: in colour on a terminal that wants it, in ASCII where it must be."""

from __future__ import annotations

import io
import os
import shutil
import sys
import unicodedata
from collections.abc import Iterable
from contextlib import suppress
from typing import TYPE_CHECKING

import msgspec

from knockon.queries.ui.terminal.blocks import (
    BAD,
    GOOD,
    PLAIN,
    QUIET,
    STRONG,
    WARN,
    Block,
    Box,
    Gap,
    Grid,
    Heading,
    Para,
)
from knockon.queries.ui.terminal.plain import clean
from knockon.queries.ui.terminal.unstyled import NeedsRich, laid_out

if TYPE_CHECKING:
    from rich.console import Console, RenderableType
    from rich.text import Text

WIDEST, NARROWEST = 100, 40
STYLES = {PLAIN: "", STRONG: "bold", GOOD: "green", WARN: "yellow", BAD: "bold red", QUIET: "dim"}
PLAIN_LETTERS = str.maketrans({"×": "x", "±": "+/-", "–": "-", "—": "-", "→": "->", "≥": ">=", "≤": "<=", "°": " deg",
                               "µ": "u", "½": " 1/2", "¼": " 1/4", "¾": " 3/4", "″": '"', "′": "'", "“": '"', "”": '"',
                               "‘": "'", "’": "'", "…": "...", "Ø": "dia "})  # fmt: skip


class Screen(msgspec.Struct, frozen=True):
    """Where the text goes: its width in columns, whether it takes colour, the encoding of the stream, and the lines
    that a terminal shows at once (0: it is none)."""

    width: int = WIDEST
    colour: bool = False
    encoding: str = "utf-8"
    height: int = 0

    @classmethod
    def of_stdout(cls) -> Screen:
        """The standard output: at most 100 columns, the terminal's own width if that is less."""
        stream = sys.stdout
        terminal = bool(stream is not None and stream.isatty())
        size = shutil.get_terminal_size((WIDEST, 24))
        width = min(WIDEST, max(NARROWEST, size.columns)) if terminal else WIDEST
        colour = terminal and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
        return cls(width, colour, getattr(stream, "encoding", None) or "utf-8", size.lines if terminal else 0)

    @property
    def is_unicode(self) -> bool:
        """Whether the stream can encode everything."""
        return self.encoding.lower().replace("_", "-").startswith("utf")


def render(blocks: Iterable[Block], screen: Screen | None = None) -> str:
    """The blocks as text, ending in one line break; no line is longer than the screen or ends in a blank."""
    screen = screen or Screen()
    said = list(blocks)
    if not screen.colour:
        with suppress(NeedsRich):
            return _joined(laid_out(said, screen.width, screen.is_unicode), screen)
    return _joined(_styled(said, screen), screen)


def _joined(lines: Iterable[str], screen: Screen) -> str:
    return encodable("\n".join(line.rstrip() for line in lines).strip("\n") + "\n", screen.encoding)


def _styled(blocks: Iterable[Block], screen: Screen) -> list[str]:
    """The lines as rich lays them out."""
    from rich.console import Console

    out = io.StringIO()
    console = Console(
        file=out,
        width=screen.width,
        force_terminal=screen.colour,
        no_color=not screen.colour,
        color_system="standard" if screen.colour else None,
        highlight=False,
        markup=False,
        emoji=False,
        legacy_windows=False,
        _environ={},
    )
    for block in blocks:
        if isinstance(block, Heading):
            console.print()
        if isinstance(block, Para):
            console.print(_paragraph(block, console), soft_wrap=True)
        else:
            console.print(_laid_out(block, screen))
    return out.getvalue().splitlines()


def _laid_out(block: Gap | Heading | Grid | Box, screen: Screen) -> RenderableType:
    from rich.text import Text

    if isinstance(block, Gap):
        return Text("")
    if isinstance(block, Heading):
        return Text(clean(block.text).upper(), style="bold")
    if isinstance(block, Grid):
        return _table(block)
    return _box(block, screen)


def _paragraph(block: Para, console: Console) -> Text:
    """The paragraph's lines, wrapped, behind its mark; a table of two cells would lay it out so, but slowly."""
    from rich.text import Text

    style, mark = STYLES[block.tone], clean(block.mark)
    hanging = max(2, len(mark)) + 1 if mark else 0
    text = Text(clean(block.text), style=style)
    lines = text.wrap(console, max(1, console.width - block.indent - hanging), overflow="fold")
    out = Text()
    for n, line in enumerate(lines or [Text("")]):
        out.append("\n" * (n > 0) + " " * block.indent)
        out.append((mark if n == 0 else "").ljust(hanging), style=style)
        out.append_text(line)
    return out


def _table(block: Grid) -> RenderableType:
    from rich.padding import Padding
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, show_header=bool(block.head), pad_edge=False, padding=(0, 2, 0, 0), header_style="bold")
    columns = max(len(row) for row in (*block.rows, block.head))
    for i in range(columns):
        head = clean(block.head[i]) if i < len(block.head) else ""
        table.add_column(Text(head), justify="right" if i in block.right else "left", overflow="fold")
    for row in block.rows:
        table.add_row(*(Text(clean(cell), overflow="fold") for cell in row))
    return Padding(table, (0, 0, 0, block.indent))


def _box(block: Box, screen: Screen) -> RenderableType:
    from rich import box
    from rich.panel import Panel
    from rich.text import Text

    first, *rest = block.lines
    text = Text(clean(first), style=STYLES[block.tone])
    for line in rest:
        text.append("\n" + clean(line), style="")
    return Panel(text, box=box.HEAVY if screen.is_unicode else box.ASCII, border_style=STYLES[block.tone], expand=False)


def encodable(text: str, encoding: str) -> str:
    """The text in letters that the encoding has: signs by their ASCII stand-ins, accents dropped, the rest as ``?``."""
    try:
        text.encode(encoding)
        return text
    except (UnicodeEncodeError, LookupError):
        letters = unicodedata.normalize("NFKD", text.translate(PLAIN_LETTERS))
        return "".join(c for c in letters if not unicodedata.combining(c)).encode("ascii", "replace").decode("ascii")
