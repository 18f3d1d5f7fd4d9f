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
