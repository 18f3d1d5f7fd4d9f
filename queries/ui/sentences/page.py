"""What the page in the browser says of itself: rooms, forms, mistakes, what goes on."""

from typing import Final

# Rooms.
NAME: Final = "knockon"
HOME: Final = "Vehicles and plans"
ROOMS: Final = {
    "swap": "A swap",
    "measure": "Measure first",
    "order": "Order",
    "order-of-plan": "Order",
    "job-card": "Job card",
    "job-card-of-plan": "Job card",
    "goods-in": "Goods in",
    "record": "Record",
    "kit": "Kit check",
    "needs": "Which part a place needs",
    "vehicle": "The vehicle as found",
    "part": "One part",
    "partners": "Parts that meet a part",
    "fits": "Do these go together?",
    "tell-apart": "Tell two parts apart",
    "identify": "Which part is this?",
    "list": "List",
    "combinations": "Parts that go together",
    "note-list": "Notes",
    "disputes": "Disputes",
    "club": "Share with other clubs",
    "changed-of-plan": "What changed",
    "check": "Are the records in order?",
    "quarantine": "Rows that wait",
    "words": "Words",
    "overview": "Vehicles and plans",
}
SHOWS: Final = {
    "swap": "The plan",
    "swap --why": "Why: {asked}",
    "swap --measure": "Everything to measure",
    "swap --evidence": "What is not proven",
    "swap --notes": "What members found",
    "swap --others": "Other plans",
    "swap --full": "The whole answer",
    "swap --side-by-side": "Plans side by side",
    "swap --instead-of": "Other ways round {asked}",
    "measure": "Measure, one reading at a time",
    "measure --full": "All readings with their values",
    "order": "What to buy where",
    "order --full": "The whole order",
    "order --which": "This order",
    "job-card": "Job card",
    "job-card --full": "The whole card",
    "job-card --tools": "Tools",
    "goods-in": "Goods in",
    "changed": "What changed for this plan",
    "changed --full": "All that changed",
    "goods-in --full": "The whole goods-in card",
    "record": "Record",
    "record --full": "The whole record",
    "record --inspector": "For the inspector",
    "kit": "Kit check",
    "kit --full": "The whole kit check",
    "kit --message": "The message to the seller",
    "needs": "What a part for this place must be",
    "needs --full": "The whole answer",
    "needs --message": "The message to the seller",
    "fits": "Do these go together?",
    "fits --why": "Every check with its sizes",
    "fits --measure": "Everything to measure",
    "fits --evidence": "What it rests on",
    "fits --others": "Checks that need more parts",
    "fits --notes": "What members found",
    "fits --full": "The whole answer",
    "part": "This part",
    "part --full": "All of this part",
    "part --evidence": "Every size with its source",
    "part --notes": "What members found",
    "partners": "Parts that meet it",
    "partners --full": "All of them",
    "partners --others": "Also those that do not fit",
    "vehicle": "The vehicle as found",
    "vehicle --full": "Every place",
    "list": "List",
    "list --full": "The whole list",
    "identify": "Which part is this?",
    "identify --full": "All numbers and evidence",
    "tell-apart": "How they differ",
    "tell-apart --full": "All differences",
    "tell-apart --why": "What changes a verdict",
    "disputes": "Disputes",
    "disputes --full": "All disputes",
    "check": "Are the records in order?",
}
LINES_OPEN: Final = "Each line opens to its reason, its sizes and their sources."
EVIDENCE_OF_THAT: Final = "Sizes and sources of this"
MORE_OF_IT: Final = "All sizes, sources and notes"

# Everywhere.
SKIP: Final = "To the content"
RECORDS: Final = "Records: {name}"
MENU: Final = "Rooms"
LOOK_UP: Final = "Look up"
FIND: Final = "Find"
SEARCH: Final = "Find a part, a place or a word"
AS_DOCUMENT: Final = "This answer as a document (JSON)"
ON_PAPER: Final = 'Geometry only. "Fits" means that dimensions agree. It never means safe.'
INVENTED: Final = "The demo world is invented. Nothing can be written to it."
KEPT_BY_SCRIPT: Final = "Without JavaScript, the page does not keep what you typed when the connection drops."

# Home.
ASK_TITLE: Final = "What do you want to change?"
ON_VEHICLE: Final = "On which vehicle"
WISH: Final = "What you want"
WISH_HINT: Final = "Such as rotor=LARCH-201, rotor.diameter>=190 mm, or an arrangement such as disc."
SHOW_PLAN: Final = "Show the plan"
COMPARE: Final = "Compare all that meet it"

# Long work.
WORKING: Final = "Still working"
WAITS: Final = "waiting for another question"
DOING: Final = "Now: {step}. {seconds} s so far."
LOOK_AGAIN: Final = "Look again"
STOP: Final = "Stop this"
WAS_STOPPED: Final = "This was stopped. Nothing was written."
BUSY: Final = "Too many questions are on the way. Wait a moment, then ask again."

