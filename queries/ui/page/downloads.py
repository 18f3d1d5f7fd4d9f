"""Files to take along: cards to print, and the records for other clubs. The page names the file, never the address."""

from __future__ import annotations

import secrets
from pathlib import Path

from starlette.responses import Response

from knockon.queries.ui.page.addresses import Query

PDF, SHARED = "application/pdf", "application/trig"
CARDS = {"job": "job-card", "goods-in": "goods-in", "record": "record", "inspector": "record"}
"""Which command prints which card."""
NAMES = {PDF: "card.pdf", SHARED: "shared.trig"}


def printed(plan: str, card: str, folder: Path) -> tuple[list[str], Path] | None:
    """(the words of the command that prints a card, where it prints it); None where there is no such card."""
    if card not in CARDS:
        return None
    path = folder / f"{secrets.token_hex(8)}.pdf"
    more = ["--inspector"] if card == "inspector" else []
    return [CARDS[card], f"--plan={plan}", *more, f"--print={path}"], path


def shared(query: Query) -> list[str]:
    """The words of the command that writes the records for others to its output."""
    options = [f"--{name}={v.strip()}" for name in ("club", "title", "member", "licence")
               for v in query.get(name, ())[:1] if v.strip()]  # fmt: skip
    return ["share", *options, "--", "-"]


def answer(written: bytes, sort: str, path: Path | None) -> Response:
    """A file that the browser keeps; the page's own copy is gone then."""
    content = written
    if path is not None:
        content = path.read_bytes()
        path.unlink()
    return Response(content, media_type=sort, headers={"content-disposition": f'attachment; filename="{NAMES[sort]}"'})
