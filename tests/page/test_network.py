"""The page for others in the network: a key that works once, reading alone unless told otherwise."""

from __future__ import annotations

import asyncio
import re
import shutil
from pathlib import Path
from typing import Any

import httpx
import pytest
from starlette.types import ASGIApp

from knockon.queries.ui.page.guard import Guard
from knockon.queries.ui.page.network import Door, qr_code
from knockon.queries.ui.page.server import page_at
from knockon.queries.ui.page.showing import Site
from tests.page.conftest import DEMO

BASE = "http://192.0.2.7:8642"
MEASURE = "/swap/tansy-m080/measure?want=rotor%3DLARCH-201"


class Network:
    """The page as others in the network reach it."""

    def __init__(self, folder: Path | None, may_write: bool) -> None:
        self.told: list[str] = []
        self.door = Door(page_at(folder, Site("mine")), BASE, may_write, self.told.append)
        self.app: ASGIApp = Guard(self.door, ["192.0.2.7:8642"])

    @property
    def key(self) -> str:
        found = re.search(r"key=(\S+)", self.told[-1])
        assert found
        return found[1]

    def visitor(self, peer: str = "192.0.2.9") -> httpx.AsyncClient:
        return httpx.AsyncClient(transport=httpx.ASGITransport(self.app, client=(peer, 5)), base_url=BASE, timeout=90)


def run(walk: Any) -> None:
    asyncio.run(walk)


def test_a_key_opens_once() -> None:
    async def walk() -> None:
        network = Network(None, may_write=False)
        first = network.key
        phone, stranger = network.visitor(), network.visitor()
        for path in ("/", "/look", "/part/LARCH-201?json=", "/static/page.css", "/enter", "/enter?key=x"):
            assert (await stranger.get(path)).status_code == 403, path
        went = await phone.get(f"/enter?key={first}")
        assert (went.status_code, went.headers["location"]) == (303, "/")
        assert (await phone.get("/look")).status_code == 200
        assert (await stranger.get(f"/enter?key={first}")).status_code == 403
        assert (await stranger.get("/look", headers={"cookie": "knockon-visit=guess"})).status_code == 403
        assert network.key != first
        assert (await stranger.get(f"/enter?key={network.key}")).status_code == 303

    run(walk())


@pytest.mark.parametrize("may_write", [False, True])
def test_others_write_only_where_told(tmp_path: Path, may_write: bool) -> None:
    async def walk() -> None:
        folder = tmp_path / "records"
        shutil.copytree(DEMO, folder)
        network = Network(folder, may_write)
        phone = network.visitor()
        await phone.get(f"/enter?key={network.key}")
        room = await phone.get("/notes")
        while room.status_code == 202:
            await asyncio.sleep(0.2)
            room = await phone.get("/notes")
        token = re.search(r'name="token" value="(\w+)"', room.text)
        assert (token is not None) is may_write
        fields = {"do": "note-add", "form": "note-add", "text": "It fits", "outcome": "worked", "member": "m080"}
        fields |= {"part": "ROWAN-251", "token": token[1] if token else "x"}
        written = await phone.post("/notes", data=fields, headers={"origin": BASE})
        assert written.status_code == (303 if may_write else 403)
        files = [path.read_bytes() for path in folder.rglob("*") if path.is_file()]
        assert any(b"It fits" in content for content in files) is may_write

    run(walk())


def test_the_code_is_the_address() -> None:
    code = qr_code(f"{BASE}/enter?key=abc").splitlines()
    assert len({len(line) for line in code}) == 1
    assert set("".join(code)) <= set("█▀▄ ")
    assert abs(len(code) * 2 - len(code[0])) <= 1  # square
