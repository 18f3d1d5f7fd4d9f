"""What ``knockon new`` asks and says."""

from typing import Final

# Questions.
READY_MADE: Final = "Ready-made layouts:"
NUMBERED: Final = "  {number}  {name}: {title}"
ASK_LAYOUTS: Final = "Which of these does the vehicle have? Type their numbers, such as 1,2"
CHOICES_OF: Final = "{axle}Choose one of each:"
ONE_CHOICE: Final = "  {choice}: {arrangements}"
ARRANGEMENT: Final = "{arrangement} ({title})"
ASK_CHOICES: Final = "Which does it have? Type {example}"
ASK_VEHICLE: Final = "What do you call the vehicle?"
OR: Final = " or "
AND: Final = ", "

# What is missing where nobody can answer.
LACKS: Final = "nobody can answer here. Give {options}, for instance: {example}"
LAYOUT_OPTION: Final = "--layout NAME"
CHOICE_OPTION: Final = "--choice NAME for {choices}"
VEHICLE_OPTION: Final = "--vehicle NAME"
NO_SERVER: Final = "a new vehicle is written into a folder: leave --server out"
NO_NUMBER: Final = "there is no layout number {number}. Type one of 1 to {most}"

# What was written.
WRITTEN: Final = "{vehicle} is written into {folder}."
ITS_LAYOUT: Final = "Layout {layout!r}: {uses}. It has {arrangements}."
ITS_LAYOUT_PLAIN: Final = "Layout {layout!r}: {uses}."
MAY_CHANGE: Final = """You can plan a change of {choices}. The layout leaves out {left_out}.
Delete a name in the column without of layout_uses.csv if you may change to it."""
TABLES: Final = "Tables: {tables}."
TABLE_ROWS: Final = "{table}.csv ({rows})"
SHEETS: Final = "The measuring sheet has {lines}. To print: {page}. To fill in: {workbook}."
HALF_IS_ENOUGH: Final = "You need not fill in all of it. Half a sheet is useful, and you can import it again later."
MEASURE: Final = "Measure what you can reach, write it into {workbook}, and import that."
PARTS: Final = "List the parts that you could fit in parts.csv, with their sizes, and ask what a change forces."
WISH: Final = "POSITION=PART"
