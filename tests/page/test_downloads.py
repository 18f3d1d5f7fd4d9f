"""Cards to print and records to share, through the page; another club's file merged and taken out again."""

from __future__ import annotations

import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.page.conftest import DEMO, Served
from tests.page.test_writing import SWAP_AT, followed, text_of


@pytest.fixture
def page(serving: Callable[..., Served], tmp_path: Path) -> Served:
    folder = tmp_path / "records"
    shutil.copytree(DEMO, folder)
    return serving(folder)


def test_cards_are_printed_and_what_changed_is_told(page: Served) -> None:
    followed(page, SWAP_AT, do="keep", form="keep", plan="discs", by="m080")
    card = page.get("/plan/discs/job.pdf")
    assert card.status_code == 200 and card.content.startswith(b"%PDF-")
    assert card.headers["content-type"] == "application/pdf"
    assert "/plan/discs/job.pdf" in page.get("/plan/discs/job").text
    assert page.get("/plan/discs/record.pdf").status_code == 422  # the card is not closed
    assert page.get("/plan/discs/order.pdf").status_code == 404
    assert page.get("/plan/nobody/job.pdf").status_code == 422
    assert page.get("/plan/..%2f..%2fetc/job.pdf").status_code in (404, 422)
    assert page.get("/plan/discs/changed").status_code == 200


def test_what_is_shared_is_merged_and_taken_out(page: Served, demo_page: Served) -> None:
    shared = page.get("/club/shared.trig?club=north&member=m080")
    assert shared.status_code == 200 and b"north" in shared.content
    assert page.get("/club/shared.trig").status_code == 422
    assert not list(Path().glob("*.trig"))
    sent = {"file": ("north.trig", shared.content, "application/trig")}
    for tried in (True, False):
        fields = {"token": page.token("/club"), "do": "merge", "form": "merge", **({"dry-run": "on"} if tried else {})}
        went = page.client.post("/club", data=fields, files=sent, headers={"origin": page.address})
        assert went.status_code == 303, text_of(went)
        assert page.folder is not None
        assert bool(list(page.folder.rglob("north*"))) is not tried
        assert page.get(went.headers["location"]).status_code == 200
    followed(page, "/club", do="merge-remove", form="merge-remove", remove="north")
    assert page.folder is not None and not list(page.folder.rglob("north*"))
    bad = {"file": ("x.trig", b"<http://broken", "application/trig")}
    fields = {"token": page.token("/club"), "do": "merge", "form": "merge"}
    answer = page.client.post("/club", data=fields, files=bad, headers={"origin": page.address})
    assert answer.status_code == 422 and re.search("north|club|read|line", text_of(answer))
