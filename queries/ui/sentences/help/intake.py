"""What the help says of check, import, quarantine, changed and upgrade."""

from typing import Final

CHECK: Final = """Are the records in order?

Reads and validates them. Each finding has its file, row and column.

With --without, shapes and layouts are checked without that source or club. Findings in the club's file are left out.

Exit status 0 if nothing was skipped."""

IMPORT: Final = """Import SHEET, with column names of its own: CSV of any delimiter, xlsx, xls or ods.

A mapping says which column is which. Without one, a mapping is proposed and nothing is written.
A row that cannot be read goes to the quarantine, and the rest is loaded.
You can run it again and again: only what changed is written.

Exit status 0 if every row was loaded, 1 if some are in quarantine or a mapping waits, 2 if it could not be done."""
MAPPING: Final = "The mapping. Without it: SHEET-metadata.json."
ACCEPT_MAPPING: Final = "Keep the proposed mapping beside the sheet, and import with it."
TABLE: Final = "The record table to fill, such as parts or features/rolling_bearing."
SOURCE: Final = "The source of every row, as in sources.csv."
FEATURE: Final = "The feature's name in every row of a feature table."
SET: Final = "The same value in every row. May be repeated."
DRIVER: Final = "Where the driver sits: decides nearside and offside."
DECIMAL_COMMA: Final = "The sheet writes 27,52 for 27.52."
REPLACE: Final = "Replace the sheet imported before under this name, though its source differs."
DRY_RUN: Final = "Say what would change, and write nothing."
IMPORT_FULL: Final = "List every row that changes."

QUARANTINE: Final = """Which rows of imported sheets were not loaded, why, and what depends on them?

A row with a bad cell waits whole. With --accept you choose a suggestion for a cell.
The row is loaded if nothing else is wrong with it. ENTRY=0 loads the row with that size not known.
An entry keeps its name while others come and go. Several choices are made together: all or none.

Exit status 0 if the quarantine is empty."""
ACCEPT: Final = "Read the cell of ENTRY as suggestion CHOICE. 0: not known. May be repeated, all or none."

CHANGED: Final = """Compare the answers of the records with those of an OLD copy of them, another records folder.

Shows verdicts that differ, new and settled contradictions, and with --for and --want how the plan changes.
It compares answers, not rows.

Exit status 1 if some answer differs."""
FOR: Final = "Compare the plan for this vehicle too."
WANT: Final = 'What you want of it: "POSITION=PART".'

UPGRADE: Final = """Bring records of an earlier version up to date.

A layout that repeats a ready-made one is put together from it (layout_uses.csv). Rows that say the same are removed.
Rows that say something else stay and override. Positions are renamed as in the ready-made layout, wherever they occur.
All tables are written together, or none.

Exit status 0 if the records are up to date, or were brought up to date."""
UPGRADE_DRY_RUN: Final = "Say what would be written, and write nothing."
QUARANTINE_FULL: Final = "Show every entry, and what depends on each."
