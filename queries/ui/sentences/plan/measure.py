"""What to measure first, what stays hidden, what is unproven, and what was found on the vehicle."""

from typing import Final

MEASURE_FIRST: Final = "Measure before you order"
RECORD: Final = (
    "Record what is at {places}, with its number if it has one. Nothing is recorded there, and it meets what changes."
)
AS_RECORDED: Final = "Check that the old parts are as recorded:"
HOW: Final = "How:"
LOOK_FOR: Final = "look for {features}"
SIZE: Final = "{places}, {what}."
EXPECT: Final = "Expect {sizes}."
EXPECT_NONE: Final = "none there (known absent)"
DECIDES: Final = "Decides: {groups}."
BY: Final = "How: {methods}."
SUBJECT: Final = "{feature}: {dimensions}"

TYPE: Final = "Type: {command}"
TURNS: Final = "The plan turns at {values}."
TURNS_NAMED: Final = "{of}:"
HOLDS: Final = "{value} (there it still holds)"
TURNED: Final = "{value}"
THEN: Final = "Then: {then}."
THEN_PLACE: Final = "{number} at {place}"
THEN_WORK: Final = "{number} at {place} after work ({work})"
THEN_NO_WORK: Final = "{number} at {place} without work"
THEN_EMPTY: Final = "nothing at {place}"
THEN_NONE: Final = "no plan"
NEVER: Final = "No usual value turns the plan."
KEEPS: Final = "Values that keep the plan: {values}."
KEEPS_NONE: Final = "No recorded value keeps the plan."
AT_ONCE: Final = "Even as expected, the plan turns within the ± of that tool. Use a finer one."
VERDICT_AT: Final = "At {value}: {checks}."
BECOMES: Final = "{check} {verdict}"
NOT_WORKED_OUT: Final = "Its turning value is not worked out, because {why}."
WHY_NOT: Final = {
    "nothing usual": "no such size is recorded anywhere",
    "too many combinations": "too many parts could stand beside it",
    "no time": "the time was up",
}
BETWEEN: Final = "Nothing is expected. Readings that keep the plan: {ranges}."
BETWEEN_NONE: Final = "Nothing is expected. No usual reading keeps the plan."
RANGE: Final = "{low} to {high} {unit}"
PRICE_AT: Final = "At {value} another plan is as good, and cheaper by {saves}: {then}."
SHORT_TURNS: Final = "The plan turns {values}."
SHORT_TURNS_OF: Final = "The plan turns with {values}."
SHORT_VALUE_OF: Final = "{of} {values}"
AT: Final = "at {values}"
BEYOND: Final = "beyond {values}"
SHORT_NEVER: Final = "The plan never turns."
SHORT_AT_ONCE: Final = "Use a finer tool."
SHORT_KEEPS: Final = "These keep the plan: {values}."
SHORT_KEEPS_MANY: Final = "{number} known values keep the plan."
SHORT_KEEPS_OTHERS: Final = "Even that turns the plan, other values keep it."
SHORT_KEEPS_ONLY: Final = "Only that keeps the plan."
SHORT_KEEPS_NONE: Final = "None keeps the plan."
SHORT_BETWEEN: Final = "The plan holds at {ranges}."
SHORT_NOT_WORKED_OUT: Final = "Its turning value is not worked out."
SHORT_OF: Final = "{of}: {says}"
ON_DEMAND: Final = (
    "Turning values are left out, because more than {most} things could be fitted ({number}). To see them: {ask}"
)
MORE_PLACES: Final = "{first} and {number} more"

DECIDE: Final = "Measure {readings}. They decide what the plan rests on at the {machine}."
DECIDE_ALL_BUT: Final = "Measure {readings}. They decide all that can be decided at the {machine}."
NOTHING_TO_MEASURE: Final = "Nothing is left to measure at the {machine} for this plan."
NO_PLAN: Final = "There is no plan for this, so nothing decides it."
READINGS: Final = "Readings, {stage}"
USUAL: Final = "Usual: {low} to {high}."
WITH_TOOL: Final = "With: {tool}."
OFF: Final = "{tool}, ±{within} {unit}"
REST: Final = "Turning values of the first {number} readings are shown. For all: --full"
STAYS_OPEN: Final = "Open whatever you measure"
OPEN_CHECK: Final = "{check} ({places}): {why}."
WHY_OPEN: Final = {
    "new part": "the size of the new part is not known well enough",
    "nobody can read it": "a size of the old part cannot be measured",
    "never by sizes": "sizes never decide it",
}

RISKS: Final = "Remaining risks"
HIDDEN: Final = "Hidden until {when}: {places}, {what}."
ASSUMES: Final = "The order assumes {sizes}."
RISK_DECIDES: Final = "It decides {groups}."
CONDITION_UNKNOWN: Final = "The condition of these is not recorded, so the plan assumes that they are sound: {places}."

UNPROVEN: Final = "Unproven checks"
HOW_MANY: Final = "{checks} {are} unproven."
LISTED_ONCE: Final = "A check that is the same on both sides is listed once, so the list has {number}."
OPEN: Final = "{verdict}: {check} ({numbers})."
MEASURE: Final = "Measure {sizes}."
WEAK: Final = "Fits on paper, because the evidence is too weak here: {checks}."
CLAIMED: Final = "Fits on paper, not measured, supported by a claim: {checks}."
CLAIM_ALONE: Final = "Fits on paper, supported by a claim alone, with no size recorded: {checks}."
BY_METHOD: Final = "Cannot be confirmed from sizes: {checks}."

MEMBERS: Final = "What members found"
FOUND: Final = "Found on the {machine}"
READ: Final = "Read on the {machine}: {reading}."
NOT_RECORDED: Final = "A part must be at these positions, but nothing is recorded there: {places}."
AND_MORE_POSITIONS: Final = "{places}, and {number} more"
