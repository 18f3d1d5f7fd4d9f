"""Every sentence of the screens is a named template in queries/ui/sentences: plain English, all fields filled."""

from __future__ import annotations

import ast
import re
import string
from pathlib import Path

import pytest

from tests.texts.spoken import ROOT, against_the_rules, is_sentence, literals

UI = ROOT / "queries" / "ui"
SENTENCES = UI / "sentences"
TEMPLATES = sorted(p for p in SENTENCES.rglob("*.py") if p.name != "__init__.py")
PAGES = sorted((UI / "page" / "templates").glob("*.html"))
MARKUP = {"texts/workshop/template.py"}
"""Modules that write drawings: SVG and PDF for printers, no sentence for a reader."""


def _name(path: Path) -> str:
    return path.relative_to(UI).as_posix()


def templates(path: Path) -> dict[str, str]:
    """The templates of a module by name; of a table of templates each entry as ``NAME[key]``."""
    found: dict[str, str] = {}
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        if isinstance(node, ast.AnnAssign | ast.Assign) and node.value is not None:
            target = node.target if isinstance(node, ast.AnnAssign) else node.targets[0]
            value = ast.literal_eval(node.value)
            entries = {"": value} if isinstance(value, str) else {}
            if isinstance(value, dict):
                entries = {f"[{k}]": v for k, v in value.items()}
            elif isinstance(value, tuple):
                entries = {f"[{i}]": v for i, v in enumerate(value)}
            found |= {ast.unparse(target) + key: text for key, text in entries.items() if isinstance(text, str)}
    return found


ALL = {f"{_name(p)}: {name}": text for p in TEMPLATES for name, text in templates(p).items()}


@pytest.mark.parametrize("path", sorted(UI.rglob("*.py")), ids=_name)
def test_no_sentence_stands_outside_the_templates(path: Path) -> None:
    if SENTENCES in path.parents or _name(path) in MARKUP:
        return
    stray = [f"line {line}: {text!r}" for line, text in literals(path) if is_sentence(text)]
    assert not stray, stray


@pytest.mark.parametrize("path", TEMPLATES, ids=_name)
def test_templates_are_nothing_but_text(path: Path) -> None:
    for node in ast.parse(path.read_text(encoding="utf-8")).body:
        assert isinstance(node, ast.AnnAssign | ast.Assign | ast.ImportFrom | ast.Expr), ast.unparse(node)


@pytest.mark.parametrize("name", ALL)
def test_a_template_is_plain_english(name: str) -> None:
    assert not against_the_rules(ALL[name])


def _fields(text: str) -> set[str]:
    return {f for _, f, _, _ in string.Formatter().parse(text) if f is not None}


def _imported(tree: ast.Module) -> tuple[dict[str, str], dict[str, str]]:
    """(module of templates by the name under which it is known, template by the name under which it is known)."""
    modules: dict[str, str] = {}
    names: dict[str, str] = {}
    for node in (n for n in ast.walk(tree) if isinstance(n, ast.ImportFrom) and n.module):
        where = (node.module or "").removeprefix("knockon.queries.ui.").replace(".", "/")
        for one in node.names if where.startswith("sentences") else ():
            modules[one.asname or one.name] = f"{where}/{one.name}.py"
            names[one.asname or one.name] = f"{where}.py: {one.name}"
    return modules, names


def _template(node: ast.expr, modules: dict[str, str], names: dict[str, str]) -> str:
    """The template that an expression names, as in ALL; blank for any other."""
    if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
        return f"{modules.get(node.value.id, '')}: {node.attr}"
    return names.get(node.id, "") if isinstance(node, ast.Name) else ""


@pytest.mark.parametrize("path", PAGES, ids=_name)
def test_a_template_of_the_page_holds_no_words_of_its_own(path: Path) -> None:
    bare = re.sub(r"{[{%#].*?[}%#]}|<[^>]*>", "", path.read_text(encoding="utf-8"), flags=re.DOTALL)
    assert not re.findall(r"[A-Za-z]{2,}", bare)


def test_every_template_is_used_and_filled_with_its_fields() -> None:
    used: set[str] = set()
    wrong = []
    for path in UI.rglob("*.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        modules, names = _imported(tree)
        if SENTENCES in path.parents:
            continue
        nodes = [n for n in ast.walk(tree) if isinstance(n, ast.Attribute | ast.Name)]
        used |= {_template(n, modules, names) for n in nodes}
        for call in (n for n in ast.walk(tree) if isinstance(n, ast.Call)):
            if not isinstance(call.func, ast.Attribute) or call.func.attr != "format":
                continue
            name = _template(call.func.value, modules, names)
            given = {k.arg for k in call.keywords}
            if name in ALL and None not in given and given != _fields(ALL[name]):
                wrong.append(f"{_name(path)} line {call.lineno}: {name} has {_fields(ALL[name])}, is given {given}")
    for path in PAGES:
        used |= {f"sentences/page.py: {name}" for name in re.findall(r"\bsay\.([A-Z_]+)", path.read_text("utf-8"))}
    unused = {name.partition("[")[0] for name in ALL} - used
    assert not wrong, wrong
    assert not unused, unused
