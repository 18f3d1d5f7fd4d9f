"""What the help says of the cards of a job."""

from typing import Final

JOB_CARD: Final = """Show the job card of a swap: every step, in an order in which it can be done.

Each step shows its parts, its tool with the size of the chosen part, its caution, and what to read and write down. A
gate must be ticked before the work goes on: spacer, collar, pins, clips, tabs, a second person.

With --plan, the card belongs to a named plan. It remembers what is ticked, and it can be closed. The first time, give
VEHICLE and a wish. Later --plan is enough.

Exit status 0 if there is a plan and every change has a step, 1 if not."""
PLAN: Final = "The plan's name. It is kept in the records folder."
TICK: Final = "Tick this step. May be repeated."
TAKE_BACK: Final = "Take back the tick of this step. May be repeated."
SIDE: Final = "The side of the steps to tick, or the only side to show."
READ: Final = "What was read at the step that you tick."
BY: Final = "Who writes this down: initials or a member number."
CLOSE: Final = "Close the card. Every gate must be ticked."
CHECKED_BY: Final = "The second person who checked the work."
PRINT: Final = "Also write the card to this new PDF file, A4, black and white."
FULL: Final = "Show the whole card."
TOOLS: Final = "Show the tools that the card needs instead, with sizes."
HAVE: Final = "A tool that you have, left out of --tools. May be repeated."
SAY_WHAT: Final = 'Say what you want: VEHICLE and --want "POSITION=PART", or --plan NAME.'
NEEDS_PLAN: Final = "--{option} needs --plan NAME: only a named plan remembers it."

RECORD: Final = """Show the record of a finished job: as found against as built, with readings, sources and who checked.

The job card of the plan must be closed first. With --write, the vehicle's fittings become what was built. With --note,
a club note says so too. The sheet of --inspector states the change, its evidence and what to ask. It is no approval.

Exit status 0 if the card is closed, 1 if something is open."""
RECORD_PLAN: Final = "The plan's name."
WRITE: Final = "Make what was built the vehicle's fittings. It can be done once."
NOTE: Final = "Write a club note that says what was built."
INSPECTOR: Final = "Show the sheet for an inspector or insurer."
PRINT_RECORD: Final = "Also write the record, or that sheet, to this new PDF file, A4, black and white."
FULL_RECORD: Final = "Show every step, reading, check and source."
GOODS_IN: Final = """Show what to check when the parcels of a plan come, and write down what is accepted.

For each line of a parcel: how many, which side, and what it can be mixed up with. Also what to measure, and its limits.
Then the bench checks that must pass before anything is stripped.

A part that is accepted, or still to come, is not bought again. For a rejected part the text to the seller is printed.
Then ask "order --plan NAME" again.

Exit status 0 if everything that was ordered is accepted, 1 if not."""
ACCEPT: Final = "Accept this part number: all that are outstanding, or --quantity of them."
REJECT: Final = "Reject this part number. Needs --why. Prints the text to the seller."
ASK: Final = "Ask the seller about this part number. Needs --why. It stays outstanding."
QUANTITY: Final = "How many of the part. All that are outstanding, if left out."
FROM: Final = "The supplier, where the part comes from two."
SIDE_OF: Final = "The part was looked at for this side only."
READING: Final = 'What was read on it, as "FEATURE: DIMENSION = VALUE". May be repeated.'
WHY: Final = "What is wrong with it, or what you ask."
FULL_GOODS: Final = "Show every line and every bench check."
ONE_VERDICT: Final = "Write one of --accept, --reject and --ask."
SAY_OF_WHAT: Final = "Say of which part: --accept PART, --reject PART or --ask PART."

OVERVIEW: Final = """Show each vehicle with its dangers as it stands, and each named plan with how far it is.

Exit status 0 if there is a vehicle, 1 if there is none."""
