"""What all commands say alike: whose records, what went wrong, what to type instead, what to type next."""

from typing import Final

NEXT: Final = "next:"
RULES_IN_SHORT: Final = "{rules} All cautions: --full."
RECORDS: Final = "Records: {name}"
DEMO: Final = "the demo world (invented)"
WITHOUT: Final = "{name}, without {left_out}"

# What went wrong.
NO_SUCH_COMMAND: Final = "There is no command {name}. Choose one of these: {names}."
MESSAGE: Final = "knockon: {message}"
NO_SUCH: Final = "no {sort} {name!r} in these records.\nNearest: {nearest}"
SEVERAL_READINGS: Final = "{name!r} can mean {readings}. Write one of them."
A_SORT_OF_PART: Final = """{name!r} names a sort of parts. Enter the number of a part, such as {numbers}.
To see all: knockon list parts --type {part_type!r}"""
NO_NUMBERS: Final = """{name!r} names a sort of parts, and no part of it is recorded. Enter the number of a part.
To see all: knockon list parts"""
NO_SUCH_LIST: Final = "no {sort} {name!r} in these records.\nTo see all: knockon list {things}"
NO_SUCH_NONE: Final = "no {sort} {name!r} in these records."
FOLDER_NEEDED: Final = "this reads or writes a records folder: give --records DIR instead of --server"
CHECK_DEMO: Final = "knockon check"
CHECK_FOLDER: Final = "knockon check --records {folder}"
NAME_A_FILE: Final = "--json writes a document to the standard output: name a FILE instead of -"
NO_FOLDER: Final = "{file}: there is no folder {folder}. Make it first, or name another FILE."
OUTPUT_CLOSED: Final = "the standard output is closed"
NOT_WRITTEN: Final = "the answer could not be written: {why}"
NO_COMMAND_NEAR: Final = "There is no command {name!r}. Nearest: {commands}."
NO_COMMAND: Final = "There is no command {name!r}. There are: {commands}."
OPTIONS_ARE: Final = "Options: {options}."
IN_QUOTES: Final = 'Put a name with blanks in quotation marks ("hub nut=PART"), and leave no blanks beside the sign.'
NO_NAME: Final = "This command takes no name. Leave it out."
A_FOLDER: Final = "To read the records in {folder}, type --records {folder} before the command."
TYPE_IT: Final = "Type {written}: {help}"
LIST_THEM: Final = "To see all: knockon list {things}"
WHOLE_NUMBER: Final = "a whole number"
SEE_HELP: Final = "For help: knockon {command}--help"
COULD_NOT_RUN: Final = "could not run: {why}"
STOPPED: Final = "stopped"
A_FAULT: Final = "this is a fault of knockon itself. Please report it with the lines above."
NOT_SHOWN: Final = "{said}\nThe answer could not be shown: {why}"
NO_NUMBER: Final = "{value!r} is not a number."

# Servers.
NO_URL: Final = "{url!r} is no URL of a SPARQL server: enter http://HOST/PATH or https://HOST/PATH"
NO_PASSWORD: Final = "leave user name and password out of a server's URL, because others can see what you type"
NO_ANSWER: Final = "{url}: no answer within {seconds} s. Try again, or ask for less."
NOT_REACHED: Final = "{url}: the server cannot be reached ({why})"
NOT_PROPER: Final = "{url}: the server did not answer properly ({why})"
ELSEWHERE: Final = "{url}: the server sends elsewhere. Give the URL of that server if you trust it."
REFUSED: Final = "{url}: the server refused with {code} {reason}"
REFUSED_WHY: Final = "{url}: the server refused with {code} {reason} ({said})"
TOO_LARGE: Final = "{url}: the answer is larger than {bytes} bytes. Ask for less."

# What is shown while work takes long.
STEP: Final = "{step}, {seconds} s"
STEP_OF: Final = "{step}, {done} of {whole}"
READING_RECORDS: Final = "reading the records"
