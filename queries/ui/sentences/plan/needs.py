"""What a part for one position has to be, and which recorded parts are that."""

from typing import Final

TITLE: Final = "{places}, for {vehicle}. You asked: {asked}."
MEET: Final = "{parts} meet all of this by their sizes."
MEETS: Final = "{parts} meets all of this by its sizes."
MEET_UNPROVEN: Final = "The evidence is too weak for {checks}, so measure before you trust it."
MEASURE_FIRST: Final = "NOT KNOWN YET: no recorded part is sure to meet all of this. Measure {parts} first."
ASK_FIRST: Final = (
    "NOT KNOWN YET: no recorded part is sure to meet all of this. Ask which patterns {part} is made for: nobody can "
    "measure that."
)
SETTLE_FIRST: Final = (
    "NOT KNOWN YET: no recorded part is sure to meet all of this. Find out first what is not known below."
)
FIND: Final = "No recorded part meets this. Look for one that does: to write to a seller, add --message."
NO_PART_CAN: Final = "NO: no part can meet all of this, because its neighbours rule it out."
NOT_NEEDED: Final = "Nothing is needed here: the plan leaves {places} empty with its arrangement."
NO_PLAN: Final = "NO PLAN: no set of known parts meets this request, also not with another part here."
NO_PLAN_YET: Final = "NOT KNOWN YET: no plan was found in the time."
SIZES_OF: Final = "{part} ({sizes})"
MORE_PARTS: Final = "{parts} and {more} more"

THE_PLAN: Final = {
    "keeps": "The plan keeps {part} at {places}.",
    "fits": "The plan fits {part} at {places}.",
    "leaves empty": "The plan leaves {places} empty.",
    "empties": "The plan takes away what is at {places}, and leaves it empty.",
    "needs one yet to be found": "The plan needs a part at {places} that nobody has recorded.",
    "keeps something not recorded": "The plan keeps what is at {places}. Nobody recorded what it is.",
}
OF_SET: Final = "It is part of a set. The others of that set are taken to stay beside it."
ONE_SIDE: Final = "Both sides take the same part, or its mirror image. To ask for both, leave out the side."
OPENS: Final = "Known parts alone give no plan. With a part like this there is one."

MUST_BE: Final = "What it must be"
WINDOWS: Final = "{feature}: {sizes}."
SIZE: Final = "{dimension} {size}"
BETTER_ONLY: Final = "{dimension} if possible {size}"
ALLOWED: Final = "{dimension} {size} and if possible {better}"
HAND: Final = "{hand} hand"
ASSUMED_HAND: Final = "{hand} hand (usual)"
ANY: Final = "any"
FEATURE_THERE: Final = "{feature}: it must be there."
MUST_HAVE: Final = "{feature}: it must be there, because the plan leaves the {position} empty."
MUST_LACK: Final = "{feature}: it must not be there, because the plan has the {position}."
SUMS: Final = "{check}: {value} must be {limits}."
NOT_KNOWN_BESIDE: Final = "What is not known beside it"
LACKING: Final = "Not recorded: {sizes}. So nobody can say what {checks} needs here."
ABSENT_BESIDE: Final = "{parts} has no {feature}, so no part can be fitted there ({check})."
CONTESTED_BESIDE: Final = "Sources contradict each other on the {feature} of {parts} ({check})."
NO_BESIDE: Final = "{parts} rules out every part here ({check}, {condition})."
WITH_THE_PLAN: Final = "Checked with the whole plan"
WHOLE_PLAN: Final = "{check}: {value}."
WHO_SETS: Final = "Who sets each limit"

RECORDED: Final = "Recorded parts by their sizes"
GROUPS: Final = {
    "meets": "Meets it",
    "may meet": "May meet it",
    "nearly": "Misses one limit",
}
PART: Final = "{part}{more}."
ON_VEHICLES: Final = ", on {vehicles}"
LACKS: Final = ", not recorded: {sizes}"
OPEN: Final = ", not sure: {checks}"
MISS_UNDER: Final = "{part}: {sizes} is {size} too small ({check})"
MISS_OVER: Final = "{part}: {sizes} is {size} too large ({check})"
MISS_CODE: Final = "{part}: {sizes} is another ({check})"
MISS_SUM_UNDER: Final = "{part}: {check} is {size} short ({sizes})"
MISS_SUM_OVER: Final = "{part}: {check} is {size} over ({sizes})"
NOT_ACCEPTED: Final = "{part}. Do not use it: {why}."
AS_SET: Final = " (sold as a set)"
AS_MIRROR: Final = " (other hand {mirror})"
OTHERS: Final = "{parts} {do} not meet it, and not by one limit only."
NO_PARTS: Final = "No part of this type is recorded."
MORE_OF_THEM: Final = "{number} more: add --others."
CHECKS_OF: Final = "{part}, {outcome}"
VERDICT: Final = "{check}, {places}: {verdict}{lacks}."
LISTED_FOR: Final = "Claimed, not by sizes"
CLAIMED: Final = "{part}: {claims}. By its sizes it {outcome}."
CLAIM: Final = "{claim} {about} ({source}, {standing})"
CLAIM_OF: Final = "{part} {claim} {about} ({source}, {standing})"
OUTCOMES: Final = {
    "meets": "meets it",
    "may meet": "may meet it",
    "nearly": "misses one limit",
    "no": "does not meet it",
}

LOOKING_FOR: Final = "I am looking for {part}, {pieces}."
PIECES: Final = "{number} pieces"
ONE_PIECE: Final = "1 piece"
FOR_SIDES: Final = "{pieces} for {sides}"
SIDES: Final = {1: "the {side} side", 2: "the left and the right side"}
SIZES_MATTER: Final = "These sizes matter:"
GO_BESIDE: Final = "It has to go with these parts, of which I lack sizes:"
BESIDE: Final = "{part} ({checks})"
RIGHT_IF: Final = "These sums of its sizes matter too:"
SEND_SIZES: Final = "Please send me these sizes of your part, as you measured them, and say with what."
SAY_UNKNOWN: Final = "If a size is not known, please say so."
NOTHING_TO_ASK: Final = "There is nothing to ask a seller for."
