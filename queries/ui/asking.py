"""What all commands share: where the records are, how an answer is handed over, what the exit status says."""

from __future__ import annotations

import functools
import os
import sys
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click
import msgspec

from knockon.graph.files.shipped import shipped
from knockon.queries.ui.naming import count, listed, plural
from knockon.queries.ui.sentences import intake as found
from knockon.queries.ui.sentences import shell as says
from knockon.queries.ui.sentences.help import shell as say
from knockon.queries.ui.terminal.outlet import Answered, outlet_now
from knockon.queries.ui.terminal.plain import clean, say_beside
from knockon.queries.ui.terminal.progress import steps_shown

if TYPE_CHECKING:
    from knockon.graph.model.catalogue import Catalogue, UnknownNameError
    from knockon.graph.records import Records
    from knockon.queries.ui.terminal.blocks import Block

GOOD, NOT_SO, WRONG = 0, 1, 2


class CouldNotRun(click.ClickException):
    """The question or the records are wrong, or the answer could not be written: exit status 2, one message."""

    exit_code = WRONG


class Settings(msgspec.Struct, frozen=True):
    """What was asked beside the question: the records folder (None: the demo world), whether as JSON, the sources and
    clubs that are left out, the SPARQL server that stands in for the folder, and whether a pager shows what is longer
    than the screen."""

    records: Path | None = None
    json: bool = False
    without: tuple[str, ...] = ()
    server: str = ""
    pager: bool = True

    @property
    def invented(self) -> bool:
        """Whether the demo world is asked."""
        return self.records is None and not self.server

    @property
    def folder(self) -> Path:
        """Where the records are. Raises CouldNotRun where they stand on a server and a folder is needed."""
        if self.server:
            raise CouldNotRun(says.FOLDER_NEEDED)
        if self.records is not None:
            return self.records
        return shipped("data_demo")

    @property
    def named(self) -> str:
        """What the records are called in the first line of an answer."""
        name = self.server or (says.DEMO if self.records is None else str(self.records))
        return says.WITHOUT.format(name=name, left_out=", ".join(self.without)) if self.without else name


def answering(command: Callable[..., Any]) -> Callable[..., Any]:
    """Give a command the options that all commands have (hidden: the program's own help shows them); it is called with
    ``settings``, those of the group taken over.

    The command returns its exit status.
    """
    return _with_common_options(command, hidden=True)


def answering_all(program: Callable[..., Any]) -> Callable[..., Any]:
    """The same for the program as a whole, whose help shows them."""
    return _with_common_options(program, hidden=False)


def _with_common_options(command: Callable[..., Any], hidden: bool) -> Callable[..., Any]:
    @click.option("--records", type=click.Path(path_type=Path), metavar="DIR", hidden=hidden, help=say.RECORDS)
    @click.option("--server", default="", metavar="URL", hidden=hidden, help=say.SERVER)
    @click.option("--json", "as_json", is_flag=True, hidden=hidden, help=say.JSON)
    @click.option("--without", multiple=True, metavar="SOURCE_OR_CLUB", hidden=hidden, help=say.WITHOUT)
    @click.option("--no-pager", is_flag=True, hidden=hidden, help=say.NO_PAGER)
    @functools.wraps(command)
    def with_settings(
        *args: Any,
        records: Path | None,
        server: str,
        as_json: bool,
        without: tuple[str, ...],
        no_pager: bool,
        **options: Any,
    ) -> Any:
        context = click.get_current_context()
        above = (
            context.parent.obj
            if context.parent is not None and isinstance(context.parent.obj, Settings)
            else Settings()
        )
        chosen = records if records is not None else above.records
        pager = above.pager and not no_pager
        settings = Settings(chosen, as_json or above.json, (*above.without, *without), server or above.server, pager)
        status = command(*args, settings=settings, **options)
        if isinstance(status, int):
            context.exit(status)

    return with_settings


@contextmanager
def mistakes_told() -> Iterator[None]:
    """Turn what is wrong with a question or with records into one message and exit status 2."""
    from knockon.graph.model.catalogue import UnknownNameError
    from knockon.graph.model.findings import RecordsError
    from knockon.graph.model.schema import VocabularyError

    try:
        yield
    except UnknownNameError as error:
        raise CouldNotRun(_no_such(error)) from error
    except (RecordsError, VocabularyError) as error:
        raise CouldNotRun(str(error)) from error
    except ValueError as error:
        from knockon.queries.as_typed import RequestError

        if not isinstance(error, RequestError):
            raise
        raise CouldNotRun(str(error)) from error


