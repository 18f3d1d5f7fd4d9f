"""Whatever is written behind a calculation, the answer is a document, or a message with status 2. Never a trace."""

from __future__ import annotations

import json
import math
from typing import Any

import click
import pytest
from click.testing import CliRunner
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from knockon.queries.ui.commands.workshop.calculate import calculate

POOLS: dict[str, list[str]] = {
    "length": ["25 mm", "1 in", "0..1 mm", "10..30 mm", "25.4 ±0.05 mm", "0 mm", "-3 mm", "1e-9 mm", "9999 mm",
               "1 1/16 in", "?", "absent", "", "100 mm", "50 ±60 mm", "∞ mm", "~74 mm", "25 k6", "70 mm", "3 mm"],
    "number": ["0.1", "5", "0", "-1", "1e9", "0.3..0.4", "nan", "inf", "1e-12", "abc", "2.1", "55"],
    "pressure": ["10 psi", "2 MPa", "70 bar", "0 psi", "1e9 bar", "0..5 MPa", "5"],
    "force": ["100 lbf", "5 kN", "0 N", "1e12 N", "1..2 kN"],
    "torque": ["50 N m", "1e9 N m", "35 lbf ft", "1..2 N m", "0 N m"],
    "angle": ["30 deg", "108 deg", "0 deg", "360 deg", "0.001 deg", "30..40 deg", "180 deg"],
    "thread": ["M10x1", "3/8-24", "M10", "1/4 BSW", "M12x1.25 LH", "3/4-16 UNF-2A", "", "2 BA", "M300x6", "#0-80"],
    "spline": ["25T 24/48", "25T module 1", "6T module 0.5", "100T 128/256", "24T", "", "40T module 10", "7T 12/24"],
    "fit": ["25 H7/g6", "1 in H7/k6", "500 A11/b11", "0.5 H1/h1", "1 ZC11/zc11", "H7/g6", "-", "25 K01/k18"],
    "size": ["25 H7", "500 ZC18", "3 A01", "1 in js7", "8 K6", "300 M6", "H7"],
    "classes": ["H7/p6", "S7/h6", "H11/zc9", "H7"],
    "bearing": ["6205", "32005X", "6230", "/28", "62", "99999999", "6005-2RS", ""],
    "code": ["13", "10.5", "8", "30", "-1", "x"],
    "grade": ["8.8", "SAE 5", "1", "12.9", "x"],
    "count": ["4", "3", "5", "12", "6", "1", "0", "-2"],
    "float": ["2", "0.1", "9", "nan", "inf"],
    "words": ["front", "rear", ""],
}  # fmt: skip
NAMED = {"thread": "thread", "spline": "spline", "fit": "fit", "size": "size", "classes": "classes", "code": "code"}
NAMED |= {"grade": "grade", "designation": "bearing", "source": "words"}


def pool_of(kind: click.ParamType[Any], name: str, command: str) -> list[str]:
    """What may be written for one value."""
    datatype = getattr(kind, "datatype", "")
    if datatype:
        return POOLS[datatype]
    if isinstance(kind, click.IntRange) or kind is click.INT:
        return POOLS["count"]
    if isinstance(kind, click.FloatRange):
        return POOLS["float"]
    if name in ("male", "female"):
        return POOLS["thread" if command == "threads" else "spline"]
    if name == "designation" and command == "thread":
        return POOLS["thread"]
    return POOLS[NAMED.get(name, "words")]


@st.composite
def questions(draw: st.DrawFn) -> list[str]:
    """A command with a value for each argument and needed option, and for some of the others."""
    names = sorted(set(calculate.commands) - {"template"})  # it writes a file
    command = calculate.commands[draw(st.sampled_from(names))]
    words = [str(command.name)]
    for parameter in sorted(command.params, key=lambda p: isinstance(p, click.Argument)):
        if isinstance(parameter, click.Option):
            if not parameter.required and draw(st.booleans()):
                continue
            words.append(draw(st.sampled_from([*parameter.opts, *parameter.secondary_opts])))
            if parameter.is_flag:
                continue
        kinds = parameter.type.types if isinstance(parameter.type, click.Tuple) else [parameter.type]
        words += [draw(st.sampled_from(pool_of(k, str(parameter.name), str(command.name)))) for k in kinds]
    return words


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(words=questions())
def test_any_words_are_answered_or_refused(words: list[str]) -> None:
    outcome = CliRunner().invoke(calculate, words, prog_name="knockon calculate")
    assert outcome.exception is None or isinstance(outcome.exception, SystemExit), words
    assert outcome.exit_code in (0, 1, 2)
    if outcome.exit_code == 2:
        assert "Error: " in outcome.output
    elif "--json" in words:
        document = json.loads(outcome.output, parse_constant=lambda word: pytest.fail(f"{word} in {words}"))
        amounts = (*document["result"]["results"], *document["result"]["given"])
        assert all(math.isfinite(a["value"][end]) for a in amounts for end in ("low", "high"))
    else:
        assert max(map(len, outcome.output.splitlines())) <= 100
