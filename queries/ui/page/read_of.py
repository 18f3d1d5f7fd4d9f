"""What a request says: its query, its own address, whether it asks for a document."""

from __future__ import annotations

from collections.abc import Callable
from urllib.parse import urlencode

from starlette.requests import Request


def query_of(request: Request) -> dict[str, list[str]]:
    """What an address says beside its path; a field of several lines is several values."""
    found: dict[str, list[str]] = {}
    for name, value in request.query_params.multi_items():
        found.setdefault(name, []).extend(value.splitlines() or [""])
    return found


def here_of(request: Request) -> str:
    """The address of this request, without what is only of this moment."""
    pairs = [(n, v) for n, v in request.query_params.multi_items() if n not in ("done", "json")]
    path = request.scope["raw_path"].decode("ascii") if request.scope.get("raw_path") else request.url.path
    return f"{path}?{urlencode(pairs)}" if pairs else path


def turner(request: Request) -> Callable[[int], str]:
    """Where another screen of the room is."""
    here = here_of(request)
    path, _, query = here.partition("?")
    pairs = [pair for pair in query.split("&") if pair and not pair.startswith("at=")]
    return lambda number: f"{path}?{'&'.join([*pairs, f'at={number}'])}"


def wants_document(request: Request) -> bool:
    """Whether the answer is asked as a document."""
    return "json" in request.query_params


def as_document(request: Request) -> str:
    """Where the document of this room is."""
    here = here_of(request)
    return f"{here}{'&' if '?' in here else '?'}json="
