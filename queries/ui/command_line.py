"""The command line: one group, each command in a module of its own that is imported only when it is asked for."""

from __future__ import annotations

import difflib
import io
import textwrap
from collections.abc import Sequence
from importlib import import_module

import click

from knockon import __version__
from knockon.queries.ui.asking import CouldNotRun, Settings, answering
from knockon.queries.ui.having_written import A_FAULT, STOPPED, WrittenButNotShown
from knockon.queries.ui.plain import clean, say_beside

# Command -> (module, its attribute). Order: as they are listed.
COMMANDS = {
    "swap": ("plan.swap", "swap"),
    "fits": ("fits.fits", "fits"),
    "partners": ("fits.partners", "partners"),
    "part": ("fits.part", "part"),
    "tell-apart": ("find.tell_apart", "tell_apart"),
    "vehicle": ("find.vehicle", "vehicle"),
    "list": ("find.list_", "list_things"),
    "combinations": ("plan.combinations", "combinations"),
    "kit": ("plan.kit", "kit"),
    "check": ("intake.check", "check"),
    "note": ("club.note", "note"),
    "export": ("club.export", "export"),
    "import": ("intake.import_", "import_sheet"),
    "quarantine": ("intake.quarantine", "quarantine"),
    "merge": ("club.merge", "merge"),
    "share": ("club.share", "share"),
    "ask": ("ask.ask", "ask"),
    "disputes": ("club.disputes", "disputes"),
    "changed": ("intake.changed", "changed"),
    "upgrade": ("intake.upgrade", "upgrade"),
    "calculate": ("workshop.calculate", "calculate"),
}

EXIT_STATUS = """\b
Exit status:
  0  answered, and good: fits: fits or fits with work; swap: a consistent plan, also with open
     measurements; combinations: there are some; kit: nothing missing, short, unproven or wrong;
     check: nothing set aside; upgrade: up to date, or brought up to date; calculate: what was asked
     holds, for every size in the ranges given; part, partners: shown; tell-apart: something recorded
     tells the two apart; vehicle: it agrees with one vehicle as made alone;
     list: something is listed
  1  answered, and not so
  2  the question or the records are wrong, or it could not run"""


class LazyGroup(click.Group):
    """A group that imports a command's module only when the command is used or described."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """All commands, in the order of the table."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """The command of this name, imported now."""
        if cmd_name not in COMMANDS:
            return None
        module, attribute = COMMANDS[cmd_name]
        command = getattr(import_module(f"knockon.queries.ui.commands.{module}"), attribute)
        assert isinstance(command, click.Command)
        return command

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As click does, with the nearest names where there is no such command."""
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            near = difflib.get_close_matches(args[0], COMMANDS, n=3, cutoff=0.5)
            hint = f" Nearest: {', '.join(near)}." if near else f" There are: {', '.join(COMMANDS)}."
            raise click.UsageError(f"There is no command {args[0]!r}.{hint}", ctx)
        return super().resolve_command(ctx, args)


@click.group(
    cls=LazyGroup,
    epilog=EXIT_STATUS,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(__version__, prog_name="knockon")
@answering
@click.pass_context
def knockon(ctx: click.Context, settings: Settings) -> None:
    """Which parts go together, and what a swap forces and why.

    Without --records the demo world is asked, which is invented. "Fits" means that dimensions agree; it never means
    safe.
    """
    ctx.obj = settings


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command; return its exit status (EXIT_STATUS). No mistake of a user or of the records ends in a trace."""
    try:
        status = knockon.main(
            args=None if arguments is None else list(arguments), prog_name="knockon", standalone_mode=False
        )
        return status if isinstance(status, int) else 0
    except WrittenButNotShown as done:
        _say(str(done))
        return done.status
    except click.exceptions.Abort:
        return _say(STOPPED)
    except CouldNotRun as error:
        return _say(error.format_message())
    except click.ClickException as error:
        return _usage(error)
    except (KeyboardInterrupt, EOFError):
        return _say(STOPPED)
    except (OSError, MemoryError) as error:
        return _say(f"could not run: {error or type(error).__name__}")
    except Exception:
        import traceback

        say_beside(traceback.format_exc().rstrip("\n"))
        return _say(A_FAULT)


def _say(message: str) -> int:
    """A message on the standard error output, no line wider than a screen unless a single word is."""
    lines = clean(f"knockon: {message}").splitlines()
    wrapped = (textwrap.wrap(x, 100, break_long_words=False, break_on_hyphens=False) or [""] for x in lines)
    say_beside("\n".join(line for piece in wrapped for line in piece))
    return 2


def _usage(error: click.ClickException) -> int:
    """What is wrong with the words of a command, as click says it."""
    shown = io.StringIO()
    error.show(shown)
    say_beside(shown.getvalue().rstrip("\n"))
    return 2
