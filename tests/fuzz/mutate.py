"""Ways to break a text: its bytes, its words and numbers, its lines, its encoding."""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Sequence

NASTY = (
    "", " ", "nan", "inf", "-inf", "1e400", "-1e400", "1e-400", "0", "-0", "-1", "99999999999999999999999", "0x1F",
    "1_000", "1,5", "1.5.5", "1/0", "1/3", "1 1/2 1/2", "½", "1⁄2", "٣", "²", "−5", "--5", "±", "±0.1", "5 ±", "5..3",
    "..", "3..", "..4", "1e5 mm", "1e309 in", "5 furlong", "5 mm mm", "M", "M10x", "M10x0", "M0x1", "3/8-",
    "3/8-0 UNF", "24/", "/48", "0/0", "absent", "ABSENT", "?", "??", "n/a", "=1+1", "=cmd()", "+1", "@x", '"', "'",
    '""', "\\", "\\n", "\\u0000", "\\uD800", "%00", "../../x", "/dev/null", "\x00", "\x1b[31m", "\x07", "\u202e",
    "\u200b", "\ufeff", "\ufffd", "\U0001f600", "é", "e\u0301", "İ", "ß", "ﬁ", "{}", "{0}", "%s", "$(x)", "`x`",
    "<x>", "&amp;", "]]>", "<!--", "[]", "[[[[", "((((", "))))", "a" * 300, "9" * 400, "true", "false", "null", "yes",
    "no", "left", "right", "kn:of", "rdf:type", "a", "sh:order", "_:b", "<>", "<a b>", "@en", "^^xsd:integer", ";",
    ",", ".", "\t", "\r", "\n", "\r\n", "|", "#", "# ", "=", "==", ">=", "<=", ">", "<",
)  # fmt: skip
"""Words that readers trip over: of numbers, units, sizes, Turtle, shells, terminals and scripts."""
NUMBER = re.compile(rb"\d+(?:[.,/]\d+)*")
WORD = re.compile(rb"\w+|[^\w\s]|\s+")
Change = Callable[[random.Random, bytes], bytes]


def _cut(rng: random.Random, content: bytes) -> tuple[int, int]:
    start = rng.randrange(len(content) + 1)
    return start, min(len(content), start + rng.choice((1, 1, 1, 2, 4, 8, 32, 200)))


def flip_byte(rng: random.Random, content: bytes) -> bytes:
    """Another byte in the place of one."""
    if not content:
        return bytes([rng.randrange(256)])
    at = rng.randrange(len(content))
    return (
        content[:at]
        + bytes([rng.choice((rng.randrange(256), content[at] ^ 0x20, content[at] ^ 1))])
        + content[at + 1 :]
    )


def drop_bytes(rng: random.Random, content: bytes) -> bytes:
    """Some bytes left out."""
    start, end = _cut(rng, content)
    return content[:start] + content[end:]


def repeat_bytes(rng: random.Random, content: bytes) -> bytes:
    """Some bytes repeated, once or many times."""
    start, end = _cut(rng, content)
    return content[:end] + content[start:end] * rng.choice((1, 1, 2, 50)) + content[end:]


def insert_bytes(rng: random.Random, content: bytes) -> bytes:
    """Bytes of any value put in."""
    at = rng.randrange(len(content) + 1)
    return content[:at] + rng.randbytes(rng.choice((1, 1, 2, 3, 8))) + content[at:]


def cut_short(rng: random.Random, content: bytes) -> bytes:
    """The end left out, as of a copy that was broken off."""
    return content[: rng.randrange(len(content) + 1)]


def _with_token(rng: random.Random, content: bytes, pattern: re.Pattern[bytes], put: Callable[[bytes], bytes]) -> bytes:
    found = list(pattern.finditer(content))
    if not found:
        return content
    one = rng.choice(found)
    return content[: one.start()] + put(one[0]) + content[one.end() :]


def change_word(rng: random.Random, content: bytes) -> bytes:
    """A word, sign or blank changed into something that readers trip over."""
    return _with_token(rng, content, WORD, lambda _: rng.choice(NASTY).encode("utf-8", "replace"))


def swap_words(rng: random.Random, content: bytes) -> bytes:
    """A word, sign or blank put in the place of another."""
    words = WORD.findall(content)
    return _with_token(rng, content, WORD, lambda _: rng.choice(words)) if words else content


def add_word(rng: random.Random, content: bytes) -> bytes:
    """Something that readers trip over, put after a word."""
    return _with_token(rng, content, WORD, lambda w: w + rng.choice(NASTY).encode("utf-8", "replace"))


def change_number(rng: random.Random, content: bytes) -> bytes:
    """Another number, or what looks like one."""

    def other(number: bytes) -> bytes:
        given = number.decode()
        options = [given + "0" * rng.choice((1, 3, 300)), f"-{given}", f"{given}.", f".{given}", f"0{given}"]
        options += [f"{given}e{given}", given[::-1], f"{given}/{given}", given.replace(".", ","), rng.choice(NASTY)]
        return rng.choice(options).encode("utf-8", "replace")

    return _with_token(rng, content, NUMBER, other)


def move_lines(rng: random.Random, content: bytes) -> bytes:
    """A line left out, repeated, emptied or moved."""
    lines = content.splitlines(keepends=True)
    if not lines:
        return content
    at = rng.randrange(len(lines))
    line = lines.pop(at)
    what = rng.randrange(4)
    if what == 1:
        lines[at:at] = [line] * rng.choice((2, 2, 20))
    elif what == 2:
        lines.insert(at, b"\n")
    elif what == 3:
        lines.insert(rng.randrange(len(lines) + 1), line)
    return b"".join(lines)


def recode(rng: random.Random, content: bytes) -> bytes:
    """The same text in another encoding, with another mark or other ends of line."""
    text = content.decode("utf-8", "replace")
    encoding = rng.choice(
        (
            "utf-16",
            "utf-16-le",
            "utf-16-be",
            "utf-8-sig",
            "cp1252",
            "latin-1",
            "utf-32",
            "cp037",
            "mark",
            "\r",
            "\r\n",
            "\0",
        )
    )
    if encoding == "mark":
        return rng.choice((b"\xff\xfe", b"\xfe\xff", b"\xef\xbb\xbf")) + content
    if encoding in ("\r", "\r\n", "\0"):
        return text.replace("\n", encoding).encode()
    return text.encode(encoding, "replace")


BYTES: dict[str, Change] = {"byte": flip_byte, "dropped bytes": drop_bytes, "repeated bytes": repeat_bytes,
                            "inserted bytes": insert_bytes, "cut short": cut_short, "encoding": recode}  # fmt: skip
WORDS: dict[str, Change] = {"word": change_word, "words swapped": swap_words, "added word": add_word,
                            "number": change_number, "lines": move_lines}  # fmt: skip


def broken(rng: random.Random, content: bytes, most: int = 4) -> tuple[bytes, tuple[str, ...]]:
    """The content with one to ``most`` changes, more often of words than of bytes; and the names of the changes."""
    done: list[str] = []
    for _ in range(rng.randint(1, most)):
        ways = BYTES if rng.random() < 0.25 else WORDS
        name = rng.choice(sorted(ways))
        content = ways[name](rng, content)[:MOST_BYTES]
        done.append(name)
    return content, tuple(done)


MOST_BYTES = 64 * 1024


def some(rng: random.Random, of: Sequence[bytes], least: int, most: int) -> list[bytes]:
    """A few of them, in their order."""
    chosen = rng.sample(range(len(of)), min(len(of), rng.randint(least, most)))
    return [of[n] for n in sorted(chosen)]
