"""The room of sheets: a sheet is sent, shown with where its columns go, and imported once that is accepted.

What was sent is kept in the page's own folder under a name that only the page knows; the form that accepts names it by
a token, never by a path.
"""

from __future__ import annotations

from collections import OrderedDict
from pathlib import Path

from knockon.queries.ui.page.pieces import Button, Field, Form, Go, Link, Outcome, Piece, Text
from knockon.queries.ui.page.posting import Read
from knockon.queries.ui.sentences import page as say

SHEET, ACCEPT = "sheet", "sheet-accept"
OPTIONS = ("table", "source", "feature", "set", "driver")
MOST = 50
WHOLE_SHEET = (
    Field("table", say.SHEET_TABLE, hint=say.SHEET_TABLE_HINT),
    Field("source", say.SHEET_SOURCE),
    Field("feature", say.SHEET_FEATURE),
    Field("set", say.SHEET_SET, "area", hint=say.SHEET_SET_HINT, many=True),
    Field("driver", say.SHEET_DRIVER, "choice", choices=("left", "right")),
    Field("decimal-comma", say.SHEET_COMMA, "check"),
)


class Sheets:
    """The sheets that were sent, by token."""

    def __init__(self) -> None:
        self._sent: OrderedDict[str, tuple[str, str]] = OrderedDict()

    def keep(self, visit: str, path: str) -> str:
        """Keep a sheet for a visit; its token."""
        token = Path(path).parent.name
        self._sent[token] = (visit, path)
        while len(self._sent) > MOST:
            self._sent.popitem(last=False)
        return token

    def path(self, visit: str, token: str) -> str:
        """Where a sheet is; blank where this visit sent none of that token."""
        whose, path = self._sent.get(token, ("", ""))
        return path if whose == visit else ""


def words(path: str, read: Read, accept: bool) -> list[str]:
    """The words of the command for a sheet."""
    found = ["import", *(["--accept-mapping"] if accept else [])]
    for name in OPTIONS:
        values = [line for value in read.fields.get(name, ()) for line in value.splitlines() if line.strip()]
        found += [f"--{name}={value.strip()}" for value in values]
    found += ["--decimal-comma"] if read.one("decimal-comma") else []
    return [*found, "--", path]


def room() -> Outcome:
    """The form for a sheet, and where the rows are that wait."""
    form = Form(
        SHEET,
        (Field("file", say.SHEET_FILE, "file", hint=say.SHEET_HINT), *WHOLE_SHEET),
        (Button(say.SHEET_READ),),
        do=SHEET,
        title=say.SHEET_TITLE,
    )
    return Outcome(0, pieces=(form, Go((Link(say.SHEET_WAITS, "/sheets/quarantine"),))))


def proposed(outcome: Outcome, token: str, read: Read) -> tuple[Piece, ...]:
    """Where the columns would go, as the command says it, and the form that accepts it."""
    lines = outcome.written.decode("utf-8", "replace").splitlines()
    said = [line for line in lines if line.strip() and token not in line]
    kept = tuple(Field(n, n, "hidden", value) for n in (*OPTIONS, "decimal-comma") for value in read.fields.get(n, ()))
    form = Form(
        ACCEPT,
        (Field("sheet", say.SHEET_FILE, "hidden", token), *kept),
        (Button(say.SHEET_ACCEPT),),
        do=ACCEPT,
        title=say.SHEET_ACCEPT_TITLE,
    )
    return (*(Text(line.strip(), indent=2 * (line != line.lstrip())) for line in said), form)
