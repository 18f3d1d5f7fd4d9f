"""What the help says of fits, part and partners."""

from typing import Final

FITS: Final = """Do these parts go together?

First one page: the verdict, the check that decides with both sizes, and what to measure.
The rest is shown when you ask for it.

Stacks and figures that need more parts are named. Name those parts too, or a vehicle, and they are judged.
With three parts or more, fill every needed position between them, or name it with --empty.
Otherwise the verdict is at best "not known".

With --on all you see each recorded vehicle, as made and as found: the verdict, the position, the check that decides and
what to measure.

Exit status 0 if the verdict is "fits" or "fits with work" and each part has a position, 1 for any other.
With --on all, 0 if that holds on every recorded vehicle that has a position for the parts, and on one at least."""
PARTS: Final = "PART PART [PART...]"
AT: Final = "Judge only this joint, named as the layout names it."
ON: Final = "Judge on this vehicle. Its own parts fill all other positions. With all: on each recorded vehicle."
EMPTY: Final = "Judge with nothing in this position, for example where somebody left out a collar. May be repeated."
FITS_WHY: Final = "Show every check with its sizes. With a check, only that one."
FITS_OTHERS: Final = "Show the checks that are not judged, and the parts that they need."
TOO_FEW: Final = (
    "Name two parts or more, with a blank between them, or one part and --on VEHICLE. For example: knockon fits "
    "ROWAN-201 ROWAN-241"
)
OF_ONE_VEHICLE: Final = "Only --full goes with --on all. To see more of one vehicle, name it: --on VEHICLE."
ONE_JOINT: Final = "--at judges one joint alone. Leave out --empty."

PART: Final = """All that is recorded of a part.

First one page: its sizes in mm and inch, its joints, claims, offers and notes. Sources are shown when you ask for them.

Exit status 0 if there is such a part."""
PART_EVIDENCE: Final = "Show every size with its source and standing, used or not."

PARTNERS: Final = """All parts that meet a part, by verdict.

Joint by joint, parts that go together first.

With --along you follow joints instead, one after the other, and count the parts that none of them rules out.

Exit status 0 if it meets any part, 1 if no layout has a position for it."""
PARTNERS_OTHERS: Final = "Also name the parts that do not fit."
ALONG: Final = "Count the parts that may follow beyond this joint. May be repeated, in the order in which you go."
ALONG_ALONE: Final = "--along counts parts. Leave out --others."
