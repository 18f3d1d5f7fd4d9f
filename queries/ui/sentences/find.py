"""What lists say, which vehicle it is, and what tells two parts apart."""

from typing import Final

NONE_LISTED: Final = "None of the {known} {things} recorded{filters}."
LISTED: Final = "{number} {things}{filters}."
