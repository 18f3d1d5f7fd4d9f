"""``--time-limit``: what was not decided in time is said as such, in text and in JSON."""

from __future__ import annotations

import json
from typing import Any

import pytest

from knockon.queries.plan.solving.patience import COUNTING, MAY_STAY, REASONS, Patience
from knockon.queries.ui import patient
from tests.commands.running import SWAP, Ran, full, real, run


def cut_off(monkeypatch: pytest.MonkeyPatch, step: str = "") -> None:
    """Every command finds its time over as this step begins (none named: at once)."""

    def patience(seconds: float, heard: Any) -> Patience:
        now = [0.0]

        def jump(begun: str, done: int, whole: int) -> None:
            heard(begun, done, whole)
            now[0] += 1e6 if begun == step else 0.0

        return Patience(seconds if step else 0.0, jump, lambda: now[0])

    monkeypatch.setattr(patient, "Patience", patience)


def test_no_plan_in_time_is_said_to_be_not_decided(monkeypatch: pytest.MonkeyPatch) -> None:
    cut_off(monkeypatch)
    for command in (
        SWAP,
        (*SWAP, "--full"),
        ("combinations", "tansy front axle", "--with", "rotor=LARCH-201"),
        ("kit", "K1", "--for", "tansy-m080", "--want", "rotor=LARCH-201"),
        ("kit", "K1", "--for", "tansy-m080", "--want", "rotor=LARCH-201", "--full"),
    ):
        ran = run(*command)
        assert ran.status == 1
        assert "NOT DECIDED: no plan was found within the time limit, and none is ruled out." in ran.flowing
        assert "longer --time-limit" in ran.flowing
        assert "NO PLAN:" not in ran.out and "COMPLETE" not in ran.out and "Nothing is needed" not in ran.out


def test_the_document_names_what_is_not_decided(monkeypatch: pytest.MonkeyPatch) -> None:
    cut_off(monkeypatch)
    ran = run(*SWAP, "--json")
    result = full(ran.out)["result"]
    assert ran.status == 1 and result["plan"] is None and result["none"] is None
    assert result["not_decided"] == [{"what": "plan", "names": []}]


def test_changes_of_which_it_is_not_decided_are_not_said_to_be_chosen(monkeypatch: pytest.MonkeyPatch) -> None:
    cut_off(monkeypatch, MAY_STAY)
    ran = run(*SWAP)
    assert "not decided in time" in ran.out.casefold()
    assert "Whether each change is forced or only chosen: " in ran.flowing
    assert "not decided whether forced" in ran.flowing and "  chosen" not in ran.out
    for option in ("--why", "--full"):
        assert "Chosen, not forced" not in run(*SWAP, option).out
    result = full(run(*SWAP, "--json").out)["result"]
    assert "not decided" in {c["status"] for c in result["changes"]}
    assert not {c["status"] for c in result["changes"]} & {"forced by fit", "forced by what is known", "chosen"}


def test_reasons_that_were_not_found_are_named(monkeypatch: pytest.MonkeyPatch) -> None:
    cut_off(monkeypatch, REASONS)
    ran = run(*SWAP, "--why")
    assert "The reasons for forced changes: " in ran.flowing and "The cost of keeping the old part: " in ran.flowing
    assert "Whether each change is forced" not in ran.flowing


def test_lines_of_a_kit_that_are_not_decided_are_named(monkeypatch: pytest.MonkeyPatch) -> None:
    cut_off(monkeypatch, MAY_STAY)
    ran = run("kit", "K4", "--for", "tansy-m080", "--want", "rotor=LARCH-201")
    assert ran.status == 1 and "Whether more parts are possible" not in ran.flowing
    assert "no plan for this request uses it" not in ran.flowing


def test_combinations_that_were_not_counted_in_time_are_not_said_to_be_too_many(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    cut_off(monkeypatch, COUNTING)
    asked = ("combinations", "tansy front axle", "--with", "rotor=LARCH-201", "--first", "1")
    ran = run(*asked)
    assert ran.status == 0 and "The number of combinations." in ran.flowing
    assert "There are" not in ran.flowing and "not counted" not in ran.flowing
    result = full(run(*asked, "--json").out)["result"]
    assert result["counted"] is None and {"what": "number", "names": []} in result["not_decided"]


def test_an_answer_in_time_says_nothing_of_it_and_the_next_command_keeps_the_limit() -> None:
    usual, longer = run(*SWAP, "--json"), run(*SWAP, "--json", "--time-limit", "3600")
    assert usual.out == longer.out and "not_decided" not in json.loads(usual.out)["result"]
    shown = run(*SWAP, "--time-limit", "3600")
    assert "--time-limit 3600" in shown.flowing.partition("next:")[2]
    assert "--time-limit" not in run(*SWAP).out


@pytest.mark.parametrize("seconds", ["0", "nan", "-1", "soon"])
def test_a_limit_that_is_none_is_refused(seconds: str) -> None:
    assert run(*SWAP, "--time-limit", seconds).status == 2


def test_a_tiny_limit_ends_the_real_command() -> None:
    ran: Ran = real(*SWAP, "--time-limit", "0.1")
    assert ran.status in (0, 1) and not ran.err
