"""Tightening values that a note's text names: left out of every answer, since a note is no source for one."""

from __future__ import annotations

import re
from typing import Any

import msgspec
from msgspec.structs import replace

NO_TIGHTENING_VALUE = "[tightening value left out: no source]"
_TORQUE = (
    r"\b\d+(?:[.,]\d+)?\s*(?:lbs?|pounds?)?f?[\s./·-]*(?:ft|feet|foot|in)[\s./·-]*(?:lbs?|pounds?)f?\b"
    r"|\b\d+(?:[.,]\d+)?\s*(?:lbs?|pounds?)f?[\s./·-]*(?:ft|feet|foot)\b"
    r"|\b\d+(?:[.,]\d+)?\s*(?:kg\s?f?[\s./·-]?c?m|k?N[\s./·-]?m)\b"
)


def without_torque(text: str) -> str:
    """The text without tightening values: a note is no source for one."""
    return re.sub(_TORQUE, NO_TIGHTENING_VALUE, text, flags=re.IGNORECASE)


def without_torque_in(answer: Any) -> Any:
    """An answer with the tightening values left out of every text of a note in it: a note is no source for one."""
    if isinstance(answer, tuple):
        return tuple(without_torque_in(a) for a in answer)
    if not isinstance(answer, msgspec.Struct):
        return answer
    own = {name: getattr(answer, name) for name in answer.__struct_fields__}
    texts = {k: without_torque(v) for k, v in own.items() if k in ("text", "before", "now") and type(v) is str}
    return replace(answer, **{k: without_torque_in(v) for k, v in own.items()} | texts)
