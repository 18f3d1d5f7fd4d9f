"""What the JSON Schemas of the answers say of references, rows and keys that are left out."""

DEFAULTS = (
    "A missing key has the default that is named here. The keys of the document and of `result` are always there. "
    "A row may be short: the values missing at its end have their defaults too."
)
BY_NAME = "A reference: the name of an entry of `{table}`."
BY_NUMBER = "A reference: the number of an entry of `{table}`, from 0."
COLUMNS = "The names of the columns of all rows, by what the rows are of."
ENTRIES = "Each entry stands here once, as a row. `columns.{table}` names its columns."
ROW = "A row. `columns.{row}` names its columns."
VERSION = "The version of this form. docs/changes.md lists what changed with each."
