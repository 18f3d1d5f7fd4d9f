"""What a vehicle of one's own is to be: ready-made layouts by name, and one arrangement of each choice they leave."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec

from knockon.graph.model.layouts.mechanism import LayoutUse
from knockon.graph.model.layouts.ready_made import Composition, ReadyMade, ready_made
from knockon.graph.model.nearest import nearest
from knockon.graph.records import RecordsError
from knockon.queries.intake.check_names import vehicle_read_as_else

LONGEST_NAME = 60


class CannotAdd(RecordsError):
    """A vehicle cannot be added as it is asked for. Nothing was changed."""


class Choosable(msgspec.Struct, frozen=True):
    """A choice that layouts leave: its name, and its arrangements with their titles."""

    choice: str
    arrangements: tuple[str, ...]
    titles: tuple[str, ...]


def uses_of(layouts: Sequence[str], layout: str = "") -> tuple[LayoutUse, ...]:
    """How ready-made layouts are put together: each named after its axle where there are several. Raises CannotAdd."""
    known = ready_made()
    if not layouts:
        raise CannotAdd(f"no layout is named. The ready-made layouts are {', '.join(known)}")
    found: list[ReadyMade] = []
    for name in layouts:
        folded = " ".join(name.casefold().split())
        if folded not in known:
            near = nearest(name, list(known))
            offered = f"Nearest: {', '.join(near)}" if near else f"The ready-made layouts are {', '.join(known)}"
            raise CannotAdd(f"no ready-made layout {name!r}. {offered}")
        if known[folded] not in found:
            found.append(known[folded])
    axles = [one.axle for one in found if one.axle]
    twice = next((a for a in axles if axles.count(a) > 1), "")
    if twice:
        both = " and ".join(one.name for one in found if one.axle == twice)
        raise CannotAdd(f"{both} are both for the {twice} axle. Choose one of them")
    several = len(axles) > 1
    return tuple(LayoutUse(layout, one.name, one.axle if several else "") for one in found)


def choices_of(uses: Sequence[LayoutUse]) -> tuple[Choosable, ...]:
    """The choices that layouts leave, as they will be called."""
    found: dict[str, list[tuple[str, str]]] = {}
    for _, table, _, cells in Composition("", list(uses)).rows([]):
        if table == "arrangements":
            found.setdefault(cells["choice"], []).append((cells["arrangement"], cells["title"]))
    return tuple(Choosable(name, *zip(*rows, strict=True)) for name, rows in found.items())


def may_change_of(choices: Sequence[Choosable], said: Sequence[str]) -> tuple[str, ...]:
    """The choices of which all arrangements stay, so that a plan may change from one to another: those that are named,
    with or without their axle; where none is, the first of each axle, which is what jobs are about (the brake).

    Raises CannotAdd.
    """
    if not said:
        first: dict[str, str] = {}
        for choice in choices:
            first.setdefault(choice.choice.rpartition(" ")[0], choice.choice)
        return tuple(first.values())
    found: list[str] = []
    for text in said:
        folded = " ".join(text.casefold().split())
        meant = [c.choice for c in choices if folded in (c.choice, _last_word(c.choice))]
        if not meant:
            raise CannotAdd(f"no choice is called {text!r}. There is {_either([c.choice for c in choices])}")
        found += meant
    return tuple(dict.fromkeys(found))


def left_out(
    uses: Sequence[LayoutUse], choices: Sequence[Choosable], chosen: Sequence[str], may_change: Sequence[str]
) -> tuple[LayoutUse, ...]:
    """The uses without the arrangements that the vehicle has not and no plan changes to: a place that they alone have
    would be one more that nothing is recorded of."""
    gone = {a for c in choices if c.choice not in may_change for a in c.arrangements if a not in chosen}
    found = []
    for use in uses:
        own = [a for c in choices_of([use]) for a in c.arrangements]
        found.append(LayoutUse(use.layout, use.uses, use.as_, tuple(a for a in own if a in gone)))
    return tuple(found)


def chosen_of(choices: Sequence[Choosable], said: Sequence[str], *, partly: bool = False) -> tuple[str, ...]:
    """The arrangement of each choice; a name may be written without its axle where only one has it, and as
    ``CHOICE=NAME``. Raises CannotAdd for one that is not known or has two meanings, and where a choice is left open,
    unless they are given ``partly``."""
    named: dict[str, str] = {}
    for text in said:
        one, arrangement = _meant(choices, text)
        if named.get(one.choice, arrangement) != arrangement:
            raise CannotAdd(f"{named[one.choice]} and {arrangement} are both for {one.choice}. Choose one of them")
        named[one.choice] = arrangement
    left = open_choices(choices, tuple(named.values()))
    if left and not partly:
        raise CannotAdd(f"nothing is chosen for {left[0].choice}. It has {_either(left[0].arrangements)}")
    return tuple(named[c.choice] for c in choices if c.choice in named)


def open_choices(choices: Sequence[Choosable], chosen: Sequence[str]) -> tuple[Choosable, ...]:
    """The choices of which nothing is chosen yet."""
    return tuple(c for c in choices if not set(c.arrangements) & set(chosen))


def _meant(choices: Sequence[Choosable], text: str) -> tuple[Choosable, str]:
    folded = " ".join(text.casefold().split())
    choice, sign, value = folded.partition("=")
    if sign:
        choices = [c for c in choices if choice.strip() in (c.choice, _last_word(c.choice))]
        folded = value.strip()
    whole = [(c, a) for c in choices for a in c.arrangements if a == folded]
    found = whole or [(c, a) for c in choices for a in c.arrangements if a.endswith(f" {folded}")]
    if len(found) == 1:
        return found[0]
    every = [a for c in choices for a in c.arrangements]
    if found:
        raise CannotAdd(f"{text!r} may be {_either([a for _, a in found])}. Write which")
    near = nearest(text, every) or tuple(every)
    raise CannotAdd(f"no choice {text!r}. There is {_either(near)}")


def _last_word(name: str) -> str:
    return name.rpartition(" ")[2]


def _either(names: Sequence[str]) -> str:
    return " or ".join((", ".join(names[:-1]), names[-1])) if len(names) > 1 else "".join(names)


def checked_name(name: str) -> str:
    """The name of a vehicle, its blanks plain. Raises CannotAdd for what cannot be one."""
    plain = " ".join(name.split())
    if not plain or len(plain) > LONGEST_NAME or not plain.isprintable():
        raise CannotAdd(f"{name!r:.70} is no name for a vehicle. Write up to {LONGEST_NAME} letters and digits")
    instead = vehicle_read_as_else(plain)
    if instead:
        raise CannotAdd(f"{plain!r} is no name for a vehicle: it {instead}. Write another")
    return plain
