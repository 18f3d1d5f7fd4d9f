"""What to type instead, where click cannot read the words of a command."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import click

from knockon.queries.ui.naming import plural
from knockon.queries.ui.sentences import shell as says

OTHER_WORDS = {
    "replace": "swap", "change": "swap", "convert": "swap", "plan": "swap", "forces": "swap",
    "compatible": "fits", "match": "fits", "matches": "partners", "goes-with": "partners",
    "show": "part", "info": "part", "find": "list", "search": "list", "look": "list", "difference": "tell-apart",
    "compare": "tell-apart", "recognise": "identify", "recognize": "identify", "candidates": "identify",
    "car": "vehicle", "validate": "check", "test": "check",
    "query": "ask", "calc": "calculate", "convert-records": "upgrade", "update": "upgrade", "load": "import",
}  # fmt: skip
"""Other words for a command."""

MOST_OPTIONS = 20


def instead(error: click.ClickException) -> str:
    """What to type instead, a line for each thing that is wrong; blank where click says all."""
    return "\n".join(_lines(error)) if isinstance(error, click.UsageError) else ""


def _lines(error: click.UsageError) -> Iterator[str]:
    context = error.ctx
    if isinstance(error, click.NoSuchOption) and context is not None:
        options = [max(p.opts, key=len) for p in context.command.get_params(context) if isinstance(p, click.Option)]
        yield says.OPTIONS_ARE.format(options=", ".join(options[:MOST_OPTIONS]))
    elif isinstance(error, click.MissingParameter) and error.param is not None and context is not None:
        yield from _missing(error.param, context)
    elif extra := re.search(r"extra arguments? \((.*)\)", error.message):
        folders = [word for word in extra[1].split() if Path(word).is_dir()]
        names = context is None or any(isinstance(p, click.Argument) for p in context.command.params)
        if folders:
            yield says.A_FOLDER.format(folder=folders[0])
        else:
            yield says.IN_QUOTES if names else says.NO_NAME


def _missing(parameter: click.Parameter, context: click.Context) -> Iterator[str]:
    from knockon.queries.find.listing import SORTS

    metavar = parameter.make_metavar(context)
    if isinstance(parameter, click.Option):
        yield says.TYPE_IT.format(written=f"{parameter.opts[0]} {metavar}", help=parameter.help or "")
    things = plural(metavar.casefold())
    if things in SORTS:
        yield says.LIST_THEM.format(things=things)


def in_plain_words(message: str) -> str:
    """Without the words of a programmer."""
    return re.sub(r"a.valid.int\w*(.range)?", says.WHOLE_NUMBER, message)
