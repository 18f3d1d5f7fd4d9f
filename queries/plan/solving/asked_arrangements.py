"""Asking by arrangement: ``disc``, ``front disc``, ``brake=disc`` or ``front brake=disc`` among the wishes.

A name is read as it stands, or without the words that it shares with its choice's name at their beginning: in a layout
with a front and a rear brake, ``disc`` alone may mean either, so both are offered and none is taken.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from knockon.graph.model.catalogue import MOST_NAMED, UnknownNameError
from knockon.graph.model.layouts.layout import Places, others_than
from knockon.graph.model.layouts.mechanism import Choice, Layout
from knockon.graph.model.nearest import meanings, nearest
from knockon.queries.as_typed import RequestError, fold, others_of

EXPECTED = "Write POSITION=PART or POSITION.DIMENSION>=VALUE"


def read_arrangement(places: Places, text: str, parts: Iterable[str] = ()) -> str | None:
    """The arrangement that a wish names; None where the wish is about a position.

    ``parts`` are the known part numbers: a wish that may be read both ways is refused. Raises RequestError,
    UnknownNameError.
    """
    if not re.search("[<>=]", text):
        return _bare(places, text)
    left, sign, value = (x.strip() for x in re.split("(>=|<=|=|<|>)", text, maxsplit=1))
    choices = [c for c in places.layout.choices if fold(left) and fold(left) in _names(c.choice)]
    if sign != "=" or not choices:
        return None
    if fold(left) in map(fold, places.positions):
        meant = _meant(choices, value)
        if meant and fold(value) in map(fold, parts):
            raise RequestError(
                f"{text!r} has two readings. {left} is a position and a choice, and {value} a part and an arrangement"
            )
        if not meant:
            return None
    return _one_of(choices, text, value)


def _bare(places: Places, text: str) -> str:
    """The arrangement of this name, of whatever choice."""
    choices, asked = places.layout.choices, fold(text)
    if _meant(choices, text):
        return _one_of(choices, text, text)
    if not choices or not asked or fold(text.partition(".")[0]) in {fold(p) for p in places.positions} - {asked}:
        raise RequestError(f"cannot read the wish {text!r}. {EXPECTED}")
    if asked in map(fold, places.positions):
        raise RequestError(f"{text!r} is a position. {EXPECTED.replace('POSITION', text.strip())}")
    called = meanings(text, others_of(places))
    if called:
        ways = [EXPECTED.replace("POSITION", position) for position in called]
        raise RequestError(f"{text!r} is the position {' or '.join(called)}. {ways[0]}")
    here = [c for c in choices if asked in _names(c.choice)]
    if here:
        ways = [f"{c.choice}={a}" for c in here for a in c.arrangements]
        raise RequestError(f"{text!r} is a choice. Write {' or '.join(ways)}")
    raise _unknown(choices, text)


def _one_of(choices: Sequence[Choice], text: str, name: str) -> str:
    meant = _meant(choices, name)
    if not meant:
        raise _unknown(choices, name)
    if len(meant) > 1:
        raise RequestError(f"{text!r} has several readings. Write {' or '.join(meant)}")
    return meant[0]


def _unknown(choices: Sequence[Choice], name: str) -> UnknownNameError:
    known = [a for c in choices for a in c.arrangements]
    few = tuple(known) if len(known) <= MOST_NAMED else ()
    return UnknownNameError("arrangement", name, nearest(name, known) or few)


def _meant(choices: Iterable[Choice], name: str) -> list[str]:
    """The arrangements that a name means: those of just this name, else those that end in it."""
    every = [(c, a) for c in choices for a in c.arrangements]
    exact = [a for _, a in every if fold(a) == fold(name)]
    return exact or [a for c, a in every if fold(_short(c, a)) == fold(name)]


def _short(choice: Choice, arrangement: str) -> str:
    """An arrangement's name without the words that its choice's begins with too."""
    words, of_choice = arrangement.split(), choice.choice.split()
    shared = 0
    while shared < min(len(words) - 1, len(of_choice)) and fold(words[shared]) == fold(of_choice[shared]):
        shared += 1
    return " ".join(words[shared:])


def _names(choice: str) -> Iterator[str]:
    """A choice's name, and what it ends in: ``front brake``, ``brake``."""
    words = choice.split()
    return (fold(" ".join(words[i:])) for i in range(len(words)))


def check_together(layout: Layout, arrangements: Sequence[str], wanted: Iterable[tuple[str, str]]) -> None:
    """Raise RequestError where two arrangements of one choice are asked for, or a part (its wish and its position's
    arrangement) that stands only in another one."""
    for choice in layout.choices:
        asked = [a for a in choice.arrangements if a in arrangements]
        if len(asked) > 1:
            of = f"{choice.choice} arrangements" if choice.choice else "arrangements"
            raise RequestError(f"{' and '.join(asked)} are both {of}, and only one can hold. Ask for one of them")
    for text, needs in wanted:
        asked = [a for a in arrangements if needs and a in others_than(layout, needs)]
        if asked:
            raise RequestError(f"{text!r} is only in the {needs} arrangement, and you ask for {asked[0]}")
