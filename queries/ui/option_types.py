"""What commands take beside click's own types: numbers that are some, and sizes with a minus sign in front."""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import Any

import click

from knockon.queries.ui.sentences.shell import NO_NUMBER


class Number(click.FloatRange):
    """A number within a range: ``nan`` lies in none, though it is neither below nor above any bound."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """The number. Fails for what is none or lies outside."""
        if math.isnan(found := float(super().convert(value, param, ctx))):
            self.fail(NO_NUMBER.format(value=value), param, ctx)
        return found


class Signed(click.Command):
    """A command with sizes as arguments: a minus sign before a number is part of the size, ``"-20 mm"``, no option."""

    def parse_args(self, ctx: click.Context, args: list[str]) -> list[str]:
        """As click does, with the sizes behind ``--`` where one of them has a minus sign."""
        return super().parse_args(ctx, self._signs_kept(args) if any(map(_is_below_zero, args)) else args)

    def _signs_kept(self, args: Sequence[str]) -> list[str]:
        """Options with their values first, then the arguments in the order in which they were typed."""
        takes = {name: p.nargs for p in self.params if isinstance(p, click.Option) for name in p.opts if _has_value(p)}
        options: list[str] = []
        arguments: list[str] = []
        left = list(args)
        while left:
            word = left.pop(0)
            if word == "--":
                arguments += left
                break
            if len(word) < 2 or not word.startswith("-") or _is_below_zero(word):
                arguments.append(word)
                continue
            count = takes.get(word, 0)
            options += [word, *left[:count]]
            del left[:count]
        return [*options, "--", *arguments]


def _has_value(option: click.Option) -> bool:
    return not (option.is_flag or option.count)


def _is_below_zero(word: str) -> bool:
    """Whether a word is a number with a minus sign: ``-20 mm``, ``-.5 in``, ``-½ in``."""
    return word.startswith("-") and word[1:].lstrip(" .,")[:1].isnumeric()