def _no_such(error: UnknownNameError) -> str:
    """That there is no such thing, with the nearest names, or with what lists all."""
    from knockon.graph.model.catalogue import SeveralReadingsError
    from knockon.queries.find.listing import SORTS

    if isinstance(error, SeveralReadingsError):
        return says.SEVERAL_READINGS.format(name=error.name, readings=listed(error.nearest, "or"))
    if error.part_type and error.nearest:
        numbers = listed(error.nearest[:3], "or")
        return says.A_SORT_OF_PART.format(name=error.name, numbers=numbers, part_type=error.part_type)
    if error.part_type:
        return says.NO_NUMBERS.format(name=error.name)
    if error.nearest:
        return says.NO_SUCH.format(sort=error.sort, name=error.name, nearest=", ".join(error.nearest))
    things = plural(error.sort).replace(" ", "-")
    if things not in SORTS:
        return says.NO_SUCH_NONE.format(sort=error.sort, name=error.name)
    return says.NO_SUCH_LIST.format(sort=error.sort, name=error.name, things=things)


def load(settings: Settings) -> Records:
    """The records, with a line on the standard error output about anything that was set aside."""
    from knockon.graph.model.findings import rows_set_aside
    from knockon.graph.records import load as load_folder

    outlet = outlet_now()
    read = outlet.load if outlet is not None and outlet.load is not None else load_folder
    with mistakes_told(), steps_shown(says.READING_RECORDS):
        records = _served(settings) if settings.server else read(settings.folder, settings.without)
    aside = rows_set_aside(records.findings)
    if aside:
        rows = count(aside, *found.ROW_OR_CELL)
        check = says.CHECK_FOLDER.format(folder=settings.records) if settings.records else says.CHECK_DEMO
        skipped = found.RECORDS_SKIPPED.format(rows=rows, check=check)
        say_beside(found.RECORDS_SKIPPED_THERE.format(rows=rows) if settings.server else skipped)
    return records


def _served(settings: Settings) -> Records:
    from knockon.graph.records.served import load_served
    from knockon.queries.ui.http import server_at

    return load_served(server_at(settings.server), settings.without, settings.records)


def deliver(settings: Settings, name: str, answer: Any, good: bool, text: Callable[[Catalogue], Sequence[Block]],
            records: Records | None = None) -> int:  # fmt: skip
    """Write an answer as JSON or as text; its exit status. ``text`` makes the blocks of the text from the catalogue.

    A command that has written calls it under ``having_written``.
    """
    status = GOOD if good else NOT_SO
    if settings.json:
        from knockon.queries.ui.document import encode

        write(encode(name, answer, status, records, settings.invented, settings.without))
        return status
    from knockon.graph.model.catalogue import Catalogue
    from knockon.graph.model.schema import Vocabulary
    from knockon.queries.ui.terminal.blocks import Para
    from knockon.queries.ui.terminal.screen import Screen, render

    catalogue = records.catalogue if records else Catalogue(Vocabulary())
    outlet = outlet_now()
    if outlet is not None:
        outlet.answered = Answered(name, answer, status, catalogue, tuple(text(catalogue)))
        return status
    screen = Screen.of_stdout()
    page = render([Para(says.RECORDS.format(name=settings.named)), *text(catalogue)], screen)
    if settings.pager and screen.height and page.count("\n") >= screen.height:
        click.echo_via_pager(page, color=screen.colour)
    else:
        write(page)
    return status


def show(blocks: Sequence[Block]) -> None:
    """Write blocks as text, where ``deliver`` does not."""
    from knockon.queries.ui.terminal.screen import Screen, render

    outlet = outlet_now()
    if outlet is not None:
        outlet.blocks += blocks
    else:
        write(render(blocks, Screen.of_stdout()))


def told(settings: Settings, name: str, answer: Any, said: str) -> int:
    """Write what was done, as JSON or in one sentence; it is good."""
    if settings.json:
        from knockon.queries.ui.document import encode

        write(encode(name, answer, GOOD, None, settings.invented, settings.without))
    else:
        write(clean(said))
    return GOOD


def needs_folder(file: Path, settings: Settings) -> None:
    """Refuse to write a file into a folder that is not there (a slip of the pen makes no folders), and a file and a
    document both to the standard output."""
    if str(file) == "-" and settings.json:
        raise CouldNotRun(says.NAME_A_FILE)
    if str(file) != "-" and not file.parent.is_dir():
        raise CouldNotRun(says.NO_FOLDER.format(file=file, folder=file.parent))


def write(text: str | bytes) -> None:
    """Write to the standard output, whole; a reader that closed the pipe is no mistake."""
    outlet = outlet_now()
    if outlet is not None:
        outlet.write(text)
        return
    if sys.stdout is None:
        raise CouldNotRun(says.OUTPUT_CLOSED)
    try:
        click.echo(text, nl=False)
        sys.stdout.flush()
    except BrokenPipeError:
        os.dup2(
            os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno()
        )  # what is still buffered goes nowhere, without a word
    except OSError as error:
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        raise CouldNotRun(says.NOT_WRITTEN.format(why=error.strerror or error)) from error
