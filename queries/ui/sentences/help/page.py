"""What the help says of ``page``."""

from typing import Final

PAGE: Final = """Show the answers as a page in your browser.

The page answers on this machine only, under http://127.0.0.1. It asks the same commands, and writes only what they
write. Everything works without JavaScript. Nothing is fetched from anywhere.

End it with Ctrl-C."""
PORT: Final = "The port of the address. With 0: one that is free."
