"""A group of commands that says which there are where a name is none of them."""

from __future__ import annotations

import click

from knockon.queries.ui.sentences.shell import NO_SUCH_COMMAND


class StrictGroup(click.Group):
    """Older versions of click take a name that starts with a sign for an option, and show the help as if none had been
    given."""

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As click does, but for names that it does not know, or takes for an option: there it says what there is."""
        if args and not args[0].startswith("-") and self.get_command(ctx, args[0]) is None:
            ctx.fail(NO_SUCH_COMMAND.format(name=repr(args[0]), names=", ".join(self.list_commands(ctx))))
        return super().resolve_command(ctx, args)
