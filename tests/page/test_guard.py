"""What keeps others out: names, origins, tokens, sizes, markup, paths that climb."""

from __future__ import annotations

import shutil
import socket
from collections.abc import Callable
from pathlib import Path

import httpx
import pytest

from knockon.queries.ui.page.serving import listening_at
from tests.page.conftest import DEMO, Served

MARKUP = "<script>alert(1)</script>"


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1", "127.0.0.1:1", "[::1]:80", ""])
def test_no_other_name(demo_page: Served, host: str) -> None:
    answer = demo_page.client.get("/", headers={"host": host})
    assert answer.status_code in (400, 421)
    assert "tansy" not in answer.text


def test_localhost_is_this_machine_too(demo_page: Served) -> None:
    port = demo_page.address.rpartition(":")[2]
    assert demo_page.client.get("/look", headers={"host": f"localhost:{port}"}).status_code == 200


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"origin": "OWN", "sec-fetch-site": "cross-site"},
        {"origin": "OWN", "sec-fetch-site": "same-site"},
    ],
)
def test_a_form_of_another_site_is_refused(demo_page: Served, headers: dict[str, str]) -> None:
    said = {name: demo_page.address if value == "OWN" else value for name, value in headers.items()}
    answer = demo_page.client.post("/stop", data={"token": "x"}, headers=said)
    assert answer.status_code == 403


def test_a_form_needs_the_token_of_its_visit(demo_page: Served) -> None:
    for token in ("", "x", "0" * 64):
        answer = demo_page.client.post("/stop", data={"token": token}, headers={"origin": demo_page.address})
        assert answer.status_code == 403


def test_what_is_sent_is_bounded(demo_page: Served) -> None:
    headers = {"origin": demo_page.address}
    big = b"x" * (25 * 1024 * 1024)
    assert demo_page.client.post("/stop", content=big, headers=headers).status_code == 413

    def unannounced() -> object:
        for _ in range(30):
            yield b"x" * 1024 * 1024

    try:
        answer = demo_page.client.post(
            "/stop",
            content=unannounced(),  # type: ignore[arg-type]
            headers={**headers, "content-type": "application/x-www-form-urlencoded"},
        )
        assert answer.status_code >= 400
    except httpx.HTTPError:
        pass  # cut off in the middle is refused too
    assert demo_page.client.get("/look").status_code == 200


def test_every_answer_carries_the_strict_headers(demo_page: Served) -> None:
    for path in ("/", "/look", "/nowhere", "/static/page.css", "/part/nothing", "/part/LARCH-201?json="):
        headers = demo_page.get(path).headers
        policy = headers["content-security-policy"]
        assert "default-src 'none'" in policy and "unsafe" not in policy and "*" not in policy
        assert "frame-ancestors 'none'" in policy and "form-action 'self'" in policy
        assert headers["x-content-type-options"] == "nosniff"
        assert "access-control-allow-origin" not in headers
    assert "samesite=strict" in httpx.get(demo_page.address).headers["set-cookie"].casefold()


@pytest.mark.parametrize(
    "path",
    [
        "/static/..%2fserver.py",
        "/static/%2e%2e/server.py",
        "/static/../server.py",
        "/part/..%2f..%2f..%2fetc%2fpasswd",
        "/list/..%2f..%2fetc",
        "/calculate/template?file=x",
        "/%00",
    ],
)
def test_paths_that_climb_find_nothing(demo_page: Served, path: str) -> None:
    answer = demo_page.get(path)
    assert answer.status_code in (400, 404, 422)
    assert "root:" not in answer.text and "import" not in answer.text


@pytest.mark.parametrize(
    "path",
    [
        "/part/{}",
        "/search?words={}",
        "/swap/tansy-m080?want={}",
        "/fits?parts={}%0Ab",
        "/{}",
        "/look?x={}",
        "/swap/{}?want=x",
    ],
)
def test_markup_in_an_address_is_text(demo_page: Served, path: str) -> None:
    from urllib.parse import quote

    for spelled in (quote(MARKUP, safe=""), quote('"><img src=x onerror=alert(1)>', safe="")):
        text = demo_page.get(path.format(spelled)).text
        assert "<script>alert" not in text and "<img" not in text


def test_markup_in_records_is_text(serving: Callable[..., Served], tmp_path: Path) -> None:
    folder = tmp_path / "records"
    shutil.copytree(DEMO, folder)
    for file in folder.rglob("*.csv"):
        text = file.read_text(encoding="utf-8")
        file.write_text(text.replace("drive flange, disc", MARKUP).replace("m080's", MARKUP), encoding="utf-8")
    page = serving(folder)
    seen = 0
    for path in (
        "/",
        "/list/parts",
        "/part/ROWAN-241",
        "/swap/tansy-m080?want=rotor%3DLARCH-201",
        "/vehicle/tansy-m080",
    ):
        text = page.get(path).text
        assert "<script>alert" not in text, path
        seen += text.count("&lt;script&gt;alert(1)&lt;/script&gt;")
    assert seen > 4


def test_methods_that_no_room_has(demo_page: Served) -> None:
    for method in ("PUT", "DELETE", "PATCH", "OPTIONS", "TRACE"):
        assert demo_page.client.request(method, "/", headers={"origin": demo_page.address}).status_code in (
            403,
            404,
            405,
        )


def test_a_page_can_be_reached_before_its_address_is_said() -> None:
    """A browser that follows the address at once is not refused, however busy the machine is."""
    with listening_at("127.0.0.1", 0) as page, socket.create_connection(page.getsockname(), timeout=5) as browser:
        assert browser.getpeername() == page.getsockname()
