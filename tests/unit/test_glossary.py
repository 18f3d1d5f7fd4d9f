"""The glossary: every word once, and one is found as it is written or as cells write it."""

from __future__ import annotations

import json
from types import ModuleType

import pytest

from knockon.graph.judge.verdicts import Verdict
from knockon.graph.model.catalogue import UnknownNameError
from knockon.queries.find.glossary import glossary, words
from knockon.queries.plan import changes
from knockon.queries.plan.solving import patience, undecided
from tests.commands.running import run


def test_every_word_stands_once_in_one_section() -> None:
    every = glossary()
    names = [w.word for w in every]
    assert len(set(names)) == len(names) > 40
    sections = [w.section for w in every]
    assert sections == sorted(sections, key=list(dict.fromkeys(sections)).index)
    assert all(w.meaning and w.written and not w.meaning.endswith(".") for w in every)


def test_what_the_rules_of_speech_and_the_answers_use_is_in_it() -> None:
    names = {w.word for w in glossary()}
    asked = {"layout", "position", "joint", "stack", "figure", "arrangement", "order group", "claim", "evidence"}
    assert names >= asked | {str(v) for v in Verdict}
    open_ones, steps = _words_of(undecided), _words_of(patience)
    codes = {code for w in glossary() for code in w.codes}
    assert (_words_of(changes) - steps) - codes - names == set()
    assert open_ones - codes == set()


def _words_of(module: ModuleType) -> set[str]:
    return {v for n, v in vars(module).items() if n.isupper() and isinstance(v, str) and len(v) < 25}


@pytest.mark.parametrize(
    ("asked", "found"),
    [("joint", ["joint"]), ("JOINT", ["joint"]), ("absent", ["known absent"]), ("one use", ["used once"])],
)
def test_a_word_is_found_as_it_is_said_or_as_cells_write_it(asked: str, found: list[str]) -> None:
    assert [w.word for w in words(asked).words] == found


def test_a_part_of_a_word_finds_all_that_have_it() -> None:
    assert {"not known", "known absent"} <= {w.word for w in words("known").words}
    assert words().words == glossary()


def test_an_unknown_word_is_answered_with_the_nearest() -> None:
    with pytest.raises(UnknownNameError) as caught:
        words("arangement")
    assert caught.value.nearest[0] == "arrangement"
    ran = run("words", "arangement")
    assert ran.status == 2 and "arrangement" in ran.err


def test_the_command_prints_them() -> None:
    assert "a signed sum of sizes through several positions, with limits" in run("words").flowing
    assert run("words", "due").out.splitlines()[1].startswith("renewed: it needs replacing")
    document = json.loads(run("words", "stack", "--json").out)
    assert [w["word"] for w in document["result"]["words"]] == ["stack"]
