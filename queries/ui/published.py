"""What is published of the command line: the page of commands and the JSON Schemas of the answers.

``python -m knockon.queries.ui.published docs`` writes ``docs/commands.md``, ``docs/words.md`` and
``docs/answers/*.json``; a test keeps them fresh. The page of commands is made from the options as they are declared, so
that it does not depend on how help is laid out.
"""

from __future__ import annotations

import inspect
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import click
import msgspec

from knockon.queries.ask.ask import AskAnswer
from knockon.queries.ask.outcomes import ClubRemoved, ColumnsWritten, FileWritten, NoteWithdrawn, QueriesOffered
from knockon.queries.buy.order import OrderAnswer
from knockon.queries.club.disputes import DisputesAnswer
from knockon.queries.club.merging import MergeAnswer
from knockon.queries.find.glossary import WordsAnswer, glossary
from knockon.queries.find.identify import IdentifyAnswer
from knockon.queries.find.listing import ListAnswer
from knockon.queries.find.tell_apart import TellApartAnswer
from knockon.queries.find.which_vehicle import WhichVehicleAnswer
from knockon.queries.fits.fits import FitsAnswer
from knockon.queries.fits.on_all import FitsOnAllAnswer
from knockon.queries.fits.part import PartAnswer
from knockon.queries.fits.partners import PartnersAnswer
from knockon.queries.fits.reach import ReachAnswer
from knockon.queries.intake.changed import ChangedAnswer
from knockon.queries.intake.check import CheckAnswer
from knockon.queries.intake.new_vehicle import NewVehicleAnswer
from knockon.queries.intake.quarantine import QuarantineAnswer
from knockon.queries.intake.readings.effects import MeasuredAnswer
from knockon.queries.intake.sheets.imports import ImportAnswer
from knockon.queries.intake.sheets.proposed import ProposedAnswer
from knockon.queries.intake.upgrade import UpgradeAnswer
from knockon.queries.job.card import JobCard
from knockon.queries.job.goods_in import GoodsIn
from knockon.queries.job.overview import OverviewAnswer
from knockon.queries.job.plan_changed import PlanChangedAnswer
from knockon.queries.job.record import RecordAnswer
from knockon.queries.job.tools import ToolsAnswer
from knockon.queries.plan.combinations import CombinationsAnswer
from knockon.queries.plan.deciding import MeasureAnswer
from knockon.queries.plan.kit import KitAnswer
from knockon.queries.plan.needs import NeedsAnswer
from knockon.queries.plan.routes import RoutesAnswer
from knockon.queries.plan.side_by_side import SideBySideAnswer
from knockon.queries.plan.swap import SwapAnswer
from knockon.queries.shortlist.shortlist import ShortlistAnswer
from knockon.queries.ui.command_line import COMMANDS, knockon
from knockon.queries.ui.document import SCHEMA, Document, schema_of_text
from knockon.queries.ui.documents.declared import FORMS
from knockon.queries.ui.documents.schemas import schema_of as schema_of_document
from knockon.queries.ui.sentences.help import shell as say
from knockon.queries.ui.texts.club.note_documents import NoteAdded, NotesDocument
from knockon.queries.ui.texts.find.words import words_page
from knockon.queries.workshop.answer import Calculation

DIALECT = "https://json-schema.org/draft/2020-12/schema"
WHERE = "https://knockon.example/answers/"  # a reserved domain: it names, and resolves to nothing


def commands_page() -> str:
    """The page of commands as Markdown."""
    context = click.Context(knockon, info_name="knockon")
    lines = [say.PAGE, say.PAGE_STATUS, *_exit_status(), say.PAGE_COMMON, *_options(knockon)]
    for name in COMMANDS:
        command = knockon.get_command(context, name)
        assert command is not None
        lines += _described(command, f"knockon {name}", "##")
    return "\n".join(lines).rstrip() + "\n"


def _exit_status() -> Iterator[str]:
    for line in say.EXIT_STATUS.splitlines()[2:]:
        number, _, text = line.strip().partition("  ")
        yield f"- `{number}` {text.strip()}" if number.isdigit() else f"  - {line.strip()}"


def _described(command: click.Command, name: str, depth: str) -> Iterator[str]:
    """A command with its arguments and options, and those under it."""
    arguments = [p.metavar or p.name.upper() for p in command.params if isinstance(p, click.Argument) and p.name]
    more = " COMMAND ..." if isinstance(command, click.Group) else ""
    options = [p for p in command.params if isinstance(p, click.Option) and not p.hidden]
    needed = "".join(f" {p.opts[0]} {_value(p)}" for p in options if p.required)
    yield f"{depth} {name}\n"
    yield f"```\n{' '.join((name, *arguments))}{needed}{' [OPTIONS]' if options else ''}{more}\n```\n"
    yield inspect.cleandoc(command.help or "").replace("\b\n", "") + "\n"
    yield from _options(command)
    if isinstance(command, click.Group):
        context = click.Context(command, info_name=name)
        for below in command.list_commands(context):
            inner = command.get_command(context, below)
            if inner is not None:
                yield from _described(inner, f"{name} {below}", depth + "#")


