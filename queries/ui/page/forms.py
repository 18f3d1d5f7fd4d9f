"""Forms that only ask: the fields of a room are the arguments and options of its command."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import click

from knockon.queries.ui.command_line import knockon
from knockon.queries.ui.page.addresses import DETAILS, Query, Room, parameters_of
from knockon.queries.ui.page.pieces import Button, Field, Form
from knockon.queries.ui.sentences import page as say

HIDDEN = (*DETAILS, "prefer", "time-limit", "plans", "turning", "side-by-side", "instead-of", "accept", "first")
"""Options that a room takes from an address and that no form shows."""


def command_of(room: Room) -> click.Command:
    """The command that a room asks."""
    context = click.Context(knockon, info_name="knockon")
    command: click.Command | None = knockon
    for word in room.command:
        assert isinstance(command, click.Group)
        command = command.get_command(context, word)
    assert command is not None
    return command


def ask_form(room: Room, query: Query, button: str) -> Form | None:
    """The form with which a room is asked, filled with what was asked; None where its address says all."""
    fields = tuple(_fields(room, query))
    return Form("ask", fields, (Button(button),)) if fields else None


def _fields(room: Room, query: Query) -> Iterator[Field]:
    known = parameters_of(command_of(room))
    for name in (*room.arguments, *room.options, *room.flags):
        parameter = known.get(name) or known.get(name.removesuffix("s"))
        if parameter is not None and name not in HIDDEN and name not in room.places:
            yield _field(name, parameter, query)


def _field(name: str, parameter: click.Parameter, query: Query) -> Field:
    help_text: Any = getattr(parameter, "help", None) or ""
    many = bool(getattr(parameter, "multiple", False)) or parameter.nargs == -1
    choices = tuple(str(c) for c in parameter.type.choices) if isinstance(parameter.type, click.Choice) else ()
    kind = "check" if getattr(parameter, "is_flag", False) else "choice" if choices else "area" if many else "text"
    return Field(
        name=name,
        label=say.FIELDS.get(name, name.replace("-", " ").capitalize()),
        kind=kind,
        value="\n".join(query.get(name, ())),
        hint=say.HINTS.get(name, str(help_text)),
        choices=choices,
        many=many,
        required=parameter.required,
    )
