"""A grammar is read from the kept copy as it is built anew, and a damaged copy is no harm."""

from __future__ import annotations

from pathlib import Path

import pytest

from knockon.graph.quantity.cells import grammar

CELLS = (("threads", "3/4-16 UNF"), ("threads", "M8x1.25"), ("threads", "3/4-16 UNX"), ("sizes", "25,40 mm"),
         ("sizes", "1 1/8 in +/- 0.001 in"), ("sizes", "twelve"), ("splines", "25T 24/48"))  # fmt: skip


def read() -> list[object]:
    """Every cell by parsers that this process has not yet."""
    grammar._parser.cache_clear()
    found: list[object] = []
    for name, text in CELLS:
        try:
            found.append(grammar.parse(name, text))
        except grammar.NotInGrammarError as error:
            found.append(error.position)
    return found


def test_kept_and_built_read_alike(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("KNOCKON_CACHE", "off")
    expected = read()
    monkeypatch.setenv("KNOCKON_CACHE", str(tmp_path))
    assert read() == expected  # built, and kept
    kept = sorted(tmp_path.glob("*.grammar"))
    assert kept
    before = [path.stat().st_mtime_ns for path in kept]
    assert read() == expected  # from the copies
    assert [path.stat().st_mtime_ns for path in kept] == before
    for path in kept:
        path.write_bytes(path.read_bytes()[:100])
    assert read() == expected  # built anew
    assert all(len(path.read_bytes()) > 100 for path in kept)
    grammar._parser.cache_clear()
