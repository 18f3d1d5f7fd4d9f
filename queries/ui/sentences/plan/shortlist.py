"""Records with only the parts that one swap may use."""

from typing import Final

NARROWING: Final = "looking for parts that a plan may use"
WRITTEN: Final = "Written: {folder}."
TITLE: Final = "{title}. You asked: {asked}."
KEPT: Final = "{kept} of {parts} can still be used. They are in {folder}."
EQUAL: Final = (
    "{parts} more is equal to one of these and costs no less. {folder}-equal.csv lists it.",
    "{parts} more are equal to one of these and cost no less. {folder}-equal.csv lists them.",
)
REASONS: Final = "A swap asked there has the same plans. Its reasons are sought among these parts only."
NO_PLAN: Final = "NO PLAN: no recorded part is left for {positions}."
POSITIONS: Final = "Parts at each position"
POSITION: Final = "position"
RECORDED: Final = "recorded"
LEFT: Final = "left"
ALL_KEPT: Final = "{number}, not narrowed"
JOINTS: Final = "Joints"
JOINT: Final = "joint"
INTERFACES: Final = "different interfaces"
PAIRS: Final = "pairs"
NOES: Final = "ruled out"
BY: Final = "{first} by {second}"
UNSAID: Final = "Conditions not used"
UNSAID_LINE: Final = "{rule}: {condition}"
UNSAID_WHY: Final = "These conditions are formulas. They rule out no part here. The swap checks them."
MORE: Final = "{positions}: --full."