# Mistakes.
NOT_WRITTEN: Final = "Nothing was written"
NOT_ANSWERED: Final = "Not answered"
NOT_HERE: Final = "There is no such room."
NOT_ALLOWED: Final = "This request does not come from the page itself. Open the page and send the form again."
TOO_LARGE: Final = "That is too large. The page takes at most {megabytes} MB at once."
WRONG_HOST: Final = "The page does not answer under this name. Use the address that knockon printed."
FAULT: Final = "This is a fault of knockon itself. The terminal that started the page shows more."

# The command.
SERVING: Final = "The page is at {address}\nEnd it with Ctrl-C."
FOR_A_PHONE: Final = """For a phone in your network. The key works once:
{address}
{code}"""
NEEDS_KEY: Final = "This page needs a key. Open the address that knockon printed, or scan its code."
NO_NETWORK: Final = "this machine has no address that others could reach: drop --network"
READ_ONLY: Final = "Nothing can be written from here. Start the page with --network --write to allow it."
FOLDER_ALONE: Final = "the page shows a records folder: drop --server and --without"
PORT_TAKEN: Final = "port {port} is taken. Name another one with --port."

# Lists and forms.
NEAR: Final = "Rooms of this plan"
NOTES: Final = "Notes"
ARITHMETIC: Final = "Arithmetic"
LISTS: Final = "Lists"
TABLE: Final = "Table"
BLANK_HEAD: Final = "–"
NO_CHOICE: Final = "any"
ASK: Final = "Show"
ASK_AGAIN: Final = "Ask for something else"
FOUND_FOR: Final = "Found for {words}"
FOUND_NOTHING: Final = "Nothing in these records has all of these words."
TYPE_WORDS: Final = "Enter a word above."
SEARCHED: Final = {"parts": "Parts", "positions": "Positions", "notes": "Notes", "words": "Words"}
FIELDS: Final = {
    "want": "What you want",
    "keep": "What must stay",
    "avoid": "What must not be used",
    "renew": "What needs replacing",
    "parts": "Parts",
    "one": "One part",
    "other": "The other part",
    "readings": "What you read on it",
    "words": "Words",
    "kit": "Kit, shelf or part numbers",
    "for": "Vehicle",
    "on": "On vehicle",
    "at": "At",
    "empty": "Left empty",
    "type": "Sort of part",
    "tool": "What you measured with",
}
HINTS: Final = {
    "parts": "One number a line.",
    "readings": "One feature a line, such as external spline: teeth=25, across=27.41 mm.",
    "words": "Each must stand in the line.",
    "one": "A part number.",
    "other": "A part number.",
    "keep": "One position a line.",
    "kit": "A name, or numbers such as LARCH-201 x2, LARCH-204.",
}

# Readings.
REACHED: Final = "Reached: {stage}."
READING: Final = "What you read"
IN_UNIT: Final = "With its unit, such as 25.4 {unit}, or as a range."
AS_READ_HINT: Final = "As you read it. Write absent where there is none."
AS_READ: Final = "It is as I read it"
TOOL_USED: Final = "Measured with"
TOOL_HINT: Final = "Left empty: the usual tool."
BY: Final = "Who writes this"
BY_HINT: Final = "Initials or a member number."
WRITE_IT: Final = "Write it down"
DONT_KNOW: Final = "Don't know, next"
BACK_ONE: Final = "Back to the one before"
SCREEN_OF: Final = "Reading {number} of {whole}"
ALL_SCREENS: Final = "All readings"
WITHDRAW_FOLD: Final = "Withdraw this reading: {what}"
WITHDRAW_THIS: Final = "Withdraw it"

# Plans and cards.
OF_PLAN: Final = {
    "": "The plan",
    "measure": "Measure first",
    "kit": "Kit check",
    "order": "Order",
    "goods-in": "Goods in",
    "job": "Job card",
    "record": "Record",
    "changed": "What changed",
}
KEEP_TITLE: Final = "Keep this plan"
KEEP_IT: Final = "Keep it"
PLAN_NAME: Final = "Name of the plan"
PLAN_HINT: Final = "Letters and digits. Order, goods in, job card and record go with it."
NO_PLAN: Final = "There is no plan {plan} in these records."
OPEN_GATES: Final = "Open gates: {gates}."
AND_MORE: Final = "{number} more"
NAME_TO_TICK: Final = "Keep this plan under a name, to tick its steps."
STEP_FIELD: Final = "Step"
STEP_DONE: Final = "{number}. Done: {name}"
STEP_GATE: Final = "{number}. Gate: {name}"
STEP_OPEN: Final = "{number}. {name}"
LIMITS_ARE: Final = "Limits: {limits}."
TICK: Final = "Tick: {name}"
TAKE_BACK: Final = "Take back: {name}"
CLOSE_CARD: Final = "Close the card"
CHECKED_BY: Final = "Who checked it"
SECOND_PERSON: Final = "A second person."
GOODS_OF: Final = "Goods in for {plan}"
PARCEL_FROM: Final = "Parcel from {supplier}"
LINE_WAITS: Final = "{part}: {outstanding} to come"
LINE_HERE: Final = "{part}: {accepted} accepted"
PART: Final = "Part"
HOW_MANY: Final = "How many"
READINGS: Final = "What you read on it"
READINGS_HINT: Final = "One a line, such as stub: length = 25.4 mm."
WHY: Final = "Why"
WHY_HINT: Final = "For what is rejected or asked."
GOODS_VERDICTS: Final = {"accept": "Accept", "reject": "Reject", "ask": "Ask the seller"}
WHICH_ORDER: Final = "Which order"
PLACE_IT: Final = "Note it as placed"
PLACE_TITLE: Final = "You ordered it"
RECORD_OF: Final = "Record of {plan}"
WRITE_RECORD: Final = "Write the record"
WRITE_NOTE: Final = "Write a club note of it"

