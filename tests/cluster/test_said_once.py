"""What the commands on columns say as JSON is read back, and written again to the byte."""

from __future__ import annotations

from pathlib import Path

import pytest

from knockon.queries.ui.document import read, written
from knockon.queries.ui.published import answer_types
from tests.commands.running import run
from tests.commands.test_json_said_once import WITH_COLUMNS

ASKED = {
    "export-parquet": ("export", "--parquet"),
    "shortlist": ("shortlist", "tansy-m080", "--want", "rotor=LARCH-201", "--into"),
}


@pytest.mark.parametrize("name", WITH_COLUMNS)
def test_a_document_is_read_back_and_written_again_to_the_byte(name: str, tmp_path: Path) -> None:
    ran = run(*ASKED[name], str(tmp_path / "out"), "--json")
    assert ran.status == 0, ran.err
    assert written(read(ran.out, answer_types()[name])) == ran.out.encode()
