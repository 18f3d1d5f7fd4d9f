"""A club's Turtle with one character changed: ``check`` finds it, or every answer is what it was.

Two invented vocabularies, a lathe's feed and a bicycle's bottom bracket, each with tables and a vehicle. In each name,
address, literal and language one character is replaced or left out; the mutants are the same ones each time.

What may change without a finding, and nothing else may:

- A text for people (labels of kinds and conditions, descriptions, methods, sources, what a condition says;
  ``HUMAN_TEXTS``): it is another text in the answers, and all else stays.
- A number that became another number, and a sign or a factor in a sum: each is another valid statement, and no check
  can know that it was not meant. Here only what is no number and a window turned round must be found; that no such
  window is used is asserted of every mutant. Such a mutant may change any answer, but must have answers.

No mutant ends in a stack trace. One with a finding never makes "fits" of what was not.

``make fuzz`` (KNOCKON_FUZZ=all) tries all mutants, else a seeded sample of those that are Turtle still: what is not
Turtle is one finding, and costs the whole file. On 2026-11-29 all 2,940 of them (1,755 of the lathe, 1,185 of the
bicycle) were tried, in four pieces: each was found or changed no answer, and none ended in a stack trace.
"""

from __future__ import annotations

import os
import random
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import combinations
from pathlib import Path
from typing import Any

import msgspec
import pytest

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import Catalogue, UnknownNameError
from knockon.graph.model.rules import Condition
from knockon.graph.records import Records, RecordsError, records_from_text
from knockon.queries.as_typed import RequestError
from knockon.queries.fits.fits import judge_parts
from knockon.queries.fits.part import show_part
from knockon.queries.plan.swap import swap
from tests.properties.own_mutants import SORTS, Mutant, mutants_of, said_in

WORLDS = Path(__file__).parent / "vocabularies"
WANTED = {"lathe": ("lathe", ["half nut=NUT-4L"]), "bicycle": ("roadster", ["shell=SHELL-M"])}
CHANGES, SEED = 2, 20261129
ALL = os.environ.get("KNOCKON_FUZZ", "") == "all"
SAMPLE = 30
"""Mutants of each vocabulary in the usual run."""

Answers = dict[str, Any]


@dataclass(frozen=True)
class World:
    """A records folder as texts, and what it answers as it stands."""

    name: str
    tables: dict[str, str]
    turtle: str
    catalogue: Catalogue
    answers: Answers

    def records(self, turtle: str) -> Records:
        """The records with this Turtle in place of its own."""
        return records_from_text(self.tables, {"club.ttl": turtle})


@cache
def world_of(name: str) -> World:
    """One of the worlds, which is in order as it stands."""
    folder = WORLDS / name
    tables = {p.relative_to(folder).as_posix(): p.read_text(encoding="utf-8") for p in folder.rglob("*.csv")}
    turtle = (folder / "club.ttl").read_text(encoding="utf-8")
    records = records_from_text(tables, {"club.ttl": turtle})
    assert records.findings == ()
    return World(name, tables, turtle, records.catalogue, dict(answers_of(name, records.catalogue)))


def answers_of(name: str, catalogue: Catalogue) -> Iterator[tuple[str, Any]]:
    """Every pair of parts judged, every part shown, the vehicle as made, a swap; a refusal in words is an answer."""
    for pair in combinations(sorted(catalogue.parts), 2):
        yield " ".join(pair), _plain(lambda pair=pair: judge_parts(catalogue, pair))
    for part in sorted(catalogue.parts):
        yield part, _plain(lambda part=part: show_part(catalogue, part))
    vehicle, want = WANTED[name]
    yield "swap", _plain(lambda: swap(catalogue, vehicle, want=want))


def _plain(ask: Any) -> Any:
    try:
        return msgspec.to_builtins(ask(), enc_hook=str)
    except (RecordsError, RequestError, UnknownNameError) as error:  # what the command line says in one sentence
        return str(error)


def without(texts: Sequence[str], answer: Any) -> Any:
    """An answer with these texts blanked out, as they stand and as a sentence begins with them."""
    if isinstance(answer, dict):
        return {key: without(texts, value) for key, value in answer.items()}
    if isinstance(answer, list | tuple):
        return [without(texts, value) for value in answer]
    if isinstance(answer, str):
        for word in sorted(filter(None, texts), key=len, reverse=True):
            answer = answer.replace(word, "\0").replace(word[0].upper() + word[1:], "\0")
    return answer


def said(token: str) -> str:
    """The text of a literal, its escapes as they stand."""
    return token.strip("\"'").encode("latin-1", "backslashreplace").decode("unicode_escape", "replace")


def is_fit(answer: Any) -> bool:
    return isinstance(answer, dict) and answer.get("verdict") == Verdict.FITS


