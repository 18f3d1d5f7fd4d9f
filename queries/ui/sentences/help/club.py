"""What the help says of notes, disputes, and of sharing and merging records."""

from typing import Final

DISPUTES: Final = """Which statements contradict each other, and which sizes to measure next?

First one page: each contradiction with both sides, how it is decided, and the measurement that would settle it.
Below it the sizes to record: first those that open most plans, then those that unlock most answers.

With --why, what depends on each contradiction. That is pairs of parts, figures on vehicles, kits, and plans of swaps.
The swaps are those that the records suggest: each vehicle as found, to each model with another arrangement.

Exit status 1 if sources of equal standing contradict each other."""
WISHES: Final = "How many sizes to record are listed. 0: all."
PLANS: Final = "How many swaps are planned, to see which plans depend on it. 0: none, which is quicker."
DISPUTES_WHY: Final = "Show which answers depend on each contradiction."
DISPUTES_NOTES: Final = "Show the sides in their own words, with their conditions."

NOTE: Final = "Notes of members: add one, list them, withdraw one."
NOTE_ADD: Final = """Write a note: whole or not at all, also beside another writer.

Asks for what a note cannot do without: who, what, and what came of it. If it was made to fit, also what was done."""
MEMBER: Final = "Who says it: initials or member number only. Asked for if not given."
TEXT: Final = "In your own words, kept as written. Asked for if not given."
OUTCOME: Final = "What came of it. Asked for if not given."
PART: Final = "A part number. May be repeated."
VEHICLE: Final = "The vehicle, as found or as made."
CONDITION: Final = "Under what condition: what else was fitted, new or worn."
DATE: Final = "When, as exact or as vague as you know it: 2026-05-03, summer 2013, ?"
PHOTO: Final = (
    "A photograph that shows it (JPEG, PNG, WebP, HEIC). It is kept beside the records, with the place in it, if any. "
    "May be repeated."
)
EVIDENCE: Final = "What shows it: a photograph, a gauge, where it is kept."
JOINT: Final = "The joint, stack or figure that it is about."
WORK_DONE: Final = "What was done to make it fit."
SIZE: Final = (
    "A reading, as 'PART, FEATURE: DIMENSION = VALUE'. Instead of PART, name a place on the vehicle "
    "('left track rod end') or an item. May be repeated."
)
AS_READ: Final = "Write a size as you read it, even far from the usual sizes."
STANDING: Final = (
    "How good its readings are. Without it: on the item, if each names a place or an item. Otherwise worn, or hearsay."
)
NOTE_LICENCE: Final = "Licence of what it states."
NOTE_LIST: Final = """List notes, failures first.

With --full, also their readings, work done, evidence and standing."""
OF_VEHICLE: Final = "Only notes on this vehicle, or on the model that it was made as."
OF_PART: Final = "Only notes on this part, its mirror, or parts of the same drawing."
OF_POSITION: Final = "Only notes on what stands in this position."
OF_OUTCOME: Final = "Only notes with this outcome."
OF_MEMBER: Final = "Only this member's notes."
WITH_WITHDRAWN: Final = "Show withdrawn notes too, last."
NOTE_WITHDRAW: Final = """Withdraw the note NAME.

It stays in the records and no longer counts."""
WHO_WITHDRAWS: Final = "Who withdraws it. Asked for if not given."
WHY_WITHDRAWN: Final = "Why. Kept with the note."

SHARE: Final = """Write your own records and notes to FILE, with who, when and licence.

The file is TriG. FILE - writes to the standard output. The photographs of the notes go into the folder photographs \
beside FILE.

Merged clubs are not passed on, because they share for themselves. With --without, one of your own sources stays out."""
CLUB: Final = "The club's short name: small letters, digits and hyphens."
TITLE: Final = "The club's full name."
SHARED_BY: Final = "Who shares: initials or member number."
LICENCE: Final = "Licence of what is shared, such as CC-BY-4.0."
NO_PHOTOGRAPHS: Final = "Leave the photographs of the notes out, with the places that cameras wrote into them."
SHARED_AT: Final = "When, as 2026-05-03T12:00:00Z. Without it: now."

EXPORT: Final = """Write all statements to FILE: N-Quads, TriG, Turtle or JSON-LD. With --parquet, write tables instead.

FILE - writes to the standard output. With --without, the statements and the row of that source or club stay out.

The same records give the same bytes, so you can compare two exports line by line. Every statement keeps its named
graph. In Turtle, the graph is named beside the statement."""
PARQUET: Final = (
    "Write the catalogue in columns to this folder instead, as Parquet: parts, features, sizes, offers and more. "
    'docs/parquet.md lists the columns. Needs: pip install "knockon[cluster]"'
)
FORMAT: Final = "The format. Without it, FILE's extension decides."
FOR_QUERIES: Final = "Write what `ask` sees, to fill a SPARQL server: sizes as numbers, and the vocabulary too."

MERGE: Final = """Import FILE, shared by another club, or RDF in N-Quads, TriG, Turtle or JSON-LD.

Your own records stay. A newer file of a club replaces its older one, and an older one changes nothing.
So you can merge in any order, any number of times, and get the same records.

Exit status 1 if something contradicts, was skipped or was not imported."""
MERGE_CLUB: Final = "Whose statements those are that stand in no club's graph."
MERGE_DATE: Final = "When it was shared, if the file does not say: 2026-05-03T12:00:00Z."
KEEP_OLD: Final = "Keep what the club said before, beside what it says now."
DRY_RUN: Final = "Say what would change, and write nothing."
REMOVE: Final = "Remove a merged club again."
