"""What stands on prints and in workbooks to fill in, beside the words of the records."""

from typing import Final

# Every print.
PAGE: Final = "page {page} of {pages}"
CAUTIONS: Final = "Read this first"

# The measuring sheet.
MEASURING_SHEET: Final = "Measuring sheet: {vehicle}"
OF_SIDE: Final = "{side} side"
OF_VEHICLE: Final = "On the vehicle itself"
MADE_OF: Final = "Layout: {layout}"
HOW_TO_FILL: Final = """Begin at the top: the lines stand in the order in which you can reach the sizes.
Leave a line blank if you have not looked. Write "don't know" if you looked and could not tell.
Write "none there" if the part has no such place.
A bare number counts in the unit of its line. Write another unit behind the number.
Write ± behind the reading if your tool is another than the usual one."""
HOW_TO_FILL_WORKBOOK: Final = """Begin at the top: the lines stand in the order in which you can reach the sizes.
Fill in the white cells. A list offers usual answers, and you may type any other.
Leave a line blank if you have not looked. Choose "don't know" or "none there" where that is the answer.
The ± is that of the usual tool. Change it if yours is another."""
WAYS: Final = "Ways to measure"
WAY: Final = "Way {letter}, see page 1."
ONE_OF: Final = "One of {codes}."
FEATURE_SIZE: Final = "{feature}: {size}"
BY_WHOM: Final = "Measured by (initials)"
ON_DATE: Final = "Date"
LINE: Final = "line"
SIZE: Final = "size"
HOW: Final = "how to measure"
READING: Final = "reading"
GIVE_OR_TAKE: Final = "usual tool, ±"
DONT_KNOW: Final = "don't know"
NONE_THERE: Final = "none there"
CHOOSE_OR_TYPE: Final = "Choose from the list, or type."
TYPE_A_NUMBER: Final = "Type a number of {unit}, or choose from the list."
PLUS_MINUS_NUMBER: Final = "Type a number, such as 0.05."
