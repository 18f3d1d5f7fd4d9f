"""Where in a Turtle file something is said: the line of a subject, of a word said of it, of a value.

A parser gives statements, not lines. This reads no more of Turtle than it takes to tell its tokens apart, and is asked
only about files that a parser has read.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

import msgspec

from knockon.graph.triples.statements import RDF

_TOKEN = re.compile(
    r"""
      (?P<space> \s+ | \#[^\n]* )
    | (?P<iri> <[^<>"{}|^`\s]*> )
    | (?P<text> \"{3} (?: [^"\\] | \\. | "{1,2}(?!") )* \"{3} | '{3} (?: [^'\\] | \\. | '{1,2}(?!') )* '{3}
              | " (?: [^"\\\n] | \\. )* " | ' (?: [^'\\\n] | \\. )* ' )
    | (?P<tag> @[A-Za-z]+ (?: -[A-Za-z0-9]+ )* )
    | (?P<number> [+-]? (?: \d+ (?: \.\d+ )? | \.\d+ ) (?: [eE][+-]?\d+ )? (?! [\w:] ) )
    | (?P<name> [\w.-]* : (?: [\w%:-] | \\. | \. (?= [\w%:] ) )* | \w+ )
    | (?P<mark> \^\^ | . )
    """,
    re.VERBOSE | re.DOTALL,
)
_ESCAPES = {"t": "\t", "n": "\n", "r": "\r", "b": "\b", "f": "\f"}


class Token(msgspec.Struct, frozen=True):
    """One token: its sort (iri, text, tag, number, name, mark), where it stands, its text; what it ``means`` (an IRI in
    full, the text of a literal), and the ``group`` in which it stands (the number of the innermost brackets)."""

    sort: str
    start: int
    line: int
    text: str
    means: str
    group: int = 0


class Places(msgspec.Struct):
    """The tokens of one file by statement."""

    file: str
    prefixes: dict[str, str] = msgspec.field(default_factory=dict)
    statements: list[list[Token]] = msgspec.field(default_factory=list)

    @classmethod
    def of(cls, file: str, text: str) -> Places:
        """The places of a file's text."""
        found = cls(file)
        now: list[Token] = []
        groups, last = [0], 0
        for token in tokens(text):
            if token.text in ("]", ")") and len(groups) > 1:
                groups.pop()
            elif token.text in ("[", "(") and token.sort == "mark":
                last += 1
                groups.append(last)
            elif token.text == "." and token.sort == "mark" and len(groups) == 1:
                found._end(now)
                now = []
                continue
            now.append(Token(token.sort, token.start, token.line, token.text, found._means(token), groups[-1]))
            if _is_sparql_prefix(now):
                found._end(now)
                now = []
        found._end(now)
        return found

    def _end(self, now: Sequence[Token]) -> None:
        if len(now) > 2 and now[0].text.lower() in ("@prefix", "prefix") and now[2].sort == "iri":
            self.prefixes[now[1].text.rstrip(":")] = now[2].text[1:-1]
        elif now:
            self.statements.append(list(now))

    def _means(self, token: Token) -> str:
        if token.sort == "iri":
            return token.text[1:-1]
        if token.sort == "text":
            return _unescaped(token.text)
        if token.sort == "name":
            prefix, colon, rest = token.text.partition(":")
            if colon and prefix in self.prefixes:
                return self.prefixes[prefix] + re.sub(r"\\(.)", r"\1", rest)
            return RDF + "type" if token.text == "a" else token.text
        return token.text

    def about(self, subject: str) -> list[list[Token]]:
        """The statements about the subject of this IRI."""
        return [s for s in self.statements if s[0].means == subject and s[0].sort in ("iri", "name")]

    def line(self, subject: str, path: str = "", predicate: str = "", value: str = "") -> int:
        """The line that says this of a subject, as near as it can be found; 0 where the subject does not stand here."""
        best = 0
        for statement in self.about(subject):
            line = _line_in(statement, path, predicate, value)
            if line is not None:
                return line
            best = best or statement[0].line
        return best

    def shown(self, iri: str) -> str:
        """An IRI as this file writes it."""
        spaces = [(len(space), prefix, space) for prefix, space in self.prefixes.items() if space]
        names = [(n, f"{prefix}:{iri.removeprefix(space)}") for n, prefix, space in spaces if iri.startswith(space)]
        return max(names)[1] if names else iri


def tokens(text: str) -> Iterator[Token]:
    """All tokens of a Turtle text but blanks and comments."""
    line, at = 1, 0
    for match in _TOKEN.finditer(text):
        line, at = line + text.count("\n", at, match.start()), match.start()
        if match.lastgroup != "space" and match.lastgroup is not None:
            yield Token(match.lastgroup, match.start(), line, match.group(), match.group())


def _is_sparql_prefix(now: Sequence[Token]) -> bool:
    return len(now) == 3 and now[0].text.lower() == "prefix"


def _line_in(statement: Sequence[Token], path: str, predicate: str, value: str) -> int | None:
    tokens = statement
    if path:
        groups = [t.group for t in statement if t.means == path and t.group]
        tokens = [t for t in statement if t.group in groups] or statement
    if not predicate and not value:
        return tokens[0].line
    at = [i for i, t in enumerate(tokens) if t.means == predicate and i] or ([0] if not predicate else [])
    for start in at:
        after = tokens[start + 1 :]
        here = next((t for t in after if t.means == value), None) if value else None
        if here is not None:
            return here.line
    return tokens[at[0]].line if at and not value else None if not at else tokens[at[0]].line


def _unescaped(text: str) -> str:
    quote = 3 if text[:3] in ('"""', "'''") else 1

    def sub(match: re.Match[str]) -> str:
        code = match.group(1)
        return chr(int(code[1:], 16)) if code[0] in "uU" else _ESCAPES.get(code, code)

    return re.sub(r"\\(u[0-9A-Fa-f]{4}|U[0-9A-Fa-f]{8}|.)", sub, text[quote:-quote], flags=re.DOTALL)
