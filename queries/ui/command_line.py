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

# Command -> (module, its attribute, what the list of commands says of it). Order: as they are listed.
COMMANDS = {
    "swap": ("plan.swap", "swap", "What a swap forces on a vehicle, and why."),
    "fits": ("fits.fits", "fits", "Do these parts go together?"),
    "partners": ("fits.partners", "partners", "All parts that meet a part, by verdict."),
    "part": ("fits.part", "part", "All that is recorded of a part."),
    "tell-apart": ("find.tell_apart", "tell_apart", "How two parts differ, and what each difference does."),
    "vehicle": ("find.vehicle", "vehicle", "Which vehicle is this?"),
    "list": ("find.list_", "list_things", "What of one sort is in the records."),
    "combinations": ("plan.combinations", "combinations", "Which parts go together around given ones."),
    "kit": ("plan.kit", "kit", "What a kit lacks for a swap."),
    "check": ("intake.check", "check", "Are the records in order?"),
    "note": ("club.note", "note", "Notes of members: add one, list them, withdraw one."),
    "export": ("club.export", "export", "Write all statements to a file, as RDF."),
    "import": ("intake.import_", "import_sheet", "Take a sheet in, with column names of its own."),
    "quarantine": ("intake.quarantine", "quarantine", "Which rows of imported sheets wait, and why."),
    "merge": ("club.merge", "merge", "Take in what another club shared."),
    "share": ("club.share", "share", "Write your records and notes to a file for others."),
    "ask": ("ask.ask", "ask", "Run a query: a ready-made one, or SPARQL."),
    "disputes": ("club.disputes", "disputes", "What contradicts what, and what would settle it."),
    "changed": ("intake.changed", "changed", "What older records answered otherwise."),
    "upgrade": ("intake.upgrade", "upgrade", "Bring records of an earlier version up to date."),
    "calculate": ("workshop.calculate", "calculate", "The workshop's own arithmetic, with its sources."),
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
        module, attribute, _ = COMMANDS[cmd_name]
        command = getattr(import_module(f"knockon.queries.ui.commands.{module}"), attribute)
        assert isinstance(command, click.Command)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands, without importing any."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, says) for name, (_, _, says) in COMMANDS.items()])

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
