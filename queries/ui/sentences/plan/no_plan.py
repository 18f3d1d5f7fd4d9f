"""Why there is no plan, what would help, and what a missing part must be."""

from typing import Final

NO_PLAN: Final = "NO PLAN: no set of known parts meets this request."
WHY: Final = "Why"
ALL_NEEDED: Final = "Together these rule it out, and each is needed for that. Other checks may stand in the way too."
MEMBERS: Final = "What members found"
RULES: Final = {
    "axle rule": "the left and the right part must be the same, or mirror images",
    "arrangement": "one arrangement must be complete, and parts of two cannot be mixed",
    "unknown not allowed": "a part of unknown size does not count as one that fits",
}
BOTH_KEPT: Final = "you keep the {place} {part} and the {other_place} {other}, but {rule}"
LINK: Final = "{check}: {reason}"
OF_PARTS: Final = "{check} ({parts}): {reason}"
BETWEEN: Final = "{part} with {other}"
NOT_KNOWN: Final = "{between} is not known"
NOT_KNOWN_MEASURE: Final = "{between} is not known, measure {sizes}"
MORE_REASONS: Final = "{reason} ({more} in its own answer)"
NO_PART: Final = "no known part meets the request"

NOT_KNOWN_YET: Final = "Why not known yet"
ON_KNOWN_SIZES: Final = "On known sizes and claims alone there is no plan:"

GIVEN_UP: Final = "The plan leaves the {arrangement} arrangement, though you did not ask for that."
NOTHING_KEEPS: Final = "No plan keeps it, because:"
KEEPING_COSTS: Final = "A plan that keeps it: {costs}."
CLOSED_BY: Final = "These rule that out on what is known:"

HELPS: Final = "What would help"
MEET_WISH: Final = (
    "find a part that meets {wishes}. None is recorded, and a size that is not recorded never meets a wish"
)
MEET_WISHES: Final = (
    "find a part that meets {wishes} together. None is recorded, and a size that is not recorded never meets a wish"
)
DROP: Final = "drop {options}: then there is a plan"
DROP_NOT_KNOWN: Final = "drop {options}: then there is a plan, with {checks} not known"
OTHER_PARTS: Final = "use other parts than {parts} for {check}"
OTHER_PARTS_NOW: Final = "use other parts than {parts} for {check}, which is {missed} now"
AGREES_WITH: Final = "find {part} that agrees with {others}"
THE_PART: Final = "the {position} {number}"
WHAT_IS_THERE: Final = "what is there"
WITH_SIZES: Final = "{part} ({sizes})"
AT_CHECK: Final = "{part} at {check}"
ANOTHER_PART: Final = "A suitable new part here would give a plan: {places}. To see what it must be, add --full."
OR_THERE: Final = "{places}, or {others}"

PARTS_TO_FIND: Final = "Parts to find"
NONE_RECORDED: Final = "No part of these types is recorded. Do not order before you find a part that meets this:"
MISSING_PART: Final = "The missing part"
ANY_OF_THESE: Final = "Each of these alone gives a plan (all were tried):"
TOGETHER: Final = "These together give a plan:"
NEEDS: Final = "{places}: {part_type}. It needs {features}."
FEATURES: Final = "{count}: {names}"
NO_FEATURE: Final = "no feature"
IMPOSSIBLE: Final = "No part can meet all of this, because its neighbours contradict each other."
DIMENSION: Final = "{feature}, {dimension}"
WINDOW: Final = "{name}: {size}{better}, {by}."
BETTER: Final = " (better, not required)"
NOT_BOTH: Final = "No size meets both limits."
NOT_SURE: Final = (
    "The size beside it is not known well enough, so no size is sure to agree. Within these limits a part may agree."
)
LEAST_AND_MOST: Final = "at least {low} and at most {high}"
AT_LEAST: Final = "at least {size}"
AT_MOST: Final = "at most {size}"
WITHIN: Final = "within {size}"
ANY_SIZE: Final = "any"
BOTH_ENDS: Final = "the lower limit {low}, the upper limit {high}"
AS_ASKED: Final = "as you asked"
BY_CHECK: Final = "because of {check}"
BY_CONDITION: Final = "because of {check}, {condition}"
BY_SOURCE: Final = "{by} [{sources}]"
BY_PARTS: Final = "{by} ({parts})"
STATED: Final = "{check}. The sum {value} must be {limits}{beside}."
STATED_CONDITION: Final = "{check}, {condition}"
STATED_SUM: Final = "{check}. {value} counts. The sum{beside} must be {limits}."
STATED_FORMULA: Final = "{check}. {value} counts. The result of the formula{beside} must be {limits}."
NOT_RECORDED_BESIDE: Final = "A size beside it is not recorded, so its limits are not known."
AS_THE_RULE: Final = "as the rule needs"
WITH_PARTS: Final = " with {parts}"
WITH_SIZES_OF: Final = "{beside} ({sizes})"
SIZE_OF: Final = "{dimension} {size}"
