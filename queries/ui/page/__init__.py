"""The page in a browser: the answers of the commands in rooms, asked within this program; nothing is computed here."""
