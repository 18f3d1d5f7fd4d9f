"""Text that goes to a terminal: what stands in a record, a file's name or a server's answer must not steer it."""

from __future__ import annotations

import sys

import click

from knockon.queries.ui.terminal.outlet import outlet_now


def clean(text: str) -> str:
    """The text without control characters."""
    return "".join(c if c.isprintable() or c == "\n" else " " if c in "\t\r" else "�" for c in text)


def say_beside(text: str) -> None:
    """A line on the standard error output, beside the answer; where that is closed nothing is said."""
    outlet = outlet_now()
    if outlet is not None:
        outlet.beside.append(clean(text))
        return
    try:
        click.echo(clean(text), err=True)
    except (OSError, ValueError):
        sys.stderr = None
