"""How deep an RDF text is nested, found before a parser sees it.

A parser that goes down a level for each bracket ends the whole process on a text made of brackets (triple terms of
RDF 1.2, also in a server's answer), and one that looks back at each level takes for ever (JSON-LD). People nest a few.
"""

from __future__ import annotations

import re

DEEPEST = 64
_STRINGS = re.compile(
    rb'"""(?:[^\\]|\\.)*?"""|\'\'\'(?:[^\\]|\\.)*?\'\'\''  # long ones of Turtle
    rb'|"(?:[^"\\\n\r]|\\.)*"|\'(?:[^\'\\\n\r]|\\.)*\'',
    re.S,
)
_JSON_STRINGS = re.compile(rb'"(?:[^"\\]|\\.)*"', re.S)
_TERMS, _JSON = re.compile(rb"<<|>>"), re.compile(rb"[\[{]|[\]}]")
_OPENS = {b"<<", b"[", b"{"}


def is_too_deep(content: bytes, is_json: bool) -> bool:
    """Whether triple terms, or for JSON its lists and objects, stand in each other more than DEEPEST times."""
    signs = _JSON if is_json else _TERMS
    if not _deeper(content, signs):  # nearly always: what stands in texts can only add to it
        return False
    return _deeper((_JSON_STRINGS if is_json else _STRINGS).sub(b'""', content), signs)


def _deeper(content: bytes, signs: re.Pattern[bytes]) -> bool:
    depth = 0
    for sign in signs.finditer(content):
        depth += 1 if sign.group() in _OPENS else -1
        if depth > DEEPEST:
            return True
        depth = max(depth, 0)
    return False
