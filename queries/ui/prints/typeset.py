"""A page set by Typst: a template of this folder, and its data as JSON. The same data give the same bytes."""

from __future__ import annotations

import json
from collections.abc import Mapping

from knockon.graph.files.shipped import shipped

_HERE = ("queries", "ui", "prints")


def typeset(template: str, data: Mapping[str, object]) -> bytes:
    """A PDF from ``TEMPLATE.typ``. Fonts are those that come with Typst alone, and no date is written into it."""
    import typst  # late: its library is 80 MB

    file = shipped(*_HERE, f"{template}.typ").resolve()  # an editable install is made of links
    found = typst.compile(
        str(file),
        root=str(file.parent),
        ignore_system_fonts=True,
        sys_inputs={"data": json.dumps(data, ensure_ascii=False, sort_keys=True)},
        format="pdf",
        pdf_tags=False,  # for readers of screens, who have the workbook: ten times the size
    )
    assert isinstance(found, bytes)  # a PDF is one file; only pictures come page by page
    return found
