"""docs/records.md is made from the shapes and is fresh."""

from __future__ import annotations

from pathlib import Path

from knockon.graph.model.reference import reference
from knockon.graph.model.schema import read_vocabulary, vocabulary_files

PAGE = Path(__file__).parents[2] / "docs" / "records.md"


def test_records_reference_is_fresh() -> None:
    page = reference(read_vocabulary(vocabulary_files()))
    assert page.count("### ") > 60
    assert PAGE.read_text(encoding="utf-8") == page, "run: python -m knockon.graph.model.reference > docs/records.md"
