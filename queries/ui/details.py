"""What a page leaves out and shows on demand: the same options, with the same meaning, in all commands; and the
commands to paste that end a page."""

from __future__ import annotations

import functools
import re
import shlex
from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import TYPE_CHECKING, Any

import click
import msgspec
from msgspec.structs import fields

from knockon.queries.ui.sentences.help.details import DETAILS, WHY, WHY_OF_ALL
from knockon.queries.ui.sentences.shell import NEXT
from knockon.queries.ui.terminal.blocks import QUIET, Block, Typed
from knockon.queries.ui.terminal.screen import WIDEST

if TYPE_CHECKING:
    from knockon.queries.ui.asking import Settings


WORDS = re.compile(r"(?:'[^']*'|\"[^\"]*\"|\S)+")


class Shown(msgspec.Struct, frozen=True):
    """Which parts of the long answer are shown instead of the first page; ``why``: of one name, blank for all."""

    why: str | None = None
    measure: bool = False
    evidence: bool = False
    notes: bool = False
    others: bool = False
    full: bool = False

    @property
    def parts(self) -> bool:
        """Whether some part is asked for by itself."""
        return self.why is not None or self.measure or self.evidence or self.notes or self.others


def detailed(
    *names: str, why: str = "", says: Mapping[str, str] | None = None
) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    """Give a command the options ``names`` of those above; it is called with ``shown``, a Shown.

    ``why``: what ``--why`` may name, as ``POSITION``; ``says``: by option what it shows, where that can be said more
    exactly.
    """

    def with_details(command: Callable[..., Any]) -> Callable[..., Any]:
        @functools.wraps(command)
        def called(*args: Any, **options: Any) -> Any:
            shown = {f.name: options.pop(f.name) for f in fields(Shown) if f.name in names}
            return command(*args, shown=Shown(**shown), **options)

        given: Callable[..., Any] = called
        for name in reversed(names):
            given = _option(name, why, (says or {}).get(name, ""))(given)
        return given

    return with_details


def _option(name: str, why: str, says: str) -> Callable[[Callable[..., Any]], Callable[..., Any]]:
    if name != "why":
        return click.option(f"--{name}", is_flag=True, help=says or DETAILS[name])
    if not why:
        return click.option("--why", is_flag=True, flag_value="", default=None, type=str, help=says or WHY_OF_ALL)
    words = says or WHY.format(name=why.lower())
    return click.option("--why", metavar=f"[{why}]", is_flag=False, flag_value="", default=None, help=words)


def as_typed(settings: Settings, *words: str, **options: str | Sequence[str]) -> str:
    """The command as it would be typed, without what shows a part of its answer: to be shown again with more."""
    typed = ["knockon"]
    typed += ["--records", str(settings.records)] if settings.records is not None else []
    typed += ["--server", settings.server] if settings.server else []
    typed += [word for name in settings.without for word in ("--without", name)]
    typed += words
    for option, values in options.items():
        given = [values] if isinstance(values, str) else values
        typed += [word for value in given if value for word in (f"--{option}", value)]
    return shlex.join(typed)


def next_blocks(commands: Sequence[str]) -> Iterator[Block]:
    """The commands to paste that end a page, below each other; a long one goes on in the next line as in a shell."""
    indent = len(NEXT) + 1
    for i, command in enumerate(commands):
        first, *rest = _folded(command, WIDEST - indent - 2)
        said, at = (first, indent) if i else (f"{NEXT} {first}", 0)
        yield Typed(said, indent=at, tone=QUIET, command=command)
        yield from (Typed(piece, indent=indent + 2, tone=QUIET) for piece in rest)


def command_blocks(template: str, command: str, indent: int) -> Iterator[Block]:
    """A command to paste within a page, after a word or two; a long one goes on as in a shell."""
    first, *rest = _folded(command, WIDEST - indent - len(template) - 2)
    yield Typed(template.format(command=first), indent=indent, tone=QUIET, command=command)
    yield from (Typed(piece, indent=indent + 2, tone=QUIET) for piece in rest)


def _folded(command: str, width: int) -> list[str]:
    """A command in lines of a shell, each but the last ending in a backslash; a quoted word is never parted."""
    lines = [""]
    for word in WORDS.findall(command):
        if lines[-1] and len(f"{lines[-1]} {word} \\") > width:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return [f"{line} \\" for line in lines[:-1]] + lines[-1:]
