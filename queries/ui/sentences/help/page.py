"""What the help says of ``page``."""

from typing import Final

PAGE: Final = """Show the answers as a page in your browser.

The page answers on this machine only, under http://127.0.0.1, unless you add --network. It asks the
same commands, and writes only what they write. Everything works without JavaScript. Nothing is fetched from anywhere.

End it with Ctrl-C."""
NETWORK: Final = "Also answer in your network, for a phone. Prints an address with a QR code and a key that works once."
WRITE: Final = "With --network: those who come with a key may also write."
WRITE_NEEDS_NETWORK: Final = "--write goes with --network: on this machine you may write in any case"
PORT: Final = "The port of the address. With 0: one that is free."
