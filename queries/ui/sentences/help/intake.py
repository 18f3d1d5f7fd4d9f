"""What the help says of new, check, import, quarantine, changed and upgrade."""

from typing import Final

NEW: Final = """Begin with a vehicle of your own in FOLDER, which is made if it is not there.

Without options it asks: which ready-made layouts, which brake, bearing and swivel, and what the vehicle is called.
It writes the tables, with every place of the vehicle, and a measuring sheet to print (PDF) and to fill in (xlsx).
In a folder that has vehicles it adds another. Nothing is written over.

To take a measuring sheet back, also half filled: knockon --records FOLDER import FILE."""
NEW_LAYOUT: Final = "A ready-made layout, such as hydraulics. May be repeated: knockon list layouts."
NEW_CHOICE: Final = "What the vehicle has of a choice, such as disc or 'front disc'. May be repeated."
NEW_MAY_CHANGE: Final = "A choice that you may change, such as bearing. Without it: brake. May be repeated."
NEW_VEHICLE: Final = "What the vehicle is called."
NEW_TITLE: Final = "What it is, in your words."
NEW_OWNER: Final = "Initials of its owner."
NEW_UNIT: Final = "The unit of lengths on the measuring sheet."

CHECK: Final = """Are the records in order?

Reads and validates them. Each finding has its file, row and column.

With --without, shapes and layouts are checked without that source or club. Findings in the club's file are left out.

Exit status 0 if nothing was skipped."""

IMPORT: Final = """Import SHEET, with column names of its own: CSV of any delimiter, xlsx, xls or ods.

A mapping says which column is which. Without one, a mapping is proposed and nothing is written.
A row that cannot be read goes to the quarantine, and the rest is loaded.
A flat sheet, a row a part with sizes of several features, fills several tables. There a bad cell waits alone.
You can run it again and again: only what changed is written.

Exit status 0 if every row was loaded, 1 if some are in quarantine or a mapping waits, 2 if it could not be done."""
MAPPING: Final = "The mapping. Without it: SHEET-metadata.json."
ACCEPT_MAPPING: Final = "Keep the proposed mapping beside the sheet, and import with it."
TABLE: Final = "The record table to fill, such as parts or features/rolling_bearing, or what it is of: 'female spline'."
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

With --plan it shows what hits a named plan, its order, its kits and its job card. It compares with the answers that
were kept when you made or ordered the plan. Name OLD records to compare with those instead.

Exit status 1 if some answer differs."""
FOR: Final = "Compare the plan for this vehicle too."
WANT: Final = 'What you want of it: "POSITION=PART".'
PLAN: Final = "Show what hits this named plan."
FROM_NOW: Final = "Keep today's answers of the plan, to compare with them from now on."

UPGRADE: Final = """Bring records of an earlier version up to date.

A layout that repeats a ready-made one is put together from it (layout_uses.csv). Rows that say the same are removed.
Rows that say something else stay and override. Positions are renamed as in the ready-made layout, wherever they occur.
All tables are written together, or none.

Exit status 0 if the records are up to date, or were brought up to date."""
UPGRADE_DRY_RUN: Final = "Say what would be written, and write nothing."
QUARANTINE_FULL: Final = "Show every entry, and what depends on each."

MEASURED: Final = """Write down what you read on a vehicle: WHAT you read, then its VALUE. Several pairs make one note.

WHAT is the place with its side, then the size, as in "left steering arm, bolts: bolt pitch". The feature may be left
out where one alone has that size. VALUE is a reading with its unit, a count, a code, or "absent".
Without VALUE you are asked for each. The reading belongs to the thing in that place, and to nothing else.

A reading outside the usual sizes is not written, and you are asked back.
The answer shows what the reading changes: the verdicts of the vehicle, and with --want the plan.

Exit status 0 if it is written, 1 if you are asked back, 2 if it could not be read."""
TOOL: Final = "What you measured with. Its ± is used where you write none. Without it: the usual tool."
BY: Final = "Who read it: initials or a member number. Without it: the vehicle's owner."
READ_ON: Final = "When it was read. Without it: today."
AS_READ: Final = "Write it as you read it, though it is outside the usual sizes."
CORRECT: Final = "Put it in the place of the reading that stands."
WITHDRAW: Final = "Take the reading of WHAT back."
MEASURED_WANT: Final = 'What you want of the vehicle: "POSITION=PART". The answer then shows what changes in the plan.'
MEASURED_FULL: Final = "Show every change."
