"""The questions as scripts ask them, and answers as frames."""

from __future__ import annotations

import inspect
import json
from pathlib import Path

import pytest

import knockon
from knockon.queries.opened import Opened, RecordsError, RequestError, UnknownNameError
from knockon.queries.plan.swap import FIRST_PAGE, swap
from knockon.queries.ui.command_line import COMMANDS
from knockon.queries.ui.notebook import frame, frames
from tests.demo.demo import demo

ELSE = {"note", "export", "import", "quarantine", "merge", "share", "changed", "upgrade", "calculate", "words"}
ELSE |= {"measured", "new", "page"}
"""Commands that write, or that ask nothing of one folder of records."""


@pytest.fixture(scope="module")
def k() -> Opened:
    return knockon.open()


def test_each_question_of_the_command_line_is_a_method_with_its_name() -> None:
    asked = {name.replace("-", "_") for name in COMMANDS if name not in ELSE}
    methods = {name for name, _ in inspect.getmembers(Opened, inspect.isfunction) if not name.startswith("_")}
    assert methods == asked | {
        "side_by_side",
        "instead_of",
        "reach",
        "fits_on_all",
        "notes",
        "dataset",
        "export_parquet",
    }


def test_a_swap_is_the_one_of_the_command_line(k: Opened) -> None:
    found = swap(demo(), "tansy-m080", want=["rotor=LARCH-201"], turning=FIRST_PAGE)
    assert k.swap("tansy-m080", "rotor=LARCH-201") == found


def test_one_word_and_a_list_of_one_are_the_same(k: Opened) -> None:
    assert k.swap("tansy-m080", "rotor=LARCH-201", keep="hub nut", plans=1) == k.swap(
        "tansy-m080", ["rotor=LARCH-201"], keep=["hub nut"], plans=1
    )


def test_answers_are_plain_data(k: Opened) -> None:
    answers = (
        *(k.part("ROWAN-201"), k.fits("ROWAN-301", "ROWAN-241"), k.partners("ROWAN-241")),
        *(k.tell_apart("ROWAN-101", "ROWAN-201"), k.list("vehicles"), k.vehicle("tansy-m080")),
        *(k.notes(), k.ask("SELECT ?s {?s ?p ?o} LIMIT 1")),
    )
    for answer in answers:
        said = answer.to_dict()
        assert set(said) == set(answer.__struct_fields__)
        assert json.loads(json.dumps(said)) == json.loads(json.dumps(answer.to_dict()))


def test_a_name_that_is_not_there_says_what_is(k: Opened) -> None:
    with pytest.raises(UnknownNameError, match="ROWAN-201"):
        k.part("ROWAN-2001")
    with pytest.raises(RequestError):
        k.swap("tansy-m080", "rotor>")


def test_a_folder_without_records_is_refused(tmp_path: Path) -> None:
    with pytest.raises(RecordsError):
        knockon.open(tmp_path)


def test_a_source_can_be_left_out() -> None:
    name = demo().notes["N24"].source
    assert "N24" in knockon.open().catalogue.notes
    assert "N24" not in knockon.open(without=name).catalogue.notes


def test_a_note_gives_no_tightening_value(k: Opened) -> None:
    texts = {n.note: n.text for n in k.notes().notes}
    assert "no source" in texts["N24"]


def test_a_frame_has_a_row_for_each_record_and_what_a_record_holds_beside_it(k: Opened) -> None:
    answer = k.swap("tansy-m080", "rotor=LARCH-201")
    assert answer.plan is not None
    lines = [line for group in answer.plan.groups for line in group.lines]
    found = frame(answer.plan.groups, each="lines")
    assert list(found["number"]) == [line.number for line in lines]
    assert list(found["quantity"]) == [line.quantity for line in lines]
    assert set(found["of.group"]) == {group.group for group in answer.plan.groups}
    assert len(frame(answer.plan.groups)) == len(answer.plan.groups)


def test_all_tables_of_an_answer(k: Opened) -> None:
    assert list(frames(k.list("vehicles"))["listed"]["name"]) == [x.name for x in k.list("vehicles").listed]
    rows = frames(k.ask("SELECT ?s ?p {?s ?p ?o} LIMIT 3"))["result"]
    assert rows.shape == (3, 2)
    assert list(rows.columns) == ["s", "p"]
