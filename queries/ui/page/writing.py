"""What may be written where: a form's fields are the options of the command that writes. Nothing else is taken.

A room's ``do`` names the writing. Files that are sent are kept in a folder of the page's own while the command runs;
the command gets the name that they have there, and no name from outside.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import msgspec

from knockon.queries.ui.page.addresses import ON, REQUEST


class Writing(msgspec.Struct, frozen=True):
    """A ``command`` with words that it always has (``always``); ``places`` of the address and ``fields`` of the form as
    arguments, in their order; ``options`` with a value from the form, ``flags`` without one; ``named`` are options from
    the address. ``chosen``: a field whose value names the option that takes another field (which is a table: value,
    option). ``asked``: also what the address asks. ``files``: fields with files, each an option or, without one, an
    argument. ``then``: where it goes on, blank for the room itself."""

    do: str
    room: str
    command: tuple[str, ...]
    places: tuple[str, ...] = ()
    fields: tuple[str, ...] = ()
    options: tuple[str, ...] = ()
    flags: tuple[str, ...] = ()
    named: tuple[tuple[str, str], ...] = ()
    renamed: tuple[tuple[str, str], ...] = ()
    chosen: tuple[str, str, tuple[str, ...]] | None = None
    always: tuple[str, ...] = ()
    asked: bool = False
    files: tuple[tuple[str, str], ...] = ()
    then: str = ""


PLAN = (("plan", "plan"),)
READ_AT = ("/swap/{vehicle}/measure", "/vehicle/{vehicle}")
JOB, GOODS, ORDER = "/plan/{plan}/job", "/plan/{plan}/goods-in", "/plan/{plan}/order"
NOTED = ("member", "text", "outcome", "part", "vehicle", "condition", "date", "evidence", "joint", "work-done", "size",
         "licence")  # fmt: skip

WRITINGS = (
    *(Writing("measured", room, ("measured",), ("vehicle",), ("what", "value"), ("tool", "by"), ("as-read", "correct"))
      for room in READ_AT),
    *(Writing("withdraw-reading", room, ("measured",), ("vehicle",), ("what",), ("by",), always=("--withdraw",))
      for room in READ_AT),
    Writing("keep", "/swap/{vehicle}", ("job-card",), ("vehicle",), (), ("plan", "by"), asked=True,
            then="/plan/{plan}"),
    Writing("tick", JOB, ("job-card",), (), (), ("read", "by"), named=PLAN, renamed=(("step", "tick"),)),
    Writing("take-back", JOB, ("job-card",), (), (), ("by",), named=PLAN, renamed=(("step", "take-back"),)),
    Writing("close", JOB, ("job-card",), (), (), ("by", "checked-by"), named=PLAN, always=("--close",)),
    Writing("goods", GOODS, ("goods-in",), (), (), ("from", "quantity", "reading", "why", "by"), named=PLAN,
            chosen=("verdict", "part", ("accept", "reject", "ask"))),
    Writing("place", ORDER, ("order",), (), (), ("place", "by"), named=PLAN),
    Writing("write", "/plan/{plan}/record", ("record",), (), (), ("by",), named=PLAN, always=("--write",)),
    Writing("note", "/plan/{plan}/record", ("record",), (), (), ("by",), named=PLAN, always=("--note",)),
    Writing("note-add", "/notes", ("note", "add"), (), (), NOTED, ("as-read",), files=(("photo", "photo"),)),
    Writing("note-withdraw", "/notes", ("note", "withdraw"), (), ("name",), ("member", "why")),
    Writing("from-now", "/plan/{plan}/changed", ("changed",), (), (), ("by",), named=PLAN, always=("--from-now",)),
    Writing("merge", "/club", ("merge",), (), (), ("club", "date"), ("keep-old", "dry-run"), files=(("file", ""),)),
    Writing("merge-remove", "/club", ("merge",), (), (), ("remove",)),
    Writing("accept-row", "/sheets/quarantine", ("quarantine",), (), (), ("accept",)),
)  # fmt: skip
BY_DO = {(one.room, one.do): one for one in WRITINGS}


def words_to_write(
    one: Writing, places: Mapping[str, str], form: Mapping[str, Sequence[str]], files: Mapping[str, Sequence[str]]
) -> list[str]:
    """The words of the command; no value of a form can pass for an option."""
    words = [*one.command, *one.always]
    words += [f"--{option}={places[place]}" for option, place in one.named]
    options = [*((name, name) for name in one.options), *one.renamed, *((n, n) for n in REQUEST if one.asked)]
    words += [f"--{option}={v.strip()}" for name, option in options for v in form.get(name, ()) if v.strip()]
    words += [f"--{name}" for name in one.flags if ON in form.get(name, ())]
    if one.chosen is not None:
        field, value, allowed = one.chosen
        option = next(iter(form.get(field, ())), "")
        words += [f"--{option}={v}" for v in form.get(value, ()) if option in allowed]
    words += [f"--{option}={path}" for name, option in one.files if option for path in files.get(name, ())]
    arguments = [places[name] for name in one.places]
    arguments += [v.strip() for name in one.fields for v in form.get(name, ())[:1]]
    arguments += [path for name, option in one.files if not option for path in files.get(name, ())]
    return [*words, "--", *arguments] if arguments else words
