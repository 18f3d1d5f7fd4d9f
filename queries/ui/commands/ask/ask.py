"""``knockon ask``: a SPARQL query over the records."""

from __future__ import annotations

import csv
import io
from pathlib import Path
from typing import TYPE_CHECKING

import click
from msgspec.structs import replace

from knockon.graph.files.plain import content_of, why_not
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.records.asked import asked_of
from knockon.queries.ask.ask import (
    LONGEST_QUERY,
    AskAnswer,
    ReadyMade,
    Term,
    bindings_of,
    described,
    find_ready_made,
    guard,
    ready_made,
)
from knockon.queries.ask.ask import ask as run
from knockon.queries.ask.outcomes import QueriesOffered, QueryOffered
from knockon.queries.ask.server import ask_server
from knockon.queries.tightening import without_torque
from knockon.queries.ui.asking import (
    GOOD,
    NOT_SO,
    CouldNotRun,
    Settings,
    answering,
    deliver,
    mistakes_told,
    show,
    told,
    write,
)
from knockon.queries.ui.http import server_at
from knockon.queries.ui.naming import count
from knockon.queries.ui.option_types import Number
from knockon.queries.ui.sentences import ask as says
from knockon.queries.ui.sentences.help import shell as say
from knockon.queries.ui.terminal.blocks import STRONG, WARN, Block, Grid, Para

if TYPE_CHECKING:
    from collections.abc import Sequence


@click.command(help=say.ASK)
@click.argument("query", required=False)
@click.option("--with", "given", multiple=True, metavar="NAME=VALUE", help=say.ASK_WITH)
@click.option("--format", "form", type=click.Choice(("table", "csv", "json")), default="table", show_default=True,
              help=say.ASK_FORMAT)  # fmt: skip
@click.option("--seconds", type=Number(0.1, 3600), default=20.0, show_default=True, help=say.ASK_SECONDS)
@answering
def ask(settings: Settings, query: str | None, given: tuple[str, ...], form: str, seconds: float) -> int:
    """Run a query."""
    if settings.json and form == "csv":
        raise CouldNotRun(says.CONTRADICT)
    if query is None:
        return _list(settings)
    with mistakes_told():
        answer = _without_torque(_answer(settings, query, _parameters(given), seconds))
    good = bool(answer.rows) and not (
        answer.columns == ("answer",) and answer.rows[0][0] is not None and answer.rows[0][0].value == "no"
    )
    if form == "csv":
        write(_csv(answer))
        return GOOD if good else NOT_SO

    def text(_: Catalogue) -> Sequence[Block]:
        return _table(answer)

    chosen = replace(settings, json=settings.json or form == "json")
    return deliver(chosen, "ask", answer, good, text)


def _without_torque(answer: AskAnswer) -> AskAnswer:
    """Tightening values in notes are left out here as everywhere: a note is no source for one."""

    def said(term: Term | None) -> Term | None:
        if term is None or term.kind != "literal":
            return term
        return replace(term, shown=without_torque(term.shown), value=without_torque(term.value))

    return replace(answer, rows=tuple(tuple(said(term) for term in row) for row in answer.rows))


def _parameters(given: tuple[str, ...]) -> dict[str, str]:
    pairs = [text.partition("=") for text in given]
    for name, equals, _ in pairs:
        if not equals:
            raise CouldNotRun(says.NO_PARAMETER.format(name=name))
    names = [name.strip() for name, _, _ in pairs]
    for name in names:
        if names.count(name) > 1:
            raise CouldNotRun(says.GIVEN_TWICE.format(name=name, times=names.count(name)))
    return {name.strip(): value.strip() for name, _, value in pairs}


def _answer(settings: Settings, name: str, given: dict[str, str], seconds: float) -> AskAnswer:
    query = _query(name)
    guard(query.text)
    return _served(settings, query, given, seconds) if settings.server else _here(settings, query, given, seconds)


def _served(settings: Settings, query: ReadyMade, given: dict[str, str], seconds: float) -> AskAnswer:
    return ask_server(server_at(settings.server, seconds), query, bindings_of(query, given, None), settings.without)


def _here(settings: Settings, query: ReadyMade, given: dict[str, str], seconds: float) -> AskAnswer:
    everything, catalogue = asked_of(settings.folder, settings.without)
    return run(everything, query, bindings_of(query, given, catalogue), seconds)


def _query(name: str) -> ReadyMade:
    path = Path(name)
    if any(letter in name for letter in "{\n"):
        raise CouldNotRun(says.FROM_A_FILE)
    if name in ready_made() or not (path.suffix or path.exists()):
        return find_ready_made(name)
    try:
        return described(path.name, content_of(path, 4 * LONGEST_QUERY).decode("utf-8-sig"))
    except OSError as error:
        raise CouldNotRun(says.NOT_READ.format(path=path, why=why_not(error))) from error
    except UnicodeDecodeError as error:
        raise CouldNotRun(says.NOT_TEXT.format(path=path)) from error


def _list(settings: Settings) -> int:
    offered = tuple(QueryOffered(q.name, q.answers, q.parameters) for q in ready_made().values())
    if settings.json:
        return told(settings, "ask list", QueriesOffered(offered), "")
    blocks: list[Block] = []
    for query in ready_made().values():
        blocks += [Para(query.name, tone=STRONG), Para(query.answers, indent=4)]
        for p in query.parameters:
            default = "" if p.default is None else says.WITHOUT_IT.format(default=p.default)
            blocks.append(Para(says.PARAMETER.format(name=p.name, sort=p.sort, says=p.says, default=default), indent=4))
    show(blocks)
    return GOOD


def _csv(answer: AskAnswer) -> str:
    stream = io.StringIO()
    writer = csv.writer(stream, lineterminator="\n")
    writer.writerow(answer.columns)
    writer.writerows([_safe("" if term is None else term.shown) for term in row] for row in answer.rows)
    return stream.getvalue()


def _safe(text: str) -> str:
    """A cell that no spreadsheet takes for a formula, and that steers no terminal."""
    text = "".join(c if c.isprintable() or c in "\n\t\r" else "\ufffd" for c in text)
    return f"'{text}" if text[:1] in ("=", "+", "@", "\t", "\r") or (text[:1] == "-" and not _is_number(text)) else text


def _is_number(text: str) -> bool:
    try:
        float(text)
    except ValueError:
        return False
    return True


def _table(answer: AskAnswer) -> list[Block]:
    rows = tuple(tuple("" if t is None else t.shown for t in row) for row in answer.rows)
    blocks: list[Block] = [Para(answer.answers)] if answer.answers else []
    if not rows:
        return [*blocks, Para(says.NOTHING)]
    blocks += [Grid(rows, answer.columns), Para(says.ROWS.format(rows=count(len(rows), "row")))]
    if not answer.whole:
        blocks.append(Para(says.CUT, tone=WARN))
    return blocks
