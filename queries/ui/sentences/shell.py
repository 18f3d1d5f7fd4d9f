"""What all commands say alike: what went wrong, what to type next."""

from typing import Final

NEXT: Final = "next:"
NO_SUCH_COMMAND: Final = "There is no command {name}. Choose one of these: {names}."
