"""A sheet through the page: sent, shown with where its columns go, imported once that is accepted."""

from __future__ import annotations

import html
import re
from pathlib import Path

import httpx

from tests.page.conftest import Served
from tests.page.test_writing import text_of

SHEET = (
    b"part number,description,part type,hand,one use\n"
    b"OAK-1,rotor of a sheet,rotor,either,no\nOAK-2,<b>another</b>,rotor,either,no\n"
)


def send(page: Served, content: bytes, name: str = "parts.csv", **fields: str) -> httpx.Response:
    fields = {"token": page.token("/sheets"), "do": "sheet", "form": "sheet", **fields}
    sent = {"file": (name, content, "text/csv")}
    return page.client.post("/sheets", data=fields, files=sent, headers={"origin": page.address})


def accept(page: Served, shown: httpx.Response) -> httpx.Response:
    hidden = dict(re.findall(r'<input type="hidden" name="([\w-]+)" value="([^"]*)">', shown.text))
    fields = {name: html.unescape(value) for name, value in hidden.items()}
    return page.client.post("/sheets", data=fields, headers={"origin": page.address})


def test_a_sheet_is_shown_then_imported(own_page: Served) -> None:
    shown = send(own_page, SHEET, table="parts", source="quillmere-drawings")
    assert shown.status_code == 200, text_of(shown)
    assert "part number" in text_of(shown)
    assert own_page.folder is not None
    assert own_page.get("/part/OAK-1").status_code == 422  # nothing is written yet
    assert str(Path("/tmp")) not in text_of(shown).split("Records:")[0]  # no path of the page's own
    went = accept(own_page, shown)
    assert went.status_code == 303, text_of(went)
    assert "2 rows" in text_of(own_page.get(went.headers["location"]))
    shown = own_page.get("/part/OAK-2")
    assert shown.status_code == 200 and "<b>another" not in shown.text and "<b>another</b>" in text_of(shown)


def test_a_sheet_that_is_none_is_refused(own_page: Served) -> None:
    for content, name in ((b"", "empty.csv"), (b"\0\1\2" * 100, "x.xlsx"), (b"PK\3\4" + b"\0" * 50, "y.xlsx")):
        answer = send(own_page, content, name)
        assert answer.status_code == 422, text_of(answer)


def test_no_name_of_a_file_leads_out(own_page: Served, tmp_path: Path) -> None:
    outside = tmp_path / "climbed.csv"
    climbing = "../" * 40 + outside.relative_to(outside.anchor).as_posix()
    for name in (str(outside), climbing, "..\\climbed.csv", "--records=x.csv"):
        assert send(own_page, SHEET, name, table="parts", source="quillmere-drawings").status_code in (200, 303, 422)
    assert not outside.exists()


def test_another_visit_cannot_accept_it(own_page: Served) -> None:
    shown = send(own_page, SHEET, table="parts", source="quillmere-drawings")
    sheet = re.search(r'name="sheet" value="(\w+)"', shown.text)
    assert sheet
    other = Served(own_page.address, httpx.Client(base_url=own_page.address, timeout=90), own_page.folder)
    for token in (sheet[1], "../../etc", "", "0" * 16):
        answer = other.post("/sheets", do="sheet-accept", form="sheet-accept", sheet=token)
        assert answer.status_code == 422
