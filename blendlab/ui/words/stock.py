"""The English of sales over the whole book, of stock, and of what can be made."""

SALES = "Sold"
SINCE = {"year": "this year", "12 months": "last 12 months", "ever": "ever"}
PERIOD = "Counted over"
SOLD_HEADS = ("card", "sales", "jars", "back")
LINE_HEADS = ("line", "sales", "jars", "back")
NOTHING_SOLD = "Nothing was sold in that time."
JARS_LEFT = "Jars to sell"
JARS_OF = "{code} · {name}"
COUNT_LEFT = ("{left} of {made}", "{left} of {made} · {over}")
NO_JARS = "No jar is left of the newest {count} batches."

CAN_MAKE = "What can I make today?"
CAN_MAKE_WHY = "For each card: the jars that your stock makes, and what runs out first."
NO_CARDS = "There is no card yet: save one on Look."
MAKES = ("at most {count} jar, then {first} is out", "at most {count} jars, then {first} is out")
MAKES_NONE = "none: {first} is missing"
UNCOUNTED = ("{count} thing was never counted: {names}", "{count} things were never counted: {names}")
AND_MORE = "…"

ORDER = "To order"
NOTHING_TO_ORDER = "Nothing: no thing that lately went into a batch is at its order point."
DAYS = "How long things take to come"
THING = "Thing"
LEAD = "Days from order to arrival"
SAFETY = "Days to spare"
KEEP = "Keep it"

COUNT = "Count a lot"
LOT = "Lot"
THERE = "What is really there, g or pieces"
WHY = "Why"
WRITE_DOWN = "Write it down"
PIECES_CAME = "Jars, lids or labels came"
WHAT = "What came"
KINDS = {"jar": "empty jars", "lid": "lids", "label": "labels"}
FOR_JAR = "For which jar"
HOW_MANY = "Pieces"
CODE = "Lot code, from the box or your own"
DRAWN = "Each filled jar takes one of them when its batch is closed."