def fault_of(world: World, mutant: Mutant) -> str:
    """What is wrong with how a mutant is taken; blank: nothing. Whatever raises is a fault of its own."""
    records = world.records(mutant.text)
    turned = [c.label for c in conditions_of(records.catalogue) if is_turned_round(c)]
    if turned:
        return f"a window that is turned round is used: {turned}"
    if not records.findings and records.catalogue == world.catalogue:
        return ""  # an answer is made of the catalogue and the question alone
    answers = dict(answers_of(world.name, records.catalogue))
    if records.findings:
        new = [q for q, a in answers.items() if is_fit(a) and not is_fit(world.answers[q])]
        return f"found, and yet these fit now: {new}" if new else ""
    if mutant.says_another_number:
        return ""
    texts = (said(mutant.said.token.text), said(mutant.new)) if mutant.says_to_people else ()
    changed = [q for q, a in answers.items() if without(texts, a) != without(texts, world.answers[q])]
    return f"no finding, and other answers: {changed}" if changed else ""


def conditions_of(catalogue: Catalogue) -> Iterator[Condition]:
    for rule in catalogue.vocabulary.rules.values():
        yield from rule.conditions


def is_turned_round(condition: Condition) -> bool:
    ends = ((condition.low, condition.high), (condition.gross_low, condition.gross_high))
    return any(low is not None and high is not None and low > high for low, high in ends)


def chosen(name: str) -> list[Mutant]:
    """The mutants of a vocabulary that are tried."""
    every = mutants_of(world_of(name).turtle, CHANGES, SEED)
    if ALL:
        return every
    readable = [m for m in every if m.is_turtle]
    return random.Random(SEED).sample(readable, SAMPLE)


@pytest.mark.parametrize("name", WANTED)
def test_one_character_is_found_or_changes_no_answer(name: str) -> None:
    world = world_of(name)
    faults = []
    for mutant in chosen(name):
        try:
            fault = fault_of(world, mutant)
        except Exception as error:  # a stack trace of any sort is what must not be
            fault = f"{type(error).__name__}: {error}"
        if fault:
            faults.append(f"{mutant.shown}: {fault}")
    assert faults == []


@pytest.mark.parametrize("name", WANTED)
def test_the_worlds_have_answers_of_each_sort(name: str) -> None:
    answers = world_of(name).answers
    verdicts = {a["verdict"] for q, a in answers.items() if " " in q and isinstance(a, dict)}
    assert {Verdict.FITS, Verdict.DOES_NOT_FIT} < verdicts
    assert answers["swap"]["plan"] is not None
    assert len(answers) > 30


def test_the_mutants_reach_every_sort_of_token() -> None:
    mutants = [m for name in WANTED for m in mutants_of(world_of(name).turtle, CHANGES, SEED)]
    assert mutants == [m for name in WANTED for m in mutants_of(world_of(name).turtle, CHANGES, SEED)]
    assert {m.said.token.sort for m in mutants} == set(SORTS)
    people = [m for m in mutants if m.says_to_people]
    numbers = [m for m in mutants if m.says_another_number]
    assert 50 < len(people) < len(mutants) / 3 and 30 < len(numbers) < len(mutants) / 10


@pytest.mark.parametrize(
    ("old", "new", "people", "number"),
    [
        ('kn:low 0.2 ; kn:grossLow', "0.7", False, True),
        ('kn:low 0.2 ; kn:grossLow', "O.2", False, False),
        ('kn:value "nut.length - 4*screw', '"nut.length + 4*screw.thread.pitch"', False, True),
        ('kn:value "nut.length - 4*screw', '"nut.lenght - 4*screw.thread.pitch"', False, False),
        ('kn:saysNo "fewer than four', '"fewer than tour turns carry"', True, False),
        ('kn:saysNo "fewer than four', '"fewer than four turns carry', False, False),
        ('kn:standing "standard"', '"standart"', False, False),
        ('skos:prefLabel "half nut"', '"half nit"', False, False),
    ],
)  # fmt: skip
def test_what_may_change_without_a_finding(old: str, new: str, people: bool, number: bool) -> None:
    turtle = world_of("lathe").turtle
    word, _, begin = old.partition(" ")
    start = turtle.index(old) + len(word) + 1
    (found,) = (s for s in said_in(turtle) if s.token.start == start)
    assert found.token.text.startswith(begin.split(" ;")[0].split()[0])
    mutant = Mutant(found, turtle[:start] + new + turtle[start + len(found.token.text) :], new)
    assert (mutant.says_to_people, mutant.says_another_number) == (people, number)
    assert fault_of(world_of("lathe"), mutant) == ""


def test_a_fault_would_be_seen() -> None:
    world = world_of("lathe")
    (said_,) = (s for s in said_in(world.turtle) if s.token.text == '"gear.keyways - end.keys"')
    silent = Mutant(said_, world.turtle.replace("kn:low 0 ; kn:grossLow 0.0", "kn:low -9 ; kn:grossLow -9"), '"x"')
    assert "no finding, and other answers" in fault_of(world, silent)
