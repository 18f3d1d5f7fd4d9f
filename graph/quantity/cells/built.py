"""Grammars are built once and kept in the user's cache folder: building one takes ten times as long as reading it."""

from __future__ import annotations

import hashlib
from typing import TYPE_CHECKING, Any

import msgspec

from knockon.graph.files.copies import keep_copy, kept_copy

if TYPE_CHECKING:
    from lark import Lark

LONGEST = 2**63 - 1
"""lark may say 2**64 for a word of any length, which is more than a number of MessagePack can be."""


def parser_of(grammar: str, transformer: Any) -> Lark:
    """The LALR parser of a grammar whose start is the rule ``cell``, from the kept copy if it was made of this very
    grammar by this very lark."""
    import lark

    made_of = f"{lark.__version__}\0{grammar}".encode()
    name = f"{hashlib.sha256(made_of).hexdigest()}.grammar"
    kept = kept_copy(name)
    if kept is not None:
        try:
            return _read(kept, transformer)
        except Exception:
            pass
    content = _built(grammar)
    keep_copy(name, content)
    return _read(content, transformer)


def _built(grammar: str) -> bytes:
    import io
    import pickle  # what lark writes; built is rare

    from lark import Lark

    saved = io.BytesIO()
    Lark(grammar, parser="lalr", start="cell", maybe_placeholders=True).save(saved)
    return msgspec.msgpack.encode(_within(pickle.loads(saved.getvalue())))


def _read(content: bytes, transformer: Any) -> Lark:
    from lark import Lark

    saved = msgspec.msgpack.decode(content)
    # As a parser does that lark writes out as a module; what it reads in public is pickle, and takes no transformer.
    parser: Lark = Lark._load_from_dict(saved["data"], saved["memo"], transformer=transformer)  # type: ignore[no-untyped-call]
    return parser


def _within(value: Any) -> Any:
    """What lark saves, as data alone and with no number beyond LONGEST."""
    if isinstance(value, dict):
        return {key: _within(inner) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        return [_within(inner) for inner in value]
    if isinstance(value, str):
        return str(value)  # some are tokens
    return min(value, LONGEST) if type(value) is int else value
