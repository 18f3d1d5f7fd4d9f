"""What the help says of ``order``."""

from typing import Final

ORDER: Final = """Show what to buy where, so that a swap is supplied.

Three orders stand side by side: the cheapest, the one with the fewest parcels, and the safest. The safest has the
fewest lines that are not proven. Postage, packs, kits, exchange surcharges, tax and your shelf are counted.

All plans count that are as good as the best one. With --accept, plans count that change a little more, or rest on a few
more unproven checks.

With --plan, the request is kept under a name. An order that was placed is kept too. From then on the answer says what
is outstanding, what is still to buy, and what the order would be today. The first time, give VEHICLE and a wish. Later
--plan is enough.

Exit status 0 if an order supplies every line, 1 if none does or if there is no plan."""
ACCEPT: Final = 'What a plan may cost beside the best one: "changes=N" or "unproven=N".'
WHICH: Final = "Which order to show in full, write to or put on sheets."
LETTER: Final = "Show only the letter to this supplier, ready to send."
SHEETS: Final = "Write a letter, a CSV table and a workbook for each supplier to this new folder."
DETAILS: Final = {"full": "Show every line of each order, with prices, and all questions."}
SAY_WHAT: Final = 'Say what you want: --want "POSITION=PART", --want ARRANGEMENT or --renew POSITION.'
NAME_VEHICLE: Final = "Name the VEHICLE too to correct what a plan asks."
PLAN: Final = "The plan's name. It is kept in the records folder."
BY: Final = "Who writes this down: initials or a member number."
PLACE: Final = "Write down that this order was placed. Needs --plan."
PLACE_NEEDS_PLAN: Final = "--place needs --plan NAME: only a named plan remembers its orders."
