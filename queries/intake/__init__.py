"""Records coming in and kept in order: sheets, quarantine, check, upgrade, what changed."""
