"""What a layout does not check though it is usual: an answer about it says so, or it would sound as if all were looked
at."""

from __future__ import annotations

from collections.abc import Collection, Iterable

import msgspec

from knockon.graph.judge.lacking import LackedCheck, lacked_checks
from knockon.graph.model.catalogue import Catalogue
from knockon.graph.model.layouts.mechanism import Layout

NAMED = 5
"""So many are named in a caution; the others are counted, and ``check`` lists them all."""


class Lacking(msgspec.Struct, frozen=True):
    """The usual checks that a layout lacks, beside what it has: joints, stacks and figures that are judged."""

    layout: str
    joints: int
    stacks: int
    figures: int
    checks: tuple[LackedCheck, ...]


def lacking(
    catalogue: Catalogue, layouts: Iterable[Layout], positions: Collection[str] | None = None
) -> tuple[Lacking, ...]:
    """What each of these layouts lacks, without those that lack nothing; with ``positions`` only the checks in which
    one of them takes part."""
    found = []
    for layout in layouts:
        lacked = lacked_checks(layout, catalogue.vocabulary)
        checks = tuple(c for c in lacked if positions is None or set(c.positions) & set(positions))
        stacks = sum(f.is_ == "stack" for f in layout.figures)
        if checks:
            joints, figures = len(layout.joints), len(layout.figures) - stacks
            found.append(Lacking(layout.layout, joints, stacks, figures, checks))
    return tuple(found)


def lacking_told(found: Iterable[Lacking]) -> tuple[str, ...]:
    """In words, as cautions: one for each layout."""
    several = len(layouts := list(found)) > 1
    return tuple(_told(one, f"The layout {one.layout}" if several else "This layout") for one in layouts)


def _told(one: Lacking, name: str) -> str:
    has = [_counted(one.joints, "joint"), _counted(one.stacks, "stack")]
    has += [_counted(one.figures, "figure")] if one.figures else []
    said = [c.check for c in one.checks[:NAMED]]
    more = len(one.checks) - len(said)
    said += [f"{more} more (see knockon check)"] if more else []
    these = "this usual check, so nothing looked at it" if len(one.checks) == 1 else (
        "these usual checks, so nothing looked at them"
    )  # fmt: skip
    return f"{name} has {_joined(has)}. It lacks {these}: {'; '.join(said)}."


def _counted(number: int, name: str) -> str:
    return f"{number or 'no'} {name}{'' if number == 1 else 's'}"


def _joined(words: list[str]) -> str:
    return f"{', '.join(words[:-1])} and {words[-1]}"
