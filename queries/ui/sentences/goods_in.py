"""What the goods-in card says: parcels, what to check, readings, texts to the seller."""

from typing import Final

HEAD: Final = "Goods-in for {title}, plan {plan}."
NO_PLAN: Final = "NO PLAN: what was ordered makes no plan any more. The card only counts."
DO_NEXT: Final = "When a parcel comes, open it here: count, look at the hand, measure. Open no sealed bag before that."
ORDER_AGAIN: Final = "Everything came, but something was rejected. Order it again."
TO_BENCH: Final = "Everything that was ordered is accepted. Do the bench checks, then start the job card."
COUNTS: Final = "{accepted} of {ordered} parts accepted, {outstanding} outstanding, {rejected} rejected."
PARCEL: Final = "Parcel from {supplier}"
LINE: Final = "{quantity} {part}."
HAND: Final = "For the {hand}."
SIGN: Final = "How to see it: {sign}"
NO_SIGN: Final = "How to see it is not recorded."
MEASURE: Final = "Measure {sizes}."
MEASURE_TOO: Final = "Measure for {checks}."
MORE_SIZES: Final = "Also {count} more."
MIXED_UP: Final = "Looks like {part}."
MORE_CLOSELY: Final = "{count} more to look at closely."
COUNT_ONLY: Final = "Count: {lines}."
STATE: Final = "Ordered {ordered}, accepted {accepted}, rejected {rejected}."
GOES: Final = "Goes to {places}."
OLD_ONE: Final = "Looks like {part}, which comes off there."
ORDERED_TOO: Final = "Looks like {part}, which was ordered too."
NOT_TOLD_APART: Final = "Nothing that is recorded tells them apart: mark them."
TOLD_APART: Final = "To tell them apart: {differs}."
SIZE: Final = "Measure {name}{tool}: {limits}. For {checks}. The records say {recorded}."
WORD: Final = "Check {name}{tool}: {limits}. For {checks}. The records say {recorded}."
HOW: Final = "How: {how}"
TOGETHER: Final = "Measure together, for {check}: {value}, {limits}."
WITH_TOOL: Final = " with the {tool}"
RECORDED: Final = "{written}"
NOT_RECORDED: Final = "nothing"
AT_LEAST: Final = "at least {size}"
AT_MOST: Final = "at most {size}"
NO_LIMIT: Final = "no limit is recorded"
WAS_READ: Final = "Read: {reading}."
WAS_SAID: Final = "Said: {why}."
BENCH: Final = "Bench checks"
BEFORE_STRIPPING: Final = "These must pass with the new parts in hand, before anything is stripped."
BENCH_CHECK: Final = "{kind}: {check}, with {parts}{limits}"
BENCH_LIMITS: Final = ", {limits}"
MORE_BENCH: Final = "{count} more."
READ: Final = {
    "accept": "{reading}: accept. It lies within the limits, {limits}.",
    "reject": "{reading}: reject. It lies outside the limits, {limits}.",
    "ask": "{reading}: ask. The limits do not decide it, {limits}.",
}
CONTRADICTED: Final = "{reading}: outside the limits, {limits}. Not accepted. Write --reject {part} --why TEXT."
WRITTEN: Final = {
    "accept": "Accepted: {quantity} {part} from {supplier}.",
    "reject": "Rejected: {quantity} {part} from {supplier}. The text to the seller:",
    "ask": "Asked: {quantity} {part} from {supplier}. The text to the seller:",
}
TO_SELLER: Final = "To {supplier}: I cannot use {quantity} of {part} that you sent."
ASK_SELLER: Final = "To {supplier}: I have a question on {quantity} of {part} that you sent."
SELLER_READING: Final = "I read {reading}."
SEND_ANOTHER: Final = "Please tell me how I send it back, and whether you can send a right one."
PLEASE_ANSWER: Final = "Please answer before I fit it."
# the print
TITLE: Final = "Goods-in: {vehicle}"
COUNTED: Final = "{quantity} x {part}"
HOW_TO_USE: Final = """Open each parcel at the bench. Count, look at the hand, measure. Tick a line when it is right.
Open no sealed bag before that: an opened one does not go back.
Write readings on the lines. A reading outside its limits: do not fit the part, ask the seller."""
ACCEPTING: Final = "{ask} --accept {part} --by INITIALS"
REJECTING: Final = "{ask} --reject {part} --why TEXT --by INITIALS"
