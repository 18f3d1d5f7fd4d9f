"""The command line: one group, each command in a module of its own that is imported only when it is asked for."""

from __future__ import annotations

import io
import os
import sys
from collections.abc import Sequence
from importlib import import_module

import click

from knockon import __version__
from knockon.queries.ui.asking import CouldNotRun, Settings, answering_all
from knockon.queries.ui.having_written import WrittenButNotShown
from knockon.queries.ui.mistyped import OTHER_WORDS, in_plain_words, instead
from knockon.queries.ui.sentences import shell as says
from knockon.queries.ui.sentences.help import shell as say
from knockon.queries.ui.terminal.outlet import outlet_now
from knockon.queries.ui.terminal.plain import clean, say_beside

# Command -> (module, its attribute). Order: as they are listed.
COMMANDS = {
    "swap": ("plan.swap", "swap"),
    "needs": ("plan.needs", "needs"),
    "fits": ("fits.fits", "fits"),
    "partners": ("fits.partners", "partners"),
    "part": ("fits.part", "part"),
    "tell-apart": ("find.tell_apart", "tell_apart"),
    "identify": ("find.identify", "identify"),
    "vehicle": ("find.vehicle", "vehicle"),
    "list": ("find.list_", "list_things"),
    "combinations": ("plan.combinations", "combinations"),
    "kit": ("plan.kit", "kit"),
    "order": ("buy.order", "order"),
    "goods-in": ("job.goods_in", "goods_in_of"),
    "job-card": ("job.card", "job_card_of"),
    "record": ("job.record", "record"),
    "overview": ("job.overview", "overview_of"),
    "page": ("page.page", "page"),
    "shortlist": ("plan.shortlist", "shortlist"),
    "new": ("intake.new", "new"),
    "check": ("intake.check", "check"),
    "note": ("club.note", "note"),
    "export": ("club.export", "export"),
    "import": ("intake.import_", "import_sheet"),
    "quarantine": ("intake.quarantine", "quarantine"),
    "merge": ("club.merge", "merge"),
    "share": ("club.share", "share"),
    "ask": ("ask.ask", "ask"),
    "disputes": ("club.disputes", "disputes"),
    "measure": ("plan.measure", "measure"),
    "measured": ("intake.measured", "measured"),
    "changed": ("intake.changed", "changed"),
    "upgrade": ("intake.upgrade", "upgrade"),
    "words": ("find.words", "words"),
    "calculate": ("workshop.calculate", "calculate"),
}


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
        _point_to_common_options(command)
        return command

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:
        """The list of commands, without importing any."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, say.COMMANDS[name]) for name in COMMANDS])

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """As click does, with the nearest names where there is no such command."""
        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            if args[0] == "help":
                of = f"{args[1]} " if args[1:] and args[1] in COMMANDS else ""
                raise click.UsageError(says.SEE_HELP.format(command=of), ctx)
            other = OTHER_WORDS.get(args[0].casefold())
            import difflib

            near = [other] if other else difflib.get_close_matches(args[0].casefold(), COMMANDS, n=3, cutoff=0.5)
            template = says.NO_COMMAND_NEAR if near else says.NO_COMMAND
            raise click.UsageError(template.format(name=args[0], commands=", ".join(near or COMMANDS)), ctx)
        return super().resolve_command(ctx, args)


def _point_to_common_options(command: click.Command) -> None:
    """End the help of a command, and of those under it, with where the options of all commands are."""
    if any(p.name == "records" for p in command.params):
        command.epilog = say.COMMON
    for inner in command.commands.values() if isinstance(command, click.Group) else ():
        _point_to_common_options(inner)


@click.group(
    cls=LazyGroup,
    help=say.PROGRAM,
    epilog=say.EXIT_STATUS,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.version_option(__version__, prog_name="knockon")
@answering_all
@click.pass_context
def knockon(ctx: click.Context, settings: Settings) -> None:
    """All commands."""
    ctx.obj = settings


def main(arguments: Sequence[str] | None = None) -> int:
    """Run a command; its exit status, as the help says. No mistake of a user or of the records ends in a trace."""
    try:
        status = knockon.main(
            args=None if arguments is None else list(arguments), prog_name="knockon", standalone_mode=False
        )
        return status if isinstance(status, int) else 0
    except WrittenButNotShown as done:
        _say(str(done))
        return done.status
    except click.exceptions.Abort:
        return _stopped()
    except CouldNotRun as error:
        return _say(error.format_message())
    except click.ClickException as error:
        return _usage(error)
    except (KeyboardInterrupt, EOFError):
        return _stopped()
    except (OSError, MemoryError) as error:
        return _say(says.COULD_NOT_RUN.format(why=error or type(error).__name__))
    except Exception:
        import traceback

        say_beside(traceback.format_exc().rstrip("\n"))
        return _say(says.A_FAULT)


def _stopped() -> int:
    """That the user ended it; at once, where something goes on that nothing can stop."""
    status = _say(says.STOPPED)
    solving = sys.modules.get("knockon.queries.plan.solving.patience")  # loaded only where there is a plan
    if solving is not None and solving.is_grounding():
        for stream in filter(None, (sys.stdout, sys.stderr)):
            stream.flush()
        os._exit(status)
    return status


def _say(message: str) -> int:
    """A message on the standard error output, no line wider than a screen unless a single word is."""
    import textwrap

    outlet = outlet_now()
    if outlet is not None:
        outlet.refused(clean(message))
        return 2
    lines = clean(says.MESSAGE.format(message=message)).splitlines()
    wrapped = (textwrap.wrap(x, 100, break_long_words=False, break_on_hyphens=False) or [""] for x in lines)
    say_beside("\n".join(line for piece in wrapped for line in piece))
    return 2


def _usage(error: click.ClickException) -> int:
    """What is wrong with the words of a command, as click says it."""
    outlet = outlet_now()
    if outlet is not None:
        about = error.param.name if isinstance(error, click.BadParameter) and error.param is not None else ""
        outlet.refused(in_plain_words(error.format_message()), about or "")
        return 2
    shown = io.StringIO()
    error.show(shown)
    say_beside("\n".join(line for line in (in_plain_words(shown.getvalue().rstrip("\n")), instead(error)) if line))
    return 2