# Notes, readings of a vehicle, rows that wait.
ONE_A_LINE: Final = "One a line."
NOTE_TITLE: Final = "Write a note"
NOTE_TEXT: Final = "What you found"
NOTE_TEXT_HINT: Final = "In your own words. No tightening values."
NOTE_OUTCOME: Final = "How it went"
NOTE_PARTS: Final = "Parts"
NOTE_VEHICLE: Final = "Vehicle"
NOTE_JOINT: Final = "Joint"
NOTE_WORK: Final = "Work done"
NOTE_WORK_HINT: Final = "Needed where it was made to fit."
NOTE_CONDITION: Final = "Condition"
NOTE_SIZES: Final = "Sizes that you read"
NOTE_SIZES_HINT: Final = "One a line, such as ROWAN-201 stub end: length = 25.4 mm."
NOTE_DATE: Final = "Date"
NOTE_EVIDENCE: Final = "Evidence"
NOTE_PHOTOS: Final = "Photographs"
NOTE_PHOTOS_HINT: Final = "They are kept with the note."
NOTE_WRITE: Final = "Write the note"
NOTE_NAME: Final = "Name of the note"
NOTE_WITHDRAW: Final = "Withdraw a note"
WHAT_READ: Final = "Which size"
WHAT_READ_HINT: Final = "Such as left rear drum, diameter."
READING_TITLE: Final = "Write down a reading"
WITHDRAW_TITLE: Final = "Withdraw a reading"
ACCEPT_TITLE: Final = "Accept a row"
ACCEPT_ROW: Final = "Entry and choice"
ACCEPT_ROW_HINT: Final = "As the list names them, such as e3=1."
ACCEPT_IT: Final = "Accept it"

# The vehicle.
VEHICLE_NAMED: Final = "{title} ({vehicle})"
LEFT_AND_RIGHT: Final = "Left and right"
CORNER_HEADS: Final = ("place", "left", "right")
PLACE_HEADS: Final = ("place", "here")
WHOLE_VEHICLE: Final = "The whole {machine}"
NOT_LOOKED_AT: Final = "A number in brackets was taken over from another vehicle. Nobody looked at it here."
TAKEN_FROM: Final = "({parts}, as {like})"
NOTHING_HERE: Final = "not recorded"

# Sheets.
SHEETS: Final = "Sheets"
SHEET_TITLE: Final = "Import a sheet"
SHEET_FILE: Final = "The sheet"
SHEET_HINT: Final = "CSV, XLSX or ODS, such as a filled measuring sheet or a list of parts of your own."
SHEET_READ: Final = "Show where its columns go"
SHEET_ACCEPT: Final = "Import it so"
SHEET_ACCEPT_TITLE: Final = "If that is right"
SHEET_TABLE: Final = "Table"
SHEET_TABLE_HINT: Final = "Only where the sheet fills one table, such as parts."
SHEET_SOURCE: Final = "Source of all rows"
SHEET_FEATURE: Final = "Feature of all rows"
SHEET_SET: Final = "The same in every row"
SHEET_SET_HINT: Final = "One a line, such as part type=rotor."
SHEET_DRIVER: Final = "Side of the driver"
SHEET_COMMA: Final = "Numbers have a decimal comma"
SHEET_WAITS: Final = "Rows that wait, and why"
SHEET_GONE: Final = "This sheet was sent too long ago. Send it again."

# Clubs, prints.
FROM_NOW: Final = "Compare from now on"
FROM_NOW_TITLE: Final = "You have seen this"
CLUB: Final = "Short name of the club"
CLUB_HINT: Final = "Under this name others merge what you share."
CLUB_TITLE: Final = "Name of the club"
LICENCE: Final = "Licence"
SHARE_TITLE: Final = "Share your records"
SHARE_IT: Final = "Make the file for others"
CLUB_FILE: Final = "The file of another club"
CLUB_FILE_HINT: Final = "As that club shared it."
CLUB_OF_FILE: Final = "Only where the file does not say it."
CLUB_DATE: Final = "Shared on"
MERGE_TITLE: Final = "Merge what another club shared"
MERGE_TRY: Final = "Show what it would bring"
MERGE_IT: Final = "Merge it"
REMOVE_TITLE: Final = "Take a club out again"
REMOVE_IT: Final = "Take it out"
PRINT: Final = "To print (PDF)"
