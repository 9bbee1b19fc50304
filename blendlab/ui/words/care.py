"""The English of what waits in the Book: complaints, recalls, drills."""

WAITING = "Waiting for you"
ANSWER = "Answer"
MORE_WAITING = "{count} more: answer these first."

# complaints
COMPLAINTS = "Complaints"
NO_COMPLAINTS = "Nobody complained by the book."
OPEN = "open"
CLOSED = "closed"
HEAD = "{day} · {code} · {state}"
UNKNOWN_BATCH = "batch not known"
DONE_ON = "{day}: {done}"
REPORTED = "Reported: {reported}"
WRITE_COMPLAINT = "Write a complaint down"
WHAT = "What was said"
WHO = "Who said it, and how to answer"
CODE = "Batch code on the jar"
MARKET = "Sold in"
IS_SERIOUS = "Was somebody's health seriously harmed?"
SERIOUS = {"not known": "not known yet", "no": "no", "yes": "yes"}
DAY = "Day"
WRITE_DOWN = "Write it down"
WRITE_ANSWER = "What was done"
AUTHORITY = "Authority told and when, or why none"
CLOSES = "This closes the complaint"
NOTE = "Note for the authority (PDF)"
RECALL_OF = "Recall list of it (PDF)"

# recall
RECALL = "Recall"
RECALL_WHY = "From an oil, a pigment or any lot to every jar made of it, and who has them."
OF_WHAT = "Everything made of"
OF_LOT = "Only of the lot"
EVERY_LOT = "every lot of it"
REACHES = "{batches}, {jars} out, by {sales}."
BATCHES = ("{count} batch", "{count} batches")
JARS = ("{count} jar", "{count} jars")
SALES = ("{count} sale", "{count} sales")
UNNAMED = (
    "{count} batch named no lot, in it, in its base or in a dilution: look whether it belongs here.",
    "{count} batches named no lot, in it, in its base or in a dilution: look whether they belong here.",
)
MAY_HOLD = (
    "{codes} named no lot, in it, in its base or in a dilution: look whether it belongs here.",
    "{codes} named no lot, in them, in their base or in a dilution: look whether they belong here.",
)
LIST_PDF = "Recall list (PDF)"
LIST_CSV = "Recall list (CSV)"
NO_LOTS = "No lot was written down yet, so nothing can be called back by its lot."

# drill
DRILL = "Try a recall out"
DRILL_WHY = (
    "Weigh what is left of one lot. What batches were planned to take, what was wasted and what is left "
    "must be what came, within {most:g} % (common practice)."
)
NO_DRILL = "No recall was tried out yet. Once a year is common practice."
DRILL_OF = "{day}, lot {code}"
LAST_DRILL = "Last tried out on {day}, lot {code}: {verdict}"
DRILL_LOT = "Lot"
DRILL_GRAMS = "On the shelf, weighed now, g"
DRILL_MINUTES = "Minutes to both lists, if you timed it"
DRILL_DO = "Compare and keep the result"
