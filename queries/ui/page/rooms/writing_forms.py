"""Forms that write and belong to a room, whatever its answer is."""

from __future__ import annotations

from knockon.graph.notes.write import OUTCOMES
from knockon.queries.ui.page.pieces import Button, Field, Form
from knockon.queries.ui.page.rooms.measure import AS_READ_FIELD
from knockon.queries.ui.sentences import page as say

BY = Field("by", say.BY, hint=say.BY_HINT)
KEEP = Form(
    "keep",
    (Field("plan", say.PLAN_NAME, hint=say.PLAN_HINT), BY),
    (Button(say.KEEP_IT),),
    do="keep",
    title=say.KEEP_TITLE,
)
NOTE = Form(
    "note-add",
    (
        Field("text", say.NOTE_TEXT, "area", hint=say.NOTE_TEXT_HINT, required=True),
        Field("outcome", say.NOTE_OUTCOME, "choice", choices=tuple(OUTCOMES), required=True),
        Field("part", say.NOTE_PARTS, "area", hint=say.ONE_A_LINE, many=True),
        Field("vehicle", say.NOTE_VEHICLE),
        Field("joint", say.NOTE_JOINT),
        Field("work-done", say.NOTE_WORK, hint=say.NOTE_WORK_HINT),
        Field("condition", say.NOTE_CONDITION),
        Field("size", say.NOTE_SIZES, "area", hint=say.NOTE_SIZES_HINT, many=True),
        Field("date", say.NOTE_DATE),
        Field("evidence", say.NOTE_EVIDENCE),
        Field("photo", say.NOTE_PHOTOS, "file", hint=say.NOTE_PHOTOS_HINT, many=True),
        Field("member", say.BY, hint=say.BY_HINT),
        AS_READ_FIELD,
    ),
    (Button(say.NOTE_WRITE),),
    do="note-add",
    title=say.NOTE_TITLE,
)
WITHDRAW = Form(
    "note-withdraw",
    (
        Field("name", say.NOTE_NAME),
        Field("member", say.BY, hint=say.BY_HINT),
        Field("why", say.WHY),
    ),
    (Button(say.NOTE_WITHDRAW),),
    do="note-withdraw",
    title=say.NOTE_WITHDRAW,
)
READING = Form(
    "measured",
    (
        Field("what", say.WHAT_READ, hint=say.WHAT_READ_HINT),
        Field("value", say.READING, big=True),
        Field("tool", say.TOOL_USED, hint=say.TOOL_HINT),
        BY,
    ),
    (Button(say.WRITE_IT),),
    do="measured",
    title=say.READING_TITLE,
)
TAKE_BACK = Form(
    "withdraw-reading",
    (Field("what", say.WHAT_READ, hint=say.WHAT_READ_HINT), BY),
    (Button(say.WITHDRAW_THIS),),
    do="withdraw-reading",
    title=say.WITHDRAW_TITLE,
)
ACCEPT = Form(
    "accept-row",
    (Field("accept", say.ACCEPT_ROW, hint=say.ACCEPT_ROW_HINT),),
    (Button(say.ACCEPT_IT),),
    do="accept-row",
    title=say.ACCEPT_TITLE,
)
FROM_NOW = Form("from-now", (BY,), (Button(say.FROM_NOW),), do="from-now", title=say.FROM_NOW_TITLE)
SHARE = Form(
    "share",
    (
        Field("club", say.CLUB, hint=say.CLUB_HINT, required=True),
        Field("title", say.CLUB_TITLE),
        Field("member", say.BY, hint=say.BY_HINT),
        Field("licence", say.LICENCE),
    ),
    (Button(say.SHARE_IT),),
    address="/club/shared.trig",
    title=say.SHARE_TITLE,
)
MERGE = Form(
    "merge",
    (
        Field("file", say.CLUB_FILE, "file", hint=say.CLUB_FILE_HINT),
        Field("club", say.CLUB, hint=say.CLUB_OF_FILE),
        Field("date", say.CLUB_DATE),
    ),
    (Button(say.MERGE_TRY, "dry-run", "on"), Button(say.MERGE_IT)),
    do="merge",
    title=say.MERGE_TITLE,
)
REMOVE = Form(
    "merge-remove", (Field("remove", say.CLUB),), (Button(say.REMOVE_IT),), do="merge-remove", title=say.REMOVE_TITLE
)
FORMS: dict[str, tuple[Form, ...]] = {
    "changed-of-plan": (FROM_NOW,),
    "club": (SHARE, MERGE, REMOVE),
    "swap": (KEEP,),
    "note-list": (NOTE, WITHDRAW),
    "vehicle": (READING, TAKE_BACK),
    "quarantine": (ACCEPT,),
}
