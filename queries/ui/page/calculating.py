"""The rooms of the workshop's arithmetic: one for each subject, with the fields of its command."""

from __future__ import annotations

import functools

import click

from knockon.queries.ui.command_line import knockon
from knockon.queries.ui.page.addresses import Room, parameters_of


@functools.cache
def subjects() -> dict[str, Room]:
    """The rooms by subject; one that writes a file is none."""
    context = click.Context(knockon, info_name="knockon")
    group = knockon.get_command(context, "calculate")
    assert isinstance(group, click.Group)
    return {
        name: _room(name, command)
        for name, command in sorted(group.commands.items())
        if not any(isinstance(p.type, click.Path | click.File) for p in command.params)
    }


def _room(name: str, command: click.Command) -> Room:
    known = {n: p for n, p in parameters_of(command).items() if n != "json"}
    arguments = tuple(n for n, p in known.items() if isinstance(p, click.Argument))
    flags = tuple(n for n, p in known.items() if isinstance(p, click.Option) and p.is_flag)
    options = tuple(n for n in known if n not in arguments and n not in flags)
    pairs = tuple(n for n in options if known[n].nargs > 1)
    return Room(f"calculate {name}", f"/calculate/{name}", ("calculate", name), arguments, options, flags, pairs=pairs)
