"""What the help says of ``swap``, ``kit`` and ``combinations``."""

from typing import Final

SWAP: Final = """Show what a swap forces on a vehicle, and why.

The first page shows dangers on the vehicle as it stands, and whether the swap can be done. Then it shows the
order list, what to measure first, and the cost. In the order list each line stands under the line that forces
it.

With --side-by-side you get a table instead. For each part that meets the wish, it shows what the plan changes,
what it costs, and what is not known. It also shows whether the wheels change.

Exit status 0 if a plan exists on what is known. Sizes of kept parts may still need measuring. Exit status 1 if
there is no plan, or if the plan depends on checks that are not known.
"""
NEEDS: Final = """Show what a part for one position must be, beside the other parts of a plan.

The plan is the best one, as for swap. The page shows the limits that the neighbours leave for each size. Then it
lists the recorded parts by their sizes: those that meet it, those that may, and those that miss one limit. What is only
claimed stands apart.

POSITION is a position of the layout, such as "outer joint" or "left outer joint". Without --want, the
vehicle stays unchanged, but for what needs replacing.

Exit status 0 if a part can meet what the plan asks, and all of that is known. Exit status 1 if nothing can, if a size
beside it is not recorded, or if there is no plan.
"""
COMBINATIONS: Final = """Show which parts go together around given parts.

The layout has no parts in it yet. The first page shows the best combination, and
the next best ones. --others shows all parts that are possible at each position.

Exit status 0 if some parts go together, 1 if none do.
"""
KIT: Final = """Show what a kit lacks for a swap, for the whole job.

For each order group you see whether the kit has it, has too few, may have it inside an un-itemised line, or
lacks it. You also see which of its parts are wrong, and what to ask the seller.

KIT is a kit or a shelf of the records, or a list of part numbers such as "LARCH-201 x2, LARCH-204". It is
compared with the best plan that uses most of it.

Exit status 0 if nothing is missing, short, unproven or wrong. Every joint and figure that the kit touches must
also be checked.
"""

WANT: Final = (
    'What you want: "POSITION=PART", "POSITION.DIMENSION>=VALUE" such as "rotor.diameter>=190 mm", or an arrangement '
    'such as "disc" or "brake=disc".'
)
KEEP: Final = "The part at this position must stay, or be renewed by the same number."
AVOID: Final = "A part that must not be used, or a supplier not to buy from."
RENEW: Final = "The part at this position needs replacing."
PREFER: Final = (
    "What the plan must be best in, first to last. Prices are compared only between plans with equally many lines that "
    "nobody offers."
)
PLANS: Final = "How many plans to show, each with its own trade-offs."
SIDE_BY_SIDE: Final = "Compare the plans for all parts that meet the wish. With a disc brake, each rotor gets a row."
INSTEAD_OF: Final = "Show the other ways round a part of the plan that you cannot get, and where each is stopped."
SHORTLIST: Final = """Write records with only the parts that may stand in a plan of one swap.

This is for catalogues that are too large to plan on one machine. A part stays out if the records prove that no plan can
use it. Of parts that are equal in all that is recorded, the cheapest one stays. Unknown sizes rule nothing out.

Then ask the new folder: `knockon --records FOLDER swap ...`. The best plan and the other plans are the same as from all
parts. Reasons are sought among the parts that are left. docs/scale.md explains the steps.

Exit status 1 if nothing is left for a position that must be filled."""
INTO: Final = "The new folder for the short records."
FROM_PARQUET: Final = (
    "A folder that `knockon export --parquet` wrote, with parts to choose from. Without it: the parts of your own "
    "records. Name your own export too if its parts count. May be repeated."
)
ENGINE: Final = "What reads the tables: DuckDB in this process, or Spark. Spark uses the session that you configured."
WITH_EQUALS: Final = "Keep also the parts that a cheaper, equal part stands for."
DETAILS_OF_SHORTLIST: Final = {"full": "Show all positions, all joints, and the conditions that were not used."}
DETAILS_OF_SWAP: Final = {
    "measure": "Show everything to measure, how to measure it, and the remaining risks.",
    "evidence": "Show which checks are unproven, and what they depend on.",
    "notes": "Show what members found, and what was found on the vehicle.",
    "others": "Show the other plans, with their costs and changes.",
}

WITH: Final = 'A part that must be used: "POSITION=PART". Dimensions and arrangements can be written as for swap.'
AVOID_PART: Final = "A part that must not be used."
FIRST: Final = "How many combinations to show, best first."

VEHICLE: Final = "The vehicle that the kit is for."

SAY_WHAT: Final = 'Say what you want: --want "POSITION=PART", --want ARRANGEMENT or --renew POSITION.'
PLANNING: Final = "planning with each part"
DETAILS_OF_COMBINATIONS: Final = {
    "evidence": "Show which checks of the best combination are unproven.",
    "others": "Show all parts that are possible at each position, and the next best combinations.",
}
DETAILS_OF_KIT: Final = {
    "why": "Show why parts of the kit are wrong, and which do not go together.",
    "measure": "Show which sizes of the kit's parts to measure or ask for.",
    "evidence": "Show the figures of the plan, and what they depend on.",
    "notes": "Show what members found with these parts.",
}
DETAILS_OF_NEEDS: Final = {
    "why": "Show who sets each limit: the check, the condition, the part beside, and the source.",
    "evidence": "Show the verdict of each check for the parts that meet it, may meet it, or miss one limit.",
    "others": "Show all of these parts, and all claims.",
}
MESSAGE: Final = "Show only the message to the seller, ready to send."
TIME_LIMIT: Final = (
    "Time to search for each best plan, and as much again for the rest. The answer says what is not decided then."
)

MEASURE: Final = """Show the fewest readings that decide the plan, in the order in which you can reach them.

Each has the tool, how to measure, what is expected, and the order groups that it decides. The turning value is the
nearest reading at which the best plan has another part in some position. Each ends with what to type once you have
read it.

Exit status 0 if these readings decide every check at what stays. Exit status 1 if some stay open whatever you measure,
or if there is no plan."""
MEASURE_FULL: Final = "Work out the turning value of every reading. Takes some seconds."
TURNING: Final = (
    "Show at which values of the first five readings the plan turns, also where more than 1,500 things "
    "could be fitted. Takes some seconds then."
)
NO_PLAN_IN_TIME: Final = "no plan was found in this time. Give more with --time-limit"
