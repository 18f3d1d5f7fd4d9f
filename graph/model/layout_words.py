"""Words that belong to a layout: what its machine is called, how a danger is headed, the stages of taking it apart.

They are rows of ``layout_words.csv``; ready-made layouts bring theirs along. A word that a layout does not give is the
neutral one, so that nobody tells a lathe not to be driven.
"""

# Types stand here as types, not as texts: a prepared copy would evaluate each text whenever it is opened.
from collections.abc import Iterable, Mapping

import msgspec

MACHINE = "machine"
DANGER = "danger"
FIGURES = "caution on figures"
NEUTRAL: Mapping[str, str] = {
    MACHINE: "machine",
    DANGER: "DO NOT USE",
    FIGURES: "Figures compare. They never say that it works or holds safely.",
    "on the vehicle": "in place",
    "hub nut off": "first parts off",
    "corner apart": "taken apart",
}
"""Each word that a layout may give, with the neutral one; the last three are those of the column ``reached``."""


class LayoutWord(msgspec.Struct, frozen=True):
    """A word as a layout says it; ``word`` is one of NEUTRAL."""

    layout: str
    word: str
    says: str


def words_of(layouts: Iterable[Iterable[LayoutWord]]) -> Mapping[str, str]:
    """Every word as these layouts say it; the neutral one where they differ, or none says it."""
    said = [{**NEUTRAL, **{w.word: w.says for w in words}} for words in layouts]
    return {w: said[0][w] if said and len({s[w] for s in said}) == 1 else neutral for w, neutral in NEUTRAL.items()}
