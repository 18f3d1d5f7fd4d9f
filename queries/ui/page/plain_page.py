"""HTML from templates: every text is escaped, wherever it comes from."""

from __future__ import annotations

import functools
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined, select_autoescape
from starlette.responses import HTMLResponse

from knockon import __version__
from knockon.queries.ui.sentences import page as say


@functools.cache
def environment() -> Environment:
    """The templates of this package."""
    found = Environment(
        loader=PackageLoader("knockon.queries.ui.page"),
        autoescape=select_autoescape(default=True, default_for_string=True),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    found.globals["say"] = say
    found.globals["version"] = __version__
    return found


def rendered(template: str, **given: Any) -> str:
    """A template, filled."""
    return environment().get_template(template).render(**given)


def plain_page(title: str, text: str, status: int) -> HTMLResponse:
    """A page that says one thing."""
    return HTMLResponse(rendered("plain.html", title=title, text=text), status)
