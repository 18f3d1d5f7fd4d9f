"""Which address is which question: an address is a command's words, its query the command's options.

A room takes only the options that stand with it here. None of them names a file or writes: those are no part of an
address, whoever wrote it. What may be written in a room stands in ``writing.py``.
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Mapping, Sequence
from urllib.parse import quote, urlencode

import click
import msgspec

REQUEST = ("want", "keep", "avoid", "renew")
PLANNED = (*REQUEST, "prefer", "time-limit")
DETAILS = ("why", "measure", "evidence", "notes", "others", "full")
ON = "on"
"""What an address says of an option without a value."""


class Room(msgspec.Struct, frozen=True):
    """A room: ``address`` with its ``{places}``; the words of its ``command``; the command's ``arguments`` in their
    order, each taken from the address or the query; the ``options`` that its query may hold, and ``flags``, which have
    no value. ``named``: an option that the address gives, by its place; ``pairs``: options with several values, parted
    by semicolons in an address."""

    name: str
    address: str
    command: tuple[str, ...]
    arguments: tuple[str, ...] = ()
    options: tuple[str, ...] = ()
    flags: tuple[str, ...] = ()
    named: tuple[tuple[str, str], ...] = ()
    pairs: tuple[str, ...] = ()

    @property
    def places(self) -> tuple[str, ...]:
        """The places of its address."""
        return tuple(re.findall(r"{(\w+)}", self.address))


ROOMS = (
    Room("swap", "/swap/{vehicle}", ("swap",), ("vehicle",), (*PLANNED, "plans", "why", "instead-of"),
         ("side-by-side", "turning", "measure", "evidence", "notes", "others", "full")),
    Room("measure", "/swap/{vehicle}/measure", ("measure",), ("vehicle",), PLANNED, ("full",)),
    Room("order", "/swap/{vehicle}/order", ("order",), ("vehicle",), (*PLANNED, "accept", "which", "letter"),
         ("full",)),
    Room("job-card", "/swap/{vehicle}/job", ("job-card",), ("vehicle",), (*REQUEST, "time-limit", "side", "have"),
         ("tools", "full")),
    Room("kit", "/kit", ("kit",), ("kit",), (*REQUEST, "for", "time-limit"),
         ("message", "why", "measure", "evidence", "notes", "full")),
    Room("needs", "/needs/{vehicle}/{position}", ("needs",), ("vehicle", "position"), PLANNED,
         ("message", "why", "evidence", "others", "full")),
    Room("order-of-plan", "/plan/{plan}/order", ("order",), (), ("which", "letter", "time-limit"), ("full",),
         (("plan", "plan"),)),
    Room("goods-in", "/plan/{plan}/goods-in", ("goods-in",), (), ("time-limit",), ("full",), (("plan", "plan"),)),
    Room("job-card-of-plan", "/plan/{plan}/job", ("job-card",), (), ("side", "have", "time-limit"), ("tools", "full"),
         (("plan", "plan"),)),
    Room("record", "/plan/{plan}/record", ("record",), (), (), ("inspector", "full"), (("plan", "plan"),)),
    Room("vehicle", "/vehicle/{vehicle}", ("vehicle",), ("vehicle",), (), ("full",)),
    Room("part", "/part/{part}", ("part",), ("part",), (), ("evidence", "notes", "full")),
    Room("partners", "/partners/{part}", ("partners",), ("part",), ("along",), ("others", "full")),
    Room("fits", "/fits", ("fits",), ("parts",), ("at", "on", "empty", "why"),
         ("measure", "evidence", "notes", "others", "full")),
    Room("tell-apart", "/tell-apart", ("tell-apart",), ("one", "other"), (), ("why", "evidence", "full")),
    Room("identify", "/identify", ("identify",), ("readings",), ("type", "tool"), ("evidence", "full")),
    Room("list", "/list/{sort}", ("list",), ("sort", "words"), ("type", "at", "from", "layout"), ("full",)),
    Room("combinations", "/combinations/{layout}", ("combinations",), ("layout",),
         ("with", "avoid", "first", "time-limit"),
         ("evidence", "others", "full")),
    Room("note-list", "/notes", ("note", "list"), (), ("vehicle", "part", "position", "outcome", "member"),
         ("withdrawn", "full")),
    Room("disputes", "/disputes", ("disputes",), (), (), ("full",)),
    Room("club", "/club", ("disputes",), (), (), ("full",)),
    Room("changed-of-plan", "/plan/{plan}/changed", ("changed",), (), ("time-limit",), ("full",), (("plan", "plan"),)),
    Room("check", "/check", ("check",), (), (), ("full",)),
    Room("quarantine", "/sheets/quarantine", ("quarantine",), (), (), ("full",)),
    Room("words", "/words", ("words",), ("words",)),
    Room("overview", "/overview", ("overview",)),
)  # fmt: skip
"""All rooms that are one question each."""
BY_NAME = {room.name: room for room in ROOMS}

Query = Mapping[str, Sequence[str]]


def words_of(room: Room, places: Mapping[str, str], query: Query) -> list[str]:
    """The words of the command that a room asks. What an address says beyond its options is left out; no value of it
    can pass for an option."""
    words = list(room.command)
    words += [f"--{option}={places[place]}" for option, place in room.named]
    for name in room.options:
        for value in (v.strip() for v in query.get(name, ())):
            if value and name in room.pairs:
                words += [f"--{name}", *(v.strip() for v in value.split(";"))]
            elif value or (name == "why" and name in query):
                words.append(f"--{name}={value}")
    words += [f"--{name}" for name in room.flags if ON in query.get(name, ())]
    arguments = [v for name in room.arguments for v in ((places[name],) if name in places else query.get(name, ()))]
    given = [value for value in arguments if value.strip()]
    return [*words, "--", *given] if given else words


def asked_in(query: Query) -> dict[str, list[str]]:
    """Of a query what a plan asks."""
    return {name: [v for v in query.get(name, ()) if v.strip()] for name in PLANNED if any(query.get(name, ()))}


def address(room: Room, places: Mapping[str, str], query: Query) -> str:
    """The address of a room with a query."""
    path = room.address
    for place in room.places:
        path = path.replace(f"{{{place}}}", quote(places[place], safe=""))
    pairs = [(name, value) for name, values in query.items() for value in values if value != ""]
    return f"{path}?{urlencode(pairs)}" if pairs else path


def bare_words(typed: str) -> list[str]:
    """The words of a command as it would be typed, without what it says of the records."""
    words = shlex.split(typed)
    if words[:1] == ["knockon"]:
        del words[0]
    while words[:1] and words[0] in ("--records", "--server", "--without"):
        del words[:2]
    return words


def address_of(typed: str) -> str:
    """The address that asks what a command asks as it would be typed; blank for one that no room asks."""
    words = bare_words(typed)
    rooms = [r for r in ROOMS if tuple(words[: len(r.command)]) == r.command]
    for room in sorted(rooms, key=lambda r: not r.named):
        found = _read(room, words[len(room.command) :])
        if found is not None:
            return address(room, *found)
    return ""


def _read(room: Room, words: Sequence[str]) -> tuple[dict[str, str], dict[str, list[str]]] | None:
    """What words say in a room; None where they say what the room cannot."""
    found = _options(room, words)
    if found is None:
        return None
    options, arguments = found
    places = {place: options.pop(option, [""])[0] for option, place in room.named}
    for name in room.arguments:
        if name == room.arguments[-1] and name not in room.places:
            options[name], arguments = arguments, []
        elif arguments and name in room.places:
            places[name] = arguments.pop(0)
        elif arguments:
            options[name] = [arguments.pop(0)]
    return None if arguments or not all(places.get(place) for place in room.places) else (places, options)


def _options(room: Room, words: Sequence[str]) -> tuple[dict[str, list[str]], list[str]] | None:
    """The options of words with their values, and the words that belong to none."""
    options: dict[str, list[str]] = {}
    arguments: list[str] = []
    known = {*room.options, *(option for option, _ in room.named)}
    left = [word for word in words if word != "--"]
    while left:
        word = left.pop(0)
        name, sign, value = word.removeprefix("--").partition("=")
        if not word.startswith("--"):
            arguments.append(word)
        elif name in room.flags:
            options.setdefault(name, []).append(ON)
        elif name in known:
            has_more = bool(left) and not left[0].startswith("--")
            value = value if sign else left.pop(0) if has_more else " "
            options.setdefault(name, []).append(value)
        else:
            return None
    return options, arguments


def parameters_of(command: click.Command) -> dict[str, click.Parameter]:
    """The parameters of a command by the name that an address has for them, hidden ones and files left out."""
    return {
        max(p.opts, key=len).lstrip("-"): p
        for p in command.params
        if not getattr(p, "hidden", False) and not isinstance(p.type, click.Path | click.File)
    }
