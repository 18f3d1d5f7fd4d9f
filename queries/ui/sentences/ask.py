"""What is said about queries."""

from typing import Final

CONTRADICT: Final = "--json and --format csv contradict each other: give one of them"
NO_PARAMETER: Final = "{name!r}: enter a parameter as NAME=VALUE"
GIVEN_TWICE: Final = "{name} is given {times} times: give it once"
FROM_A_FILE: Final = "SPARQL is read from a file. Write it into query.rq, and type: knockon ask query.rq"
NOT_READ: Final = "{path}: cannot be read ({why})"
NOT_TEXT: Final = "{path}: not a text in UTF-8"
WITHOUT_IT: Final = " Without it: {default}."
PARAMETER: Final = "--with {name}=... ({sort}): {says}{default}"
NOTHING: Final = "Nothing was found."
ROWS: Final = "{rows}."
CUT: Final = "There are more rows: the answer was cut off here."
