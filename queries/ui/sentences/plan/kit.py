"""What a kit has and lacks for a swap."""

from typing import Final

TITLE: Final = "{kit}, for {vehicle}. You asked: {asked}."
SOLD_AS: Final = "{kit} ({sold})"
ONE_SIDE: Final = "for one side"
COMPLETE: Final = "COMPLETE: the kit has all that is needed, {groups}."
AS_FAR_AS_READ: Final = "As far as the checks can be read, the kit has all that is needed, {groups}."
NOT_NEEDED: Final = "Nothing is needed: the {machine} has this already."
NOT_COMPLETE: Final = "NOT COMPLETE: the kit has {there} of {groups}."
NOT_PROVEN: Final = "NOT PROVEN: the kit has {groups}, but not all are proven to fit. Measure first."
COUNTED: Final = "{number} {are} {state}"
STATES: Final = {
    "missing": "missing",
    "short": "short",
    "short, perhaps inside": "short or perhaps inside",
    "present, unproven": "there but unproven",
    "present": "there",
}
WRONG_LINES: Final = "{lines} of the kit {are} wrong for this: do not use {them}."
SECOND_KIT: Final = "It is sold for one side. A second one makes up {groups}."

ROW_STATES: Final = {
    "missing": "missing",
    "short": "short",
    "short, perhaps inside": "ask",
    "present, unproven": "measure",
}
STATE: Final = "state"
NEEDED: Final = "needed"
IN_KIT: Final = "in the kit"
GROUP: Final = "group"
NUMBER_AND_NAME: Final = "number and name"
IN_SET: Final = "in set"
LACKS: Final = "What is lacking"
ASK_MEANS: Final = 'Ask: it is short, or perhaps inside "{item}".'
WRONG: Final = "Wrong for this"
WRONG_LINE: Final = "{quantity} {part} ({why})"
OTHER_ASKED: Final = "you asked for another one"
IN_NO_PLAN: Final = "no plan for this request uses it"
CLASHES: Final = "These parts of the kit do not go together: {pairs}."
CLASH: Final = "{first} and {second}"
HAS: Final = "The kit has enough of: {parts}."
NO_MORE: Final = "More than is needed: {parts}."
WHY_SHORT: Final = "{check}: {why}"
NO_FEATURE: Final = "no {feature}"

MISSING: Final = "Missing, {groups}"
SHORT: Final = "Short, {groups}"
PERHAPS: Final = "Ask, {groups}"
UNPROVEN: Final = "Unproven, {groups}"
THERE: Final = "There, {groups}"
WRONG_COUNT: Final = "Wrong, {lines}"
WRONG_PART: Final = "{part} x{quantity}"
REASON: Final = "{check}: {why}."
AT_ODDS: Final = "Not together"
AT_ODDS_TOO: Final = "These parts of the kit do not go together:"
MORE: Final = "More than needed"
OVER: Final = "{part} x{over}"
THERE_GROUP: Final = "{group} ({numbers})"
TO_MEASURE: Final = "What to measure"
PLEASE_MEASURE: Final = "Measure {size}, or ask for it."
SETTLE: Final = "Settle this first: {dispute}."
NOTHING_WRONG: Final = "No part of the kit is wrong for this."
NOTHING_OPEN: Final = "No part of the kit needs measuring for this."
NO_NOTES: Final = "No member's note is about this."
NO_MESSAGE: Final = "There is nothing to ask a seller."
ONE_SIDED: Final = "{quantity} of {part_type}, all for the {hand}: {parts}. A pair is one left and one right."
MEMBERS: Final = "What members found"
MESSAGE: Final = "Message to the seller"
