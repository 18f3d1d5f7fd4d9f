"""Makes one spelling of a cell's text: repairs bytes read in a wrong encoding, unifies signs and blanks."""

from __future__ import annotations

import re
import unicodedata

import msgspec

_LEADING_APOSTROPHE = re.compile(r"'\s?(M?[0-9]|[.,~±+ø-])[^']*$", re.IGNORECASE)
"""The mark by which a spreadsheet keeps figures as text."""

_MISREAD_AS = ("cp1252", "latin-1", "mac_roman", "cp437", "cp850")
"""Encodings as which UTF-8 is commonly misread."""

_SIGNS = str.maketrans(
    {
        "“": '"',
        "”": '"',
        "„": '"',
        "″": '"',
        "‟": '"',
        "‘": "'",
        "’": "'",
        "′": "'",
        "´": "'",
        "`": "'",
        "−": "-",
        "‐": "-",
        "‑": "-",
        "‒": "-",
        "–": "-",
        "—": "-",
        "×": "x",
        "✕": "x",
        "µ": "u",
        "μ": "u",
        "º": "°",
        "˚": "°",
        "∅": "ø",
        "⌀": "ø",
        "Ø": "ø",
        "∼": "~",
        "～": "~",
        "…": "...",
        "∶": ":",
        "⁄": "/",
        "∕": "/",
        "·": ".",
        "⋅": ".",
    }
)


class Tidied(msgspec.Struct, frozen=True):
    """The text to read, and what was done to it beyond the choice of signs."""

    text: str
    flags: tuple[str, ...]
    fault: str = ""


def tidy(written: str) -> Tidied:
    """`written` with plain signs and single blanks; a fault where characters are lost or not text."""
    text, flags = _repaired(written)
    visible = "".join(c for c in text if unicodedata.category(c) != "Cf")
    if len(visible) != len(text):
        flags += ("invisible characters left out",)
    if "�" in visible:
        return Tidied(visible, flags, "a character was lost before it came here")
    if any(unicodedata.category(c) in {"Cc", "Cs", "Co", "Cn"} and c not in "\t\r\n" for c in visible):
        return Tidied(visible, flags, "it holds control characters")
    if any(c.isdecimal() and not c.isascii() and unicodedata.normalize("NFKC", c).isascii() for c in visible):
        flags += ("figures of another width or style read as plain ones",)
    plain = _with_fractions(visible.translate(_SIGNS))
    plain = " ".join(unicodedata.normalize("NFKC", plain).split())
    if _LEADING_APOSTROPHE.match(plain):
        return Tidied(plain[1:].lstrip(), (*flags, "a leading apostrophe left out"))
    return Tidied(plain, flags)


def _repaired(text: str) -> tuple[str, tuple[str, ...]]:
    """`text` with UTF-8 that was read as another encoding put right, twice over if need be."""
    repaired = text
    for _ in range(2):
        better = next(filter(None, (_decoded(repaired, name) for name in _MISREAD_AS)), None)
        if better is None:
            break
        repaired = better
    repaired = _with_lost_ends(repaired)
    if repaired == text:
        return text, ()
    return repaired, (f"repaired text: {' '.join(repaired.split())}",)


def _with_lost_ends(text: str) -> str:
    """`text` with hard blanks and closing quotation marks put right, whose last byte Windows-1252 has no sign for."""
    for broken in ("\u00e2\u20ac\u009d", "\u00e2\u0080\u009d"):
        text = text.replace(broken, "\u201d")
    text = text.replace("\u00c2 ", "\u00a0")
    return text.removesuffix("\u00e2\u20ac") + "\u201d" if text.endswith("\u00e2\u20ac") else text


def _decoded(text: str, encoding: str) -> str | None:
    """`text` if its bytes in `encoding` are UTF-8 of the signs that cells hold, else None."""
    if text.isascii():
        return None
    try:
        better = text.encode(encoding).decode("utf-8")
    except UnicodeError:
        return None
    expected = all(c.isascii() or c in _EXPECTED or unicodedata.category(c) == "No" for c in better)
    # A sign that is itself misread once more comes out as one of these.
    again = any(c in "ÂÃâ" for c in better)
    return better if expected or again else None


_EXPECTED = frozenset("±°ºøØ⌀²³µμ×£€–—−‘’“”″′≈…·½¼¾\u00a0\u2009\u202f")


def _with_fractions(text: str) -> str:
    """`text` with one-character fractions and raised figures written out behind a blank.

    1½ becomes 1 1/2, never 11/2, and 25² never 252.
    """
    out: list[str] = []
    divided = False
    for character in text:
        if divided and character.isdigit():
            out.append(" ")  # ½0 is not a twentieth
        divided = unicodedata.category(character) == "No"
        if divided:
            spelled = unicodedata.normalize("NFKC", character).replace("⁄", "/")
            lowered = "SUBSCRIPT" in unicodedata.name(character, "")
            if out and out[-1][-1].isdigit() and not lowered:
                out.append(" ")
            out.append(spelled)
        else:
            out.append(character)
    return "".join(out)
