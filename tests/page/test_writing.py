"""What is written through the page: a form, a redirect, the room as it is then; a mistake beside its field."""

from __future__ import annotations

import html
import re
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.page.conftest import DEMO, Served

MEASURE = "/swap/tansy-m080/measure?want=rotor%3DLARCH-201"
SWAP_AT = "/swap/tansy-m080?want=rotor%3DLARCH-201"


def text_of(answer: object) -> str:
    found = getattr(answer, "text", "")
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", str(found))).split())


WHAT = "rear drum, drum: diameter"


def wanted(page: Served) -> list[str]:
    """The readings that are still wanted."""
    listed = re.findall(r'<li><a class="go" href="[^"]+at=\d+"[^>]*>([^<]+)</a></li>', page.get(MEASURE).text)
    return [html.unescape(one) for one in listed]


def followed(page: Served, path: str, **fields: str) -> str:
    """What stands in the room after a form was sent."""
    went = page.post(path, **fields)
    assert went.status_code == 303, text_of(went)
    return text_of(page.get(went.headers["location"]))


@pytest.fixture
def page(serving: Callable[..., Served], tmp_path: Path) -> Served:
    folder = tmp_path / "records"
    shutil.copytree(DEMO, folder)
    return serving(folder)


def test_a_reading_is_written_changes_the_plan_and_is_withdrawn(page: Served) -> None:
    what = WHAT
    assert what in wanted(page)
    said = followed(page, MEASURE, do="measured", form="measured", what=what, value="177.8 mm", by="m080")
    assert "m080" in said
    assert what not in wanted(page)
    listed = text_of(page.get("/notes?member=m080"))
    assert "177.8 mm" in listed
    followed(page, MEASURE, do="withdraw-reading", what=what, by="m080")
    assert what in wanted(page)


def test_what_looks_wrong_is_asked_back_beside_the_field_and_kept(page: Served) -> None:
    what, at = WHAT, f"{MEASURE}&at={wanted(page).index(WHAT)}"
    answer = page.post(at, do="measured", form="measured", what=what, value="1778 mm", by="m080")
    assert answer.status_code == 422
    assert 'value="1778 mm"' in answer.text
    assert "177.8" in text_of(answer) and 'aria-invalid="true"' in answer.text
    assert 'name="as-read"' in answer.text
    assert "1778" not in text_of(page.get("/notes?member=m080"))
    followed(page, MEASURE, do="measured", form="measured", what=what, value="1778 mm", by="m080", **{"as-read": "on"})
    assert "1778 mm" in text_of(page.get("/notes?member=m080"))


@pytest.mark.parametrize("value", ["", "abc", "177.8", "--withdraw", "177.8 mm; rm", "<b>1</b>"])
def test_a_value_that_is_none_writes_nothing(own_page: Served, value: str) -> None:
    answer = own_page.post(MEASURE, do="measured", form="measured", what=WHAT, value=value, by="m080")
    assert answer.status_code == 422
    assert 'class="wrong"' in answer.text
    assert WHAT in wanted(own_page)


