"""What the help says of the options by which a page shows more."""

from typing import Final

WHY_OF_ALL: Final = "Show why."
WHY: Final = "Show why. With a {name}, only the reasons for that {name}."
DETAILS: Final = {
    "measure": "Show everything to measure, and how.",
    "evidence": "Show what the answer rests on: sizes, limits and sources, and what is not proven.",
    "notes": "Show what members found.",
    "others": "Show the alternatives.",
    "full": "Show the whole answer.",
}
