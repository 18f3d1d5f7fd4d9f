"""The page on layouts that are put together: its tables are read, and its list is that of what is shipped."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from knockon.graph.model.layouts.ready_made import ready_made
from knockon.graph.records import records_from_text

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize("number", [0, 1])
def test_the_layouts_of_the_page_on_layouts_are_read_as_they_stand(number: int) -> None:
    page = (ROOT / "docs" / "layouts.md").read_text(encoding="utf-8")
    table = re.findall(r"```csv\n(.*?)```", page, re.S)[number]
    records = records_from_text({"layout_uses.csv": table})
    assert not records.findings
    (layout,) = records.catalogue.layouts.values()
    choices = {c.choice: c.arrangements for c in layout.choices if len(c.arrangements) > 1}
    two = {"front brake": ("front disc", "front drum"), "rear brake": ("rear disc", "rear drum")}
    assert choices == ({"brake": ("disc", "drum")}, two)[number]


def test_the_page_on_layouts_names_each_ready_made_layout_and_its_choices() -> None:
    page = (ROOT / "docs" / "layouts.md").read_text(encoding="utf-8")
    for name, made in ready_made().items():
        (row,) = [line for line in page.splitlines() if line.startswith(f"| {name} |")]
        for _, cells in made.tables["arrangements"]:
            assert cells["arrangement"] in row and f"{cells['choice']}: " in row
