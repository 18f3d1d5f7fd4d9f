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
    "measure": "Measure, one reading at a time",
    "measure --full": "All readings with their values",
    "order": "What to buy where",
    "order --full": "The whole order",
    "order --which": "This order",
    "job-card": "Job card",
    "job-card --full": "The whole card",
    "job-card --tools": "Tools",
    "goods-in": "Goods in",
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
NOT_ANSWERED: Final = "Not answered"
NOT_HERE: Final = "There is no such room."
NOT_ALLOWED: Final = "This request does not come from the page itself. Open the page and send the form again."
TOO_LARGE: Final = "That is too large. The page takes at most {megabytes} MB at once."
WRONG_HOST: Final = "The page does not answer under this name. Use the address that knockon printed."
FAULT: Final = "This is a fault of knockon itself. The terminal that started the page shows more."

# The command.
SERVING: Final = "The page is at {address}\nEnd it with Ctrl-C."
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
