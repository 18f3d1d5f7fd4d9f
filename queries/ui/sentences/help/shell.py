"""What the help says of the program as a whole, and of the options that all commands have."""

from typing import Final

PROGRAM: Final = """Which parts go together, and what a swap forces and why. Words: knockon words, or docs/words.md.

Without --records, knockon asks the demo world, which is invented. "Fits" means that dimensions agree. It never means
safe."""
RECORDS: Final = "Folder of record tables. Without it: the demo world."
SERVER: Final = "Ask the records of this SPARQL 1.1 server instead. Nothing is sent to any other server."
JSON: Final = "Print one JSON document (schemas: docs/answers/) and nothing else."
WITHOUT: Final = "Leave out what this source or merged club says. May be repeated."
NO_PAGER: Final = "Write a long answer straight to the terminal."
COMMON: Final = "Options of all commands, such as --records and --json: knockon --help"

COMMANDS: Final = {
    "swap": "What a swap forces on a vehicle, and why.",
    "needs": "What a part for one position must be, and which parts are.",
    "fits": "Do these parts go together?",
    "partners": "All parts that meet a part, by verdict.",
    "part": "All that is recorded of a part.",
    "tell-apart": "How two parts differ, and what each difference does.",
    "identify": "Which part is this? From what you read on it.",
    "vehicle": "Which vehicle is this?",
    "list": "List what the records hold of one sort.",
    "combinations": "Which parts go together around given ones.",
    "kit": "What a kit lacks for a swap.",
    "order": "What to buy where: the cheapest order, the fewest parcels, the safest.",
    "goods-in": "What to check when the parcels come.",
    "job-card": "Every step of a swap, in order, to tick.",
    "record": "What was built: as found, as built, who checked.",
    "overview": "Vehicles with their dangers, and plans in work.",
    "page": "The answers as a page in your browser.",
    "shortlist": "Records with only the parts that one swap may use.",
    "new": "Begin with a vehicle of your own.",
    "check": "Are the records in order?",
    "note": "Notes of members: add one, list them, withdraw one.",
    "export": "Write all statements to a file, as RDF or as tables.",
    "import": "Import a sheet, with column names of its own.",
    "quarantine": "Which rows of imported sheets wait, and why.",
    "merge": "Import what another club shared.",
    "share": "Write your records and notes to a file for others.",
    "ask": "Run a query: a ready-made one, or SPARQL.",
    "disputes": "What contradicts what, and what would settle it.",
    "measure": "Which readings decide a plan.",
    "measured": "Write down what you read on a vehicle.",
    "changed": "Which answers differ from those of older records.",
    "upgrade": "Bring records of an earlier version up to date.",
    "words": "What the words of answers mean.",
    "calculate": "The workshop's arithmetic, with its sources.",
}

EXIT_STATUS: Final = """\b
Exit status:
  0  answered: yes, complete, or found
     fits: fits, or fits with work
     swap: a plan, even with sizes still to measure
     needs: a part can meet what the plan asks, and all of that is known
     combinations: some parts go together
     kit: nothing missing, short, unproven or wrong
     order: an order that supplies every line
     goods-in: everything that was ordered is accepted
     job-card: a plan, and a step for every change
     record: the job card is closed
     check: nothing skipped
     upgrade: up to date, or brought up to date
     measure: readings decide the plan
     measured: the reading is written
     calculate: it holds for every size in the ranges given
     part, partners, list: something is shown
     overview: there is a vehicle
     page: it was served until you ended it
     tell-apart: something recorded tells the two apart
     identify: some number agrees with all that you read
     vehicle: exactly one vehicle as made agrees
  1  answered: no, incomplete, or not found
  2  not answered: the question or the records are wrong, or it could not run"""

ASK: Final = """Run QUERY: the name of a ready-made query, or a file with a SPARQL 1.1 query.

The query may be SELECT, ASK, CONSTRUCT or DESCRIBE. Without QUERY, the ready-made ones are listed.

All named graphs together are the default graph, and GRAPH asks single sources. Sizes are also there as numbers
(kn:Size with kn:low, kn:high, kn:unit). SERVICE, LOAD and updates are refused.

With --server, the query runs on that server, over all its named graphs. Fill the server with what
`knockon export --for-queries` writes.

Exit status 1 if the answer is empty or no."""
ASK_WITH: Final = "A parameter of a ready-made query. May be repeated."
ASK_FORMAT: Final = "How the answer is printed."
ASK_SECONDS: Final = "Time after which the query is stopped."

PAGE: Final = """# Commands

Made from the command line itself by `python -m knockon.queries.ui.published docs`. A test keeps it fresh.

```
knockon [--records DIR] [--json] COMMAND ...
```

With `--json` the standard output holds one JSON document and nothing else. The same records and question give the same
bytes. [json.md](json.md) explains how to read it: each check stands once, and the rest refers to it. Its shape is
published in [answers/](answers/), one JSON Schema for each answer.

Text fits 100 columns, and a narrower terminal. It is coloured only on a terminal (`NO_COLOR` is respected), and reads
the same without colour. Where the output cannot encode a sign, plain letters replace it.
"""
PAGE_STATUS: Final = "## Exit status\n"
PAGE_COMMON: Final = """
## Options of all commands

They stand before the command or after it. Without `--records`, knockon asks the demo world, which is invented. The
first line of an answer names the records. What was skipped while reading is said on the standard error output.
"""
PAGE_TABLE: Final = "| option | what it says |"
SCHEMA_TITLE: Final = "the answer of knockon {command}"
REPEATED: Final = "May be repeated."
DEFAULT: Final = "Without it {value}."
