"""That the command works: it finds mutants, the tests that reach them, and which of them a test kills."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

from tests.mutation.mutants import mutants, spots
from tests.mutation.mutants import program_text as mutants_text
from tests.mutation.program import program_text, without_each
from tests.mutation.report import page
from tests.mutation.run import Result
from tests.mutation.trial import ROOT


def run(folder: Path, *words: str) -> None:
    command = [sys.executable, "-m", "tests.mutation", "--folder", str(folder), *words]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_a_mutant_is_killed_by_a_test_that_reaches_it(tmp_path: Path) -> None:
    run(tmp_path, "--record", "tests/unit/test_verdicts.py")
    run(tmp_path, "--most", "6", "graph/judge/verdicts.py")
    found = [
        json.loads(line)
        for line in (tmp_path / "graph_judge_verdicts.py.jsonl").read_text(encoding="utf-8").splitlines()
    ]
    killed = [r for r in found if r["how"] == "killed"]
    assert any(r["test"].startswith("tests/unit/test_verdicts.py::") for r in killed)
    assert {r["how"] for r in found} <= {"killed", "time", "survived", "not reached"}


def test_annotations_and_what_does_not_compile_are_no_mutants() -> None:
    source = "def f(x: int | None, y: int = 0) -> int | None:\n    return x\n"
    found = [m.after for m in mutants(spots("f.py", source), source)]
    assert len(found) == 2 and all("y: int =" in after for after in found)  # the default, one more and one less


def test_each_statement_of_a_program_is_left_out_once() -> None:
    found = list(without_each("#defined b/1.\na(X) :- b(X).\n% a note\nc. d :- a(1),\n  c.\n"))
    assert [m.before for m in found] == ["a(X) :- b(X).", "c.", "d :- a(1), c."]
    assert "b(X)" not in found[0].source and "c." in found[0].source


def test_the_page_counts_what_was_not_tried_and_gives_it_no_score() -> None:
    mutant = next(mutants(spots("f.py", "def f(x):\n    return x + 1\n"), "def f(x):\n    return x + 1\n"))
    fields = {name: getattr(mutant, name) for name in ("file", "where", "line", "operator", "before", "after", "nth")}
    killed, open_one = (Result(**fields, how=how, test="", text="") for how in ("killed", "survived"))
    text = page({"some": [killed, open_one, None, None], "none": [None]}, {"tests/unit/test_f.py": 3})
    assert "| some | 4 | 2 | 1 | 0 | 0 | 1 | 50.0 % |" in text
    assert "| none | 1 | 0 | 0 | 0 | 0 | 0 | - |" in text
    assert "3 tests, and no others" in text


def test_comments_docstrings_and_annotations_do_not_make_another_file() -> None:
    one = 'def f(x: int) -> int:\n    """This."""\n    return x + 1  # why\n'
    assert mutants_text(one) == mutants_text('"""Head."""\n\n\ndef f(x):\n    """That."""\n    return x + 1\n')
    assert mutants_text(one) != mutants_text(one.replace("+ 1", "+ 2"))
    assert program_text("a :- b.  % so\n") == program_text("% for\na :-\n  b.\n") != program_text("a :- c.\n")
