"""What the time limit left undecided, and what is shown meanwhile."""

from typing import Final

NO_PLAN_YET: Final = "NOT DECIDED: no plan was found within the time limit, and none is ruled out."
LONGER: Final = "Ask again with a longer --time-limit."
HEADING: Final = "Not decided in time"
BEST_FOUND: Final = "This is the best that was found in the time. A better one may exist."
LEFT: Final = {
    "plan": "Whether there is a plan",
    "why none": "The reason why there is no plan",
    "forced": "Whether each change is forced or only chosen",
    "reason": "The reasons for forced changes",
    "keeping": "The cost of keeping the old part",
    "rests on": "The unknown sizes that would let the old part stay",
    "unknowns": "The reason why every plan depends on unknown sizes",
    "openings": "Ways to make a plan possible",
    "given up": "The reason why the arrangement changes",
    "others": "Whether there are other plans",
    "possible": "Whether these or more parts are possible",
    "number": "The number of combinations",
    "less sure": "Whether a part marked ? really depends on more unknown sizes",
}
LEFT_OF: Final = "{left}: {names}."
LEFT_HERE: Final = "{left}."
STEPS: Final = {
    "records": "reading the records",
    "judging": "judging parts against each other",
    "grounding": "preparing the search",
    "best plan": "searching for the best plan",
    "may stay": "searching for what may stay",
    "reasons": "finding reasons",
    "opening": "searching for what would help",
    "other plans": "searching for other plans",
    "plans": "planning suggested swaps",
    "counting": "counting combinations",
}
