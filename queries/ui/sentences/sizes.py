"""What is said of sizes: ranges, what a size lacks, what a check allows."""

from typing import Final

BETWEEN: Final = "{low} to {high} mm ({inches} in)"
AT_LEAST: Final = "at least {size}"
AT_MOST: Final = "at most {size}"
UP_TO: Final = "up to {size}"
NOT_KNOWN: Final = "not known"
WRITTEN_AS: Final = "not known (written {written})"
AS_WRITTEN: Final = "{size}, written {written}"
TO_THE_INCH: Final = ", {threads} to the inch"
DIFFER_BY: Final = "they differ by {size}"
EQUAL: Final = "equal"
EQUAL_WITHIN: Final = "equal, within {size}"
OVER_BY: Final = "over by {size}"
SHORT_BY: Final = "short by {size}"
