"""What is said of parts that are to go together: verdicts, the evidence for them, dangers, what to measure."""

from typing import Final

# Verdicts, each with what to do about it.
MEANING: Final = {
    "fits": "All required sizes agree, on good evidence.",
    "fits with work": "A member made them fit. Do the work that the note describes.",
    "fits on paper": "Measure before you trust it. Nothing contradicts it, but the evidence is too weak here.",
    "not known": "Measure first. A size that decides is not recorded, or not exact enough.",
    "disputed": "Measure it yourself. Sources of equal standing contradict each other, and they decide.",
    "does not fit": "These parts do not go together.",
}
VERDICT: Final = "{verdict}. {meaning}"
DANGER: Final = (
    "YOU CAN PUT THEM TOGETHER, AND THEY FEEL RIGHT. THEY ARE WRONG.",
    "Do not use them. This is worse than parts that do not go on: only this warning stops you.",
)
WARNING: Final = (
    "DO NOT USE THEM TOGETHER.",
    "No size shows whether you can put them together. If you can, only this warning stops you.",
)
INCOMPLETE: Final = "Name the missing part too. A part that is needed between these is left out."
UNREAD: Final = "Mend the records first. A check between these parts cannot be read from them."

# The head of the answer.
ON_VEHICLE: Final = "{parts}, on {vehicle}:"
PARTS: Final = "{parts}:"
NO_PLACE: Final = "{part} has no position {where}. This answer says nothing about it."
NOWHERE_ON: Final = "on {vehicle}"
NOWHERE: Final = "in any layout"
DO_NOT_MEET: Final = "They do not meet: {hint}."
AS_FAR_AS: Final = "This holds for these parts alone. Not judged without more parts: {checks}."
MORE: Final = "{number} more"
EMPTY: Final = "The {position} is judged as empty, but {given} needs it."
COUNTS_ZERO: Final = " It counts as 0 in these checks: {checks}."
LEFT_OUT_ONE: Final = "Left out: the {position}. It is needed here{where}."
LEFT_OUT_MORE: Final = "Left out: {positions}. They are needed here{where}."
NOT_RECORDED_ON: Final = " and not recorded on {vehicle}"
NAME_IT: Final = "Name its part too, or use --empty to judge without it."
NAME_THEM: Final = "Name their parts too, or use --empty to judge without one of them."
THE: Final = "the {name}"

# On all vehicles.
ON_ALL: Final = "{parts}, on each recorded {machine}:"
FITS_EACH: Final = "Fits all {vehicles} that are recorded."
FITS_SOME: Final = "Fits {fits} of {vehicles}."
FITS_NONE: Final = "Fits none of {vehicles}."
FITS_NOWHERE: Final = "Cannot be judged: no position for it on any of {vehicles}."
SO_MANY: Final = "{verdict}: {number}."
DO_NOT_APPLY: Final = "No position: {number}."
NOT_ON: Final = "Do not use on: {vehicles}."
VERDICT_OF: Final = "{verdict} ({number})"
NOT_APPLICABLE: Final = "does not apply"
AS_MADE: Final = "{vehicle} (as made)"
AS_FOUND: Final = "{vehicle} (as found)"
VEHICLES_SAY: Final = "{vehicles}. {says}"
HAVE_NO_PLACE: Final = "no position for {parts}"
OTHER_ARRANGEMENT: Final = "It belongs to {arrangement}, which this {machine} does not have."
STANDS_THERE: Final = "It stands there now."
DANGER_ON: Final = "{lead} {vehicle} as it stands: {checks}."
WRONG_TOO: Final = "Something is wrong as they stand on these too: {vehicles}."
REMARK_ON: Final = "Remark, on {vehicle} as it stands: {checks}."
WRONG_ON: Final = "Wrong on {vehicle} as it stands: {checks}."
DECIDES: Final = "{check} decides, and its sizes are not recorded."
CHECKS_ALIKE: Final = "The same verdict in {checks}."
LEFT_OUT_THERE: Final = "Left out: {positions}. They are needed here and not recorded."
MEASURE_THERE: Final = "Measure on this {vehicle} too: {things}."
MORE_VEHICLES: Final = "{vehicles} more are judged. List with --full."

# Sections.
DECIDING: Final = "Deciding check"
DECIDING_MORE: Final = "Deciding checks"
DECIDING_SOME: Final = "Deciding checks, {shown} of {all}"
ALL_CHECKS: Final = "Checks"
OTHER_CHECKS: Final = "Other checks"
IN_BRIEF: Final = "Other checks, in brief"
NOT_JUDGED: Final = "Not judged, needs more parts"
MEASURE: Final = "Measure this"
MEASURE_SOME: Final = "Measure this, {shown} of {all}"
MEMBERS_FOUND: Final = "What members found"
RESTS_ON: Final = "What it rests on"

