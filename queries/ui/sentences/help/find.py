"""What the help says of ``list``, ``vehicle``, ``identify`` and ``tell-apart``."""

from typing import Final

LIST: Final = """List what is recorded, one line each.

SORT is one of vehicles, layouts, arrangements, positions, joints, figures, parts, part-types, items, kits,
suppliers, sources, notes. Each WORD must stand in the line, or in what the thing is written as. Ready-made
layouts are listed among the layouts.

Exit status 0 if something is listed, 1 if nothing is.
"""
VEHICLE: Final = """Find out which vehicle this is.

What was found on the vehicle is compared with each vehicle as made of the same layout. You see the best match,
and where to look or measure next. Sizes count more than part numbers. A size that is not recorded never counts
as the same.

Exit status 0 if exactly one vehicle as made agrees with all that was found. Exit status 1 if several do, or
none.
"""
TELL_APART: Final = """Show every difference between two parts, and what it does.

Sizes, features, hand and members of a set are compared. For each joint you see where the two parts have
different verdicts. Sizes that are recorded of one part only, or of neither, are listed separately.

Exit status 0 if something recorded tells the two apart, 1 if not.
"""
IDENTIFY: Final = """Find out which part this is, from what you read on it.

Each READING names a feature or a kind of feature, and what you read there:

\b
  knockon identify "external spline: teeth=25, across=27.41 mm ±0.03 mm"
  knockon identify --type outer-joint "end thread: 3/4 UNF"

Readings under one name are of one feature. The word across means flat jaws over the tips of a spline. The answer
corrects it where the number of teeth is odd. Write what you read, in mm or inches, as a range (25.2..25.4 mm), or
with how far off it may be (±0.03 mm). Write absent where the part lacks the feature. Leave out what you did not
read.

You see the numbers that your readings leave, likeliest first, and the one further measurement that tells most.

Exit status 0 if some number agrees with all that you read, 1 if none does.
"""
WORDS: Final = """Show what the words of answers mean.

Without a WORD you see the whole list. With a WORD you see that word, or all words that contain it.
"""

OF_TYPE: Final = "What the part is, such as outer-joint. Without it, every type that has these features."
TOOL: Final = "What you measured with, where a reading does not say how far off it may be. Default: the usual tool."
DETAILS_OF_IDENTIFY: Final = {
    "evidence": "Show each reading beside what is recorded of each number.",
    "full": "Show all numbers, the evidence, and everything that tells the first two apart.",
}
TYPE: Final = "Show only this part type, or a narrower one."
AT: Final = "Show only what can stand at this position, or is about it."
FROM: Final = "Show only what this source says."
LAYOUT: Final = "Show only this layout. It may be a ready-made one."
WHOLE_VEHICLE: Final = "Show every place, not only those that tell the vehicles apart."
WHOLE_LIST: Final = "Show the whole list."
DETAILS_OF_TELL_APART: Final = {
    "why": "Show which difference changes the verdict at each joint.",
    "evidence": "Show the sizes that are recorded of one part only, or of neither.",
}
