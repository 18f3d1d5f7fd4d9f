"""The examples of docs/python.md, run as a reader would."""

from __future__ import annotations

import doctest
from pathlib import Path

PAGE = Path(__file__).parents[2] / "docs" / "python.md"


def test_the_examples_give_what_the_page_shows() -> None:
    found = doctest.testfile(
        str(PAGE), module_relative=False, optionflags=doctest.NORMALIZE_WHITESPACE | doctest.IGNORE_EXCEPTION_DETAIL
    )
    assert found.attempted > 10
    assert not found.failed
