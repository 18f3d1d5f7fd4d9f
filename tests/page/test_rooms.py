"""Rooms of the page over HTTP: what is in them, and that they are the answers of the commands."""

from __future__ import annotations

import re
import shlex
from html.parser import HTMLParser

import pytest

from knockon.queries.ui.page.addresses import BY_NAME, ROOMS, address, address_of, words_of
from tests.commands.running import SWAP, demo
from tests.commands.test_json_said_once import QUESTIONS
from tests.page.conftest import Served

SWAP_AT = "/swap/tansy-m080?want=rotor%3DLARCH-201"

WITH_A_ROOM = {room.command[0] for room in ROOMS} - {"changed", "quarantine"}
"""Commands that a room asks; of the two left out, the questions here name a folder, which no address does."""


class _Links(HTMLParser):
    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found += [value for name, value in attrs if name in ("href", "src", "action") and value]


def links(text: str) -> list[str]:
    parser = _Links()
    parser.feed(text)
    return parser.found


def test_home_says_the_danger_first_and_asks_what_to_change(demo_page: Served) -> None:
    text = demo_page.get("/").text
    assert text.index("DO NOT DRIVE tansy-m080 as it stands") < text.index("What do you want to change?")
    assert "/vehicle/tansy-m080" in text


def test_from_home_to_the_plan(demo_page: Served) -> None:
    went = demo_page.client.get("/change", params={"vehicle": "tansy-m080", "want": "rotor=LARCH-201"})
    assert (went.status_code, went.headers["location"]) == (303, SWAP_AT)


def test_the_plan_stands_on_one_page_and_its_lines_open(demo_page: Served) -> None:
    text = demo_page.get(SWAP_AT).text
    assert "order 39 groups for both sides" in " ".join(text.split())
    assert text.index("DO NOT DRIVE") < text.index("order 39")
    tree = text[text.index('<ul class="tree">') :]
    opened = tree[tree.index("ROWAN-201 outer joint") :]
    assert re.search(r"25\.4.*28\.575", opened[: opened.index("</details>")], re.DOTALL)
    assert "quillmere-drawings" in opened  # where a size comes from


def test_a_line_of_the_plan_leads_to_the_ways_round_its_part(demo_page: Served) -> None:
    text = demo_page.get(SWAP_AT).text
    (at,) = {link for link in links(text) if "instead-of=ROWAN-201" in link}
    assert "Other ways round ROWAN-201" in text
    other = " ".join(demo_page.get(at).text.split())
    assert "Without ROWAN-201 outer joint, disc, 1 of 4 other ways has a plan." in other
    assert other.index("UNSAFE WAYS") < other.index("Where the others stop")


@pytest.mark.parametrize("question", [q for _, q in QUESTIONS if q[0] != "calculate"], ids=" ".join)
def test_a_room_gives_the_document_of_its_command(demo_page: Served, question: tuple[str, ...]) -> None:
    at = address_of(shlex.join(("knockon", *question)))
    if question[0] not in WITH_A_ROOM:
        assert not at
        return
    assert at, "no room asks it"
    mark = "&" if "?" in at else "?"
    assert demo_page.get(f"{at}{mark}json=").content == demo(*question, "--json").out.encode()


def test_every_link_of_a_room_leads_somewhere(demo_page: Served) -> None:
    for path in ("/", SWAP_AT, "/look", "/part/LARCH-201"):
        for link in dict.fromkeys(links(demo_page.get(path).text)):
            assert link.startswith(("/", "#", "data:,")), link
            if link.startswith("/") and "/stop" not in link and "measured" not in link:
                assert demo_page.get(link).status_code in (200, 303, 422), link


def test_an_address_is_a_command() -> None:
    room = BY_NAME["swap"]
    words = words_of(room, {"vehicle": "tansy-m080"}, {"want": ["rotor=LARCH-201"], "full": ["on"]})
    assert words == ["swap", "--want=rotor=LARCH-201", "--full", "--", "tansy-m080"]
    assert address_of("knockon --records x swap tansy-m080 --want rotor=LARCH-201") == SWAP_AT
    assert address(room, {"vehicle": "a/b c"}, {}) == "/swap/a%2Fb%20c"


def test_no_value_of_an_address_passes_for_an_option() -> None:
    words = words_of(BY_NAME["part"], {"part": "--records=/etc"}, {})
    assert words == ["part", "--", "--records=/etc"]
    words = words_of(BY_NAME["swap"], {"vehicle": "v"}, {"want": ["--records"], "records": ["/etc"], "by": ["x"]})
    assert words == ["swap", "--want=--records", "--", "v"]


def test_no_room_takes_what_writes_or_names_a_file() -> None:
    writing = {"by", "place", "tick", "take-back", "close", "checked-by", "write", "note", "accept-mapping", "photo"}
    files = {"records", "server", "print", "sheets", "mapping", "output"}
    for room in ROOMS:
        taken = {*room.options, *room.flags}
        assert not taken & (writing | files), room.name


def test_a_mistake_is_said_in_its_room_with_the_nearest_name(demo_page: Served) -> None:
    answer = demo_page.get("/part/LARCH-20")
    assert answer.status_code == 422
    assert "LARCH-201" in answer.text
    assert demo(*("part", "LARCH-20")).status == 2


def test_nothing_is_lost_of_what_a_command_says(demo_page: Served) -> None:
    text = " ".join(re.sub(r"<[^>]+>", " ", demo_page.get("/disputes").text).split())
    for line in demo("disputes").out.splitlines()[1:12]:
        for word in line.split():
            assert word.strip(".,;:()") in text.replace("&#39;", "'").replace("&#34;", '"') or word.isupper(), line


def test_swap_is_asked_as_typed() -> None:
    assert address_of("knockon " + " ".join(SWAP)) == SWAP_AT
