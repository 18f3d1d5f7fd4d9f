"""HTTP, the only place that reaches out: one server that the user named, asked by POST.

A redirect is refused and no proxy is used, so that nothing is sent to any other machine. Time and size of an answer are
bounded.
"""

from __future__ import annotations

import threading
import urllib.error
import urllib.request
from typing import IO, Any
from urllib.parse import urlencode, urlsplit

from knockon.graph.exchange.server import Fields, NotAnswered, Server
from knockon.queries.ui.sentences import shell as say

SECONDS = 60.0
MOST_BYTES = 256 * 1024 * 1024


def server_at(url: str, seconds: float = SECONDS) -> Server:
    """The SPARQL 1.1 server at a URL; ``seconds`` bounds each answer. Raises NotAnswered for what is no such URL."""
    _check(url)
    return Server(url, lambda fields, accept: posted(url, fields, accept, seconds))


def _check(url: str) -> None:
    try:
        parts = urlsplit(url)
        good = parts.scheme in ("http", "https") and bool(parts.hostname) and (parts.port or 1) > 0
    except ValueError:
        good = False
    if not good or not url.isascii() or any(c.isspace() or not c.isprintable() for c in url):
        raise NotAnswered(say.NO_URL.format(url=url))
    if "@" in urlsplit(url).netloc:
        raise NotAnswered(say.NO_PASSWORD)


def posted(url: str, fields: Fields, accept: str, seconds: float) -> bytes:
    """The answer to a form sent by POST. Raises NotAnswered, at the latest after ``seconds``."""
    headers = {"Accept": accept, "Content-Type": "application/x-www-form-urlencoded", "User-Agent": "knockon"}
    request = urllib.request.Request(url, urlencode(fields).encode(), headers, method="POST")
    found: list[bytes | NotAnswered] = []
    # A server that sends a byte now and then would outlast any timeout of a single read.
    worker = threading.Thread(target=lambda: found.append(_fetched(request, seconds)), daemon=True)
    worker.start()
    worker.join(seconds)
    if not found:
        raise NotAnswered(say.NO_ANSWER.format(url=url, seconds=f"{seconds:g}"))
    if isinstance(found[0], NotAnswered):
        raise found[0]
    return found[0]


class _NoRedirect(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, req: Any, fp: Any, code: int, msg: str, headers: Any, newurl: str) -> None:
        return None


def _fetched(request: urllib.request.Request, seconds: float) -> bytes | NotAnswered:
    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}), _NoRedirect())
    url = request.full_url
    try:
        with opener.open(request, timeout=seconds) as response:
            return _read(response, url)
    except urllib.error.HTTPError as error:
        return _refused(error, url)
    except urllib.error.URLError as error:
        return NotAnswered(say.NOT_REACHED.format(url=url, why=error.reason))
    except Exception as error:  # whatever a broken or hostile server makes http.client raise
        return NotAnswered(say.NOT_PROPER.format(url=url, why=error or type(error).__name__))


def _refused(error: urllib.error.HTTPError, url: str) -> NotAnswered:
    if error.code in (301, 302, 303, 307, 308):
        return NotAnswered(say.ELSEWHERE.format(url=url))
    try:
        said = error.read(2000).decode("utf-8", "replace")
    except OSError:
        said = ""
    said = " ".join("".join(c if c.isprintable() else " " for c in said).split())[:300]
    if said:
        return NotAnswered(say.REFUSED_WHY.format(url=url, code=error.code, reason=error.reason, said=said))
    return NotAnswered(say.REFUSED.format(url=url, code=error.code, reason=error.reason))


def _read(response: IO[bytes], url: str) -> bytes | NotAnswered:
    content = response.read(MOST_BYTES + 1)
    if len(content) > MOST_BYTES:
        return NotAnswered(say.TOO_LARGE.format(url=url, bytes=MOST_BYTES))
    return content
