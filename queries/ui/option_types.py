"""What options of commands take beside click's own types."""

from __future__ import annotations

import math
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
