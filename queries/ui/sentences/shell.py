"""What all commands say alike: what went wrong, what to type next."""

from typing import Final

NEXT: Final = "next:"