def test_the_whole_job_from_plan_to_record(page: Served) -> None:
    said = followed(page, SWAP_AT, do="keep", form="keep", plan="discs", by="m080")
    assert "39 groups" in said
    for room in ("", "/measure", "/order", "/job"):
        assert page.get(f"/plan/discs{room}").status_code == 200, room
    assert "discs" in text_of(page.get("/"))
    assert "39 groups" in text_of(page.get("/plan/DISCS"))
    assert page.get("/plan/nobody").status_code == 404
    kit = text_of(page.get("/plan/discs/kit?kit=K2"))
    assert "K2" in kit

    said = followed(page, "/plan/discs/order", do="place", form="place", place="cheapest", by="m080")
    assert "cheapest" in said
    card = page.get("/plan/discs/goods-in")
    part = html.unescape(re.findall(r'name="part" value="([^"]+)"', card.text)[0])
    supplier = html.unescape(re.findall(r'name="from" value="([^"]+)"', card.text)[0])
    said = followed(page, "/plan/discs/goods-in", do="goods", form="goods-1", part=part, quantity="1", verdict="accept",
                    by="m080", **{"from": supplier})  # fmt: skip
    assert part in said

    card = page.get("/plan/discs/job")
    assert "Open gates" in text_of(card)
    steps = [html.unescape(s) for s in re.findall(r'name="step" value="([^"]+)"', card.text)]
    before = text_of(card).count("Done:")
    said = followed(page, "/plan/discs/job", do="tick", form="tick-next", step=steps[0], by="m080")
    assert said.count("Done:") == before + 1
    assert 'value="m080"' in page.get("/plan/discs/job").text  # who writes is typed once
    said = followed(page, "/plan/discs/job", do="take-back", form="untick-1", step=steps[0], by="m080")
    assert said.count("Done:") == before
    refused = page.post("/plan/discs/job", do="close", form="close", by="m080", **{"checked-by": "m081"})
    assert refused.status_code == 422 and "cannot be closed" in text_of(refused)
    assert "not closed" in text_of(page.get("/plan/discs/record")).casefold()


def test_two_people_see_each_other(page: Served) -> None:
    import httpx

    followed(page, SWAP_AT, do="keep", form="keep", plan="discs", by="m080")
    other = Served(page.address, httpx.Client(base_url=page.address, timeout=90), page.folder)
    step = re.findall(r'name="step" value="([^"]+)"', page.get("/plan/discs/job").text)[0]
    followed(page, "/plan/discs/job", do="tick", form="tick-next", step=html.unescape(step), by="m080")
    assert "Done:" in text_of(other.get("/plan/discs/job"))


def test_a_note_is_added_with_a_photograph_and_withdrawn(page: Served) -> None:
    token = page.token("/notes")
    picture = b"\x89PNG\r\n\x1a\n" + b"\0" * 64
    fields = {"token": token, "do": "note-add", "form": "note-add", "text": "<b>The collar was missing</b>",
              "outcome": "failed", "part": "ROWAN-251", "member": "m080"}  # fmt: skip
    sent = {"photo": ("../../evil name.png", picture, "image/png")}
    went = page.client.post("/notes", data=fields, files=sent, headers={"origin": page.address})
    assert went.status_code == 303, text_of(went)
    shown = page.get("/notes?member=m080")
    assert "The collar was missing" in text_of(shown) and "<b>The collar" not in shown.text
    assert page.folder is not None
    assert [p.read_bytes() for p in (page.folder / "photographs").iterdir()] == [picture]
    name = re.search(r"Written: (\w+)", text_of(page.get(went.headers["location"])))
    assert name
    followed(page, "/notes", do="note-withdraw", form="note-withdraw", name=name[1], member="m080", why="mine")
    assert "The collar was missing" not in text_of(page.get("/notes?member=m080"))


@pytest.mark.parametrize("do", ["", "nothing", "tick", "keep", "write"])
def test_a_room_writes_only_what_is_its_own(own_page: Served, do: str) -> None:
    answer = own_page.post("/notes", do=do, form="x", text="x")
    assert answer.status_code == 404


def test_fields_that_no_form_has_are_left_out(own_page: Served, tmp_path: Path) -> None:
    other, printed = str(tmp_path), tmp_path / "x.pdf"
    fields = {"records": other, "print": str(printed), "--records": other, "json": "1"}
    answer = own_page.post(MEASURE, do="measured", form="measured", what="nothing", value="1 mm", **fields)
    assert answer.status_code == 422
    assert not printed.exists()


def test_the_demo_world_is_not_written(demo_page: Served) -> None:
    text = demo_page.get("/notes")
    assert 'method="post"' not in text.text and "invented" in text_of(text)
    token = re.search(r'name="token" value="(\w+)"', text.text)
    assert token is None
    answer = demo_page.post("/notes", do="note-add", form="note-add", text="x", outcome="worked", member="m1")
    assert answer.status_code == 403