def _options(command: click.Command) -> Iterator[str]:
    """The options that a command's help shows, as a table."""
    rows = [_option(p) for p in command.params if isinstance(p, click.Option) and not p.hidden]
    if rows:
        yield "\n".join((say.PAGE_TABLE, "| --- | --- |", *rows)) + "\n"


def _value(option: click.Option) -> str:
    if option.is_flag or option.count:
        return ""
    if isinstance(option.type, click.Choice):
        return option.metavar or "|".join(str(c) for c in option.type.choices)
    return option.metavar or (option.name or "").upper()


def _option(option: click.Option) -> str:
    names = ", ".join((*option.opts, *option.secondary_opts))
    value = _value(option)
    said = [option.help or ""]
    if option.multiple and say.REPEATED not in said[0]:
        said.append(say.REPEATED)
    if option.show_default and isinstance(option.default, str | int | float):
        said.append(say.DEFAULT.format(value=option.default))
    cells = (f"`{f'{names} {value}'.strip()}`", " ".join(s for s in said if s))
    return "| " + " | ".join(c.replace("|", "\\|") for c in cells) + " |"


def answer_types() -> dict[str, type[Any]]:
    """The answers that are published as JSON, by name."""
    return {
        "ask": AskAnswer,
        "ask-list": QueriesOffered,
        "calculate": Calculation,
        "changed": ChangedAnswer,
        "changed-plan": PlanChangedAnswer,
        "check": CheckAnswer,
        "upgrade": UpgradeAnswer,
        "combinations": CombinationsAnswer,
        "disputes": DisputesAnswer,
        "export": FileWritten,
        "export-parquet": ColumnsWritten,
        "fits": FitsAnswer,
        "fits-on-all": FitsOnAllAnswer,
        "import": ImportAnswer,
        "import-proposal": ProposedAnswer,
        "goods-in": GoodsIn,
        "job-card": JobCard,
        "overview": OverviewAnswer,
        "record": RecordAnswer,
        "tools": ToolsAnswer,
        "kit": KitAnswer,
        "list": ListAnswer,
        "measure": MeasureAnswer,
        "measured": MeasuredAnswer,
        "merge": MergeAnswer,
        "merge-remove": ClubRemoved,
        "needs": NeedsAnswer,
        "new": NewVehicleAnswer,
        "note-add": NoteAdded,
        "note-list": NotesDocument,
        "note-withdraw": NoteWithdrawn,
        "part": PartAnswer,
        "order": OrderAnswer,
        "partners": PartnersAnswer,
        "partners-along": ReachAnswer,
        "quarantine": QuarantineAnswer,
        "share": FileWritten,
        "shortlist": ShortlistAnswer,
        "swap": SwapAnswer,
        "swap-instead-of": RoutesAnswer,
        "swap-side-by-side": SideBySideAnswer,
        "tell-apart": TellApartAnswer,
        "identify": IdentifyAnswer,
        "vehicle": WhichVehicleAnswer,
        "words": WordsAnswer,
    }


OF_THEIR_OWN = (NotesDocument, NoteAdded)
"""Answers that are a whole document by themselves."""


def schema_of(name: str, answer: type[Any]) -> bytes:
    """The JSON Schema of one answer's document; notes are a document of their own."""
    if issubclass(answer, OF_THEIR_OWN):
        made = msgspec.json.schema(answer, schema_hook=schema_of_text)
    else:
        made = schema_of_document(FORMS, Document[answer], answer, SCHEMA, schema_of_text)  # type: ignore[valid-type]
    title = say.SCHEMA_TITLE.format(command=name.replace("-", " "))
    published = {"$schema": DIALECT, "$id": f"{WHERE}{name}.json", "title": title, **made}
    return msgspec.json.format(msgspec.json.encode(published), indent=1) + b"\n"


def main(folder: Path) -> None:
    """Write the page and the schemas into a docs folder."""
    (folder / "answers").mkdir(parents=True, exist_ok=True)
    (folder / "commands.md").write_text(commands_page(), encoding="utf-8")
    (folder / "words.md").write_text(words_page(glossary()), encoding="utf-8")
    for name, answer in answer_types().items():
        (folder / "answers" / f"{name}.json").write_bytes(schema_of(name, answer))


if __name__ == "__main__":
    main(Path(sys.argv[1]))