# Checks.
CHECK: Final = "{check}: {verdict}"
CHECK_SAYS: Final = "{check}: {verdict}. {says}"
SAYS: Final = "{check}: {says}"
CHECKS_OF_VERDICT: Final = "{verdict}: {checks}."
ON_A_CLAIM: Final = "Not measured, rests on a claim: {checks}."
CONDITION_HEADS: Final = ("condition", "margin")
TERM_HEADS: Final = ("part", "size", "")
SUPPORTING: Final = "{label} (supporting)"
AGREE: Final = "agrees"
NO: Final = "NO"
NOT_RECORDED: Final = "-"
DIMENSION: Final = "{name} {size}"
USUAL: Final = "{code} (usual)"
TOLD: Final = "For information: {numbers}."
NEEDED: Final = "needed: {window}"
NO_SUM: Final = "cannot be worked out, sizes are not recorded"
SUM_NEEDED: Final = "{amount}, {window} needed"
ROOM_LEFT: Final = "{sum}, margin {margin}"
ROOM_LACKING: Final = "{sum}, {margin}"
BY_METHOD: Final = "Cannot be confirmed from sizes. Measure it: {method}"
MEASURE_THESE: Final = "Measure: {sizes}."
SIZES_OF: Final = "{thing}, {feature}"
LEFT_AND_RIGHT: Final = "left and right"
SIZES_AT: Final = "{where}: {dimensions}"
AGREES_ALIKE: Final = "{sizes} on both"
HAS: Final = "{name} has {sizes}"
BOTH_HAVE: Final = "{first} has {its}, {second} has {other}"
IN_PLACE: Final = "the {position} {number}"
HAS_NO: Final = "{thing} has no {feature} ({source})"
GOES_TOGETHER: Final = "They go together, but do not use them"
NOT_TOGETHER: Final = "Do not use them together"
MISSES: Final = "{missed}. It is {amount}, {window} needed"
OVER_BY: Final = "over by {amount}"
SHORT_BY: Final = "short by {amount}"
THEN: Final = "{first}. {then}"
WEAKEST: Final = "weakest evidence: {standing}"

# Assumed numbers.
HOLDS_FOR: Final = "this holds for {ranges}"
ASSUMED: Final = "{name} {range} ({value} is assumed, {standing})"
FROM_TO: Final = "from {low} to {high}"
AND_MORE: Final = "of {low} and more"
AND_LESS: Final = "of {high} and less"

# What a link of a reason says where no pair shows it.
NONE_AGREES: Final = "no known {sought} suits it"
NONE_SUITS: Final = "no known {sought} suits the {given}"
ONLY_SUITS: Final = "{numbers} is the only known {sought} that suits the {given}"
ONLY_SUIT: Final = "{numbers} are the only known {sought} that suit the {given}"
ONLY_KNOWN: Final = "only {numbers} of the known {sought} can be used"

# Sources.
SIZES_FROM: Final = "Sizes from {sources}."
SIZES_FROM_WEAKEST: Final = "Sizes from {sources}. Weakest evidence: {standing}."
NOT_USED: Final = "Also stated, not used: {thing}, {size} ({source})."
NOT_USED_OF_NUMBER: Final = "Also stated of its number, not used: {thing}, {size} ({source})."
SIZE_STATED: Final = "{dimension} {size}"
STATED_BY_SET: Final = "{part} states this check as made. That holds while the set is new and complete."
CLAIM_BY: Final = "Claim: {claims}."
SOLD_AS_SET: Final = "Claim: sold as one set."
CLAIMS: Final = {
    "same as": "{part} is the same as {about}",
    "goes with": "{part} goes with {about}",
    "listed for": "{part} is listed for {about}",
}
BY: Final = "{claim}, by {source}"
LIMITS: Final = "{checks}. Limits: {sources}."

# Dangers.
DANGER_NOW: Final = "{lead} this {machine} as it stands."
NO_NOW: Final = "{lead}, on the {machine} as it stands."
REMARK_NOW: Final = "Remark, on the {machine} as it stands."
REMARK_WITHIN: Final = " It misses its limit by {amount} at most: that is said as a remark ({source})."
NO_SOURCE_OF_ROOM: Final = "no source"
DANGER_AT: Final = "{lead} {check}, {places}: {says}"
INSPECT: Final = " Inspect {features} before you fit anything there."
FEATURE_OF: Final = "the {feature} of the {place}"

# What nobody checks.
NOT_CHECKED_EITHER: Final = "Not checked either: {rows}."
ROW_AT: Final = "{name} ({file})"
ROW_AT_ROW: Final = "{name} ({file}, row {row})"
ROW_NAMED: Final = 'the {kind} "{name}"'
ROW_UNREAD: Final = "{kind} that cannot be read"

# Counts that lead to an option.
NOTES_MORE: Final = "{notes} from members on this. Read with --notes."
OTHERS_MORE: Final = "{checks} not judged, because more parts are needed. List with --others."
KEPT_NOT_MEASURED: Final = "Measure these on {vehicle} too, for only sizes of their numbers are recorded: {things}."
NEEDS: Final = "{checks}. Needs {parts}"
LACKS_SIZES: Final = ". Not recorded: {sizes}"
