"""A small SPARQL 1.1 server for tests: the protocol's query operation over a store, and servers that misbehave.

SPARQL 1.1 Protocol (W3C Recommendation, 21 March 2013), section 2.1: query via GET, via URL-encoded POST and via POST
directly, with default-graph-uri and named-graph-uri.
"""

from __future__ import annotations

import socket
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from typing import Any
from urllib.parse import parse_qs, urlsplit

import pyoxigraph as ox

JSON, TRIPLES = "application/sparql-results+json", "application/n-triples"
Answer = Callable[[BaseHTTPRequestHandler], None]


@contextmanager
def serving(answer: Answer) -> Iterator[str]:
    """A server on a free port of this machine whose every request is answered so; gives its URL."""

    class Handler(BaseHTTPRequestHandler):
        def do_POST(self) -> None:
            answer(self)

        do_GET = do_POST  # noqa: N815

        def log_message(self, format: str, *args: Any) -> None:  # noqa: A002
            return

    server = ThreadingHTTPServer(("127.0.0.1", 0), Handler)
    server.daemon_threads = True
    thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.05}, daemon=True)
    thread.start()
    try:
        yield f"http://127.0.0.1:{server.server_address[1]}/query"
    finally:
        server.shutdown()
        server.server_close()


def send(to: BaseHTTPRequestHandler, content: bytes, kind: str, status: int = 200) -> None:
    to.send_response(status)
    to.send_header("Content-Type", kind)
    to.send_header("Content-Length", str(len(content)))
    to.end_headers()
    to.wfile.write(content)


def over(store: ox.Store, asked: list[str] | None = None) -> Answer:
    """Answers from a store; what was asked is noted."""

    def answer(request: BaseHTTPRequestHandler) -> None:
        body = request.rfile.read(int(request.headers.get("Content-Length") or 0)).decode()
        direct = request.headers.get_content_type() == "application/sparql-query"
        fields = parse_qs(urlsplit(request.path).query if direct or request.command == "GET" else body)
        query = body if direct else fields.get("query", [""])[0]
        if asked is not None:
            asked.append(query)
        graphs = {k: [ox.NamedNode(g) for g in fields.get(f"{k}-graph-uri", [])] for k in ("default", "named")}
        try:
            found = store.query(
                query,
                default_graph=list[ox.NamedNode | ox.BlankNode | ox.DefaultGraph](graphs["default"]) or None,
                named_graphs=list[ox.NamedNode | ox.BlankNode](graphs["named"]) or None,
            )
            if isinstance(found, ox.QueryTriples):
                send(request, found.serialize(format=ox.RdfFormat.N_TRIPLES) or b"", TRIPLES)
            else:
                send(request, found.serialize(format=ox.QueryResultsFormat.JSON) or b"", JSON)
            del found  # an answer may not outlive its thread
        except (SyntaxError, ValueError, RuntimeError) as error:
            send(request, str(error).encode(), "text/plain", 400)

    return answer


def saying(content: bytes, status: int = 200, kind: str = JSON) -> Answer:
    def answer(request: BaseHTTPRequestHandler) -> None:
        request.rfile.read(int(request.headers.get("Content-Length") or 0))  # unread, it would break the connection off
        send(request, content, kind, status)

    return answer


def silent(request: BaseHTTPRequestHandler) -> None:
    time.sleep(30)


def dripping(request: BaseHTTPRequestHandler) -> None:
    """A byte now and then, for ever: no single read times out."""
    request.send_response(200)
    request.send_header("Content-Type", JSON)
    request.end_headers()
    try:
        for _ in range(600):
            request.wfile.write(b" ")
            request.wfile.flush()
            time.sleep(0.05)
    except OSError:
        return


def elsewhere(other: str) -> Answer:
    def answer(request: BaseHTTPRequestHandler) -> None:
        request.send_response(307)
        request.send_header("Location", other)
        request.end_headers()

    return answer


def hanging_up(request: BaseHTTPRequestHandler) -> None:
    request.connection.shutdown(socket.SHUT_RDWR)


def cut_short(request: BaseHTTPRequestHandler) -> None:
    request.send_response(200)
    request.send_header("Content-Type", JSON)
    request.send_header("Content-Length", "1000")
    request.end_headers()
    request.wfile.write(b'{"head":{"vars":["g"]},"results":{"bindings":[')
