"""Plans side by side: for each part that meets the wish, what its plan changes, costs and leaves open."""

from typing import Final

SIDE_BY_SIDE: Final = "Side by side, {parts}."
SIDE_BY_SIDE_FOR: Final = "Side by side, {parts} for {arrangements}."
NONE_MEETS: Final = "No {position} that meets this is recorded, so there is nothing to compare."
SEE_WITHOUT: Final = "To see what it must be, ask again without --side-by-side."
NO_PLAN: Final = "NO PLAN: no known {position} meets this request."
ALREADY: Final = "Nothing to order: the {machine} already has {part}."
LEAST: Final = "{part} needs the least work: {costs}."
NOT_KNOWN_YET: Final = "NOT KNOWN YET: every plan depends on checks that are not known. {least}"
PARTS_CHANGE: Final = ("1 part changes", "{number} parts change")
COSTS: Final = "the offers cost {money}"
NOT_OFFERED: Final = "the offers cost {money}, without {lines} that nobody offers"
NOT_KNOWN: Final = "{checks} not known"
WHEELS: Final = {
    "stay": "the wheels stay",
    "stay after work": "the wheels stay after work",
    "change": "the wheels change",
}
NEW_WHEELS: Final = {"stay": "no", "stay after work": "no, after work", "change": "yes"}
LEAST_FIRST: Final = "Least work first"
HEAD: Final = ("changed", "lines", "price", "not offered", "not known", "new wheels", "measure")
ON_THE_VEHICLE: Final = "{part}, on the {machine}"
CHANGED_MEANS: Final = "Changed counts parts that are replaced or new, without those that go in any case."
MEASURE_MEANS: Final = "Measure counts what to measure on the {machine} before you order."
ORDERED_BY: Final = "The order is by {levels}."
UNEQUAL_PRICES: Final = "A price leaves out what nobody offers. Compare prices only where these counts are equal."
NOT_RECORDED: Final = "{part}: no part is recorded for {names}."
NOT_PROVED: Final = "{part}: this is the best plan found in the time. A better one may exist."
WITHOUT_PLAN: Final = "No plan"
WHY_NONE: Final = "{parts}: {reason}."
NOT_ACCEPTED: Final = "{why}. To see its plan, ask for it by its number"
