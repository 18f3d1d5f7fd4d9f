"""What stands around an answer: titles, rooms near a room, lists of rooms, the cookie of a visit."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping, Sequence
from urllib.parse import quote

import click
import msgspec
from starlette.responses import Response

from knockon.queries.find.listing import SORTS
from knockon.queries.ui.page.addresses import BY_NAME, Query, Room, address, asked_in
from knockon.queries.ui.page.calculating import subjects
from knockon.queries.ui.page.forms import command_of
from knockon.queries.ui.page.guard import COOKIE
from knockon.queries.ui.page.pieces import Form, Go, Heading, Link, Outcome, Piece, Text
from knockon.queries.ui.page.rooms.writing_forms import FORMS
from knockon.queries.ui.page.showing import Site
from knockon.queries.ui.page.worker import Step
from knockon.queries.ui.page.writing import Writing
from knockon.queries.ui.sentences import page as say
from knockon.queries.ui.sentences import shell

LOOKED_UP = ("fits", "tell-apart", "identify", "disputes", "club", "quarantine", "check")
SEARCHED: tuple[tuple[str, ...], ...] = (("list", "parts"), ("list", "positions"), ("list", "notes"), ("words",))
OF_A_SWAP = ("swap", "measure", "order", "job-card")


def title(room: Room) -> str:
    """What a room is called."""
    return say.ROOMS.get(room.name, room.name.capitalize())


def is_asked(room: Room, query: Query) -> bool:
    """Whether a room has what its command cannot do without."""
    command = command_of(room)
    needed = [n for n in room.arguments if n not in room.places and n != "words"]
    needed += [n for p in command.params if p.required for n in (max(p.opts, key=len).lstrip("-"),)
               if n in room.options]  # fmt: skip
    needed += ["want"] if room.name in OF_A_SWAP and not any(query.get("renew", ())) else []
    if room.name.startswith("calculate") and not any(query.values()):
        return False
    return all(any(v.strip() for v in query.get(name, ())) for name in needed)


def near(room: Room, places: Mapping[str, str], query: Query) -> tuple[Link, ...]:
    """The rooms beside a room: of a swap all that belongs to the same plan."""
    if room.name not in OF_A_SWAP:
        return ()
    asked = asked_in(query)
    return tuple(Link(say.ROOMS[name], address(BY_NAME[name], places, asked)) for name in OF_A_SWAP)


ROOMS_OF_PLAN = {"": "swap", "/measure": "measure", "/kit": "kit"}
"""Rooms of a named plan that ask what the plan asks; the others ask the plan by its name."""


def near_plan(plan: str) -> tuple[Link, ...]:
    """The rooms of a named plan."""
    base = f"/plan/{quote(plan, safe='')}"
    return tuple(Link(label, f"{base}/{name}" if name else base) for name, label in say.OF_PLAN.items())


def plan_in(document: bytes, name: str) -> tuple[str, str, dict[str, list[str]]] | None:
    """(name, vehicle, request by option) of a plan in the document of all."""
    if not document:
        return None
    for plan in msgspec.json.decode(document)["result"].get("plans", ()):
        if str(plan["plan"]).casefold() == name.strip().casefold():
            asked = {option: list(values) for option, values in plan["request"].items()}
            return str(plan["plan"]), str(plan["vehicle"]), asked
    return None


def goes_on(writing: Writing, places: Mapping[str, str], form: Mapping[str, Sequence[str]]) -> str:
    """Where a writing goes on; blank where it stays."""
    given = {**{name: values[0] for name, values in form.items() if values}, **places}
    path = writing.then
    for name in re.findall(r"{(\w+)}", path):
        path = path.replace(f"{{{name}}}", quote(" ".join(given.get(name, "").split()), safe=""))
    return path


def forms(room: Room) -> tuple[Form, ...]:
    """The forms with which something is written in a room, beside those that belong to its answer."""
    return FORMS.get(room.name, ())


def whole_number(text: str) -> int:
    """A number from nought on; nought for what is none."""
    return int(text) if text.isascii() and text.isdigit() and len(text) < 7 else 0


def look() -> Outcome:
    """Rooms in which something is looked up."""
    links = [Link(say.ROOMS[name], BY_NAME[name].address) for name in LOOKED_UP]
    lists = [Link(sort, f"/list/{sort}") for sort in SORTS]
    words = Link(say.ROOMS["words"], BY_NAME["words"].address)
    pieces: list[Piece] = [Go((*links, words)), Heading(say.LISTS), Go(tuple(lists))]
    return Outcome(0, pieces=tuple(pieces))


def calculations() -> Outcome:
    """The subjects, each with what it is for."""
    return Outcome(0, pieces=(Go(tuple(_subjects())),))


def _subjects() -> Iterator[Link]:
    for name, room in subjects().items():
        command = command_of(room)
        short = command.get_short_help_str(200) if isinstance(command, click.Command) else ""
        yield Link(name, room.address, short)


def found(outcomes: Sequence[Outcome], words: Sequence[str]) -> Outcome:
    """What a search found: the lists one under the other; those in which nothing stands are left out."""
    pieces: list[Piece] = []
    for sort, outcome in zip(SEARCHED, outcomes, strict=False):
        if outcome.status == 0 and not outcome.mistake:
            pieces += [Heading(say.SEARCHED[sort[-1]]), *outcome.pieces]
    if not pieces:
        pieces.append(Text(say.FOUND_NOTHING if words else say.TYPE_WORDS))
    return Outcome(0, pieces=tuple(pieces))


def step_said(step: Step) -> str:
    """A step of long work in words."""
    return shell.STEP_OF.format(step=step.step, done=step.done, whole=step.whole) if step.whole else step.step


def mistake_document(outcome: Outcome) -> bytes:
    """Why there is no document."""
    return msgspec.json.encode({"status": outcome.status, "mistake": outcome.mistake, "about": outcome.about})


def visited(response: Response, visit: str, fresh: bool, site: Site) -> Response:
    """The response, with the cookie of a new visit."""
    if fresh:
        response.set_cookie(COOKIE, visit, httponly=True, samesite="strict", path="/")
    return response
