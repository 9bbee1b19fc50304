"""The English of the Book."""

PARTS = {
    "made": "Batches and lots",
    "sold": "Sales and stock",
    "care": "Complaints and recall",
    "assessed": "Assessments",
    "tests": "Tests",
}
IN_THE_BOOK = "In the book"
FIND = "Code, lot or name"
LOTS = "Lots"
KINDS = {"base": "base cooked", "jars": "jars"}
BATCH = "{name} · {kind} · {day}"
SHOW = "Show"
OLDER = "{count} more"
NOT_FOUND = "Nothing of that code, lot or name."
EMPTY = "Nothing made yet."
EMPTY_WHY = "The book keeps what was weighed, from which lots, into which jars, sold where."
PLAN_A_BATCH = "Plan a batch"
WRITE_A_LOT = "Write a lot down"
WRITE_IN_BOOK = "Write it into the book"
WRITE_DOWN = "Write it down"

# one batch
TITLE = "{code} · {name}"
ORIGIN = "Where it came from"
WEIGHED = "What was weighed"
CORRECT = "Correct a line"
LATER = "Write pH, foam or a jar down"
EVERYTHING = "Everything written down"
GO_ON = "Go on in the kitchen"
AGAIN = "Repeat this batch"
REPEAT = "Again: what would be different"
REPEAT_HEADS = ("What", "Then", "Now", "Why")
NOTHING_DIFFERS = "Nothing: the same doses, the same lots, the same sheet."
STOPS_TODAY = ("In the way of a sale today: {count} stop.", "In the way of a sale today: {count} stops.")
OPEN_SO = "Open it so on Batch"
LEAVE_IT = "Leave it"
LABEL = "Label of this batch"
JUDGE_NOW = "Judge it by my shelf as it is now"
TAKE_OVER = "Write it down"
OPENED_AGAIN = (
    "{code} is open again with {count} difference.",
    "{code} is open again with {count} differences.",
)
SHEET = "Batch sheet (PDF)"
CUPS = "Cup labels (PDF)"
BECAME_OF_IT = "What became of it"
KEPT_JARS = "Kept jars, what was read"
MADE_ON = "Made on"
PLANNED = "Planned"
BECAME = "became"
BECAME_GRAMS = "{grams:.0f} g: {why}"
GRAMS = "{grams:.0f} g"
ABOUT = "about "
WENT_IN = "Weighed in"
IN_JARS = "of that in jars"
WENT_IN_POT = "Weighed in and filled up"
CAME_OUT = "of that in base"
STEAM = "water gone in the heat"
SET_ASIDE = "set aside"
LEFT_OVER = "left over"
SCENT_LEFT = "scent left over"
SCENT_GRAMS = "{grams:.2f} g"
LOST = "lost, the rest"
MORE_OUT = "more than went in"
LOST_GRAMS = "{grams:.0f} g, {pct:.1f} %"
JARS_WEIGHED = "Jars weighed"
JARS_MEAN = "{jars}, mean {mean:.1f} g net"
YIELD = "Yield"
YIELD_PCT = "{pct:.1f} % of the plan"
YIELD_OF_IT = "{pct:.1f} % of what it became"
FOAM = "Foam"
NOT_WEIGHED = "not weighed"
FOAM_DENSITY = "{density:.3f} g/ml"
LASTS = "Best before"
COST = "Cost"
PH = "pH"
NOT_MEASURED = "not measured"
DECISION = "Decision"
DECIDED = "{decision}, {day}"
OPEN = "open"
CALLED_BACK = "■ Called back on {day}. {why} Nothing of it is sold until you decide anew."
SOLD_BEFORE = (
    "{count} jar was sold before: the recall list says to whom.",
    "{count} jars were sold before: the recall list says to whom.",
)
LOT_CALLED_BACK = (
    "{codes} was made of this lot and is called back: it is no longer released.",
    "{codes} were made of this lot and are called back: they are no longer released.",
)
TAKE_OVER = "Write it down"
CORRECTED_CALLED_BACK = (
    "What you wrote stands, and with it {codes} is called back: it is no longer released.",
    "What you wrote stands, and with it {codes} are called back: they are no longer released.",
)
STAYS_RELEASED = (
    "{code} stays released; new caution: {said}",
    "{code} stays released; new cautions: {said}",
)
NOTHING_OPEN = "Nothing is open before release."
HAVE_READ = ("I have read the caution above", "I have read the {count} cautions above")
READ_BEFORE = (", {count} caution read before", ", {count} cautions read before")
RELEASE = "Release for sale"
READ_ALREADY = "read before the release"
KEEP_AS_TEST = "Keep as test jars"
FILLED = "Filled weights"
FILLED_GRAMS = "{grams} g net."
THREE_JARS = "Three weighed jars at least make a label weight."

# the chain
NO_LOT_NAMED = "No lot was named."
COOKED_OF_NONE = "Cooked without a lot named: what went into it cannot be traced."
NO_SUPPLIER = "supplier not entered"
RECEIVED_ON = "received {day}"
COOKED_AS = "cooked as {code}"
WHERE_TO = "Where it went"
MADE_OF_IT = (
    "{name} · {day} · {count} jar weighed, {sold} sold",
    "{name} · {day} · {count} jars weighed, {sold} sold",
)
MADE_AND_SOLD = (
    "{name} · {day} · {count} jar weighed, {sold} sold to {buyers}",
    "{name} · {day} · {count} jars weighed, {sold} sold to {buyers}",
)
COOKED_WITH_IT = "base lot cooked with it"
NOTHING_MADE = "Nothing was made of it yet."

# one lot
LOT_TITLE = "Lot {code} · {name}"
LEFT = "Left"
LEFT_OF = "{left} of {came} {unit}"
SUPPLIER = "Supplier"
RECEIVED = "Received"
USE_BY = "Use by"
NOT_ENTERED = "not entered"
DOCUMENT = "Document"
COOKED = "Cooked as"

# weighings and corrections
COLUMNS = ("line", "lot", "asked, g", "weighed, g")
NO_LOT = "lot not named"
NOTHING_WRITTEN = "Nothing was written down yet."
ENTRIES = {
    "tick": "Ticked",
    "pot": "Pot",
    "temperature": "Measured",
    "deviation": "Cause",
    "density": "Cup",
    "ph": "pH",
    "fill": "Jar",
    "filled": "Filled in all",
    "yield": "Rest",
    "sale": "Sale",
    "reading": "Reading",
    "note": "Note",
    "return": "Came back",
    "jars": "Jars counted",
    "kept": "Kept for tests",
    "release": "Decision",
    "complaint": "Complaint",
    "taken": "Frozen with it",
}
DATA = {
    "why": "{value}",
    "on": "{value}",
    "withdrawn": "taken back",
    "cause": "{value}",
    "grams": "{value} g",
    "planned_g": "{value} g asked for",
    "enlarge_pct": "the rest {value} % bigger",
    "shrink_pct": "the rest {value} % smaller",
    "asks_g": "{value} g in all",
    "bowl_g": "portions follow a bowl of {value} g",
    "pigment_g": "{value} g of pigment in this tone, scent follows",
    "celsius": "{value}",
    "pot_g": "{value} g on the scale",
    "water_g": "{value} g of water filled up",
    "lot": "lot {value}",
    "cup_ml": "cup of {value} ml",
    "cup_g": "{value} g in it",
    "g_ml": "{value} g/ml",
    "net_g": "{value} g net",
    "retained_g": "{value} g",
    "left_g": "{value} g",
    "pH": "{value}",
    "tone": "{value}",
    "to": "to {value}",
    "channel": "{value}",
    "sellable": "can be sold again",
    "market": "sold in {value}",
    "tests": "{value}",
    "note": "{value}",
    "height_drop_pct": "height drop {value} %",
    "ph_shift": "pH shift {value}",
    "bleed_mm": "bleed {value} mm",
    "delta_e00": "ΔE2000 {value}",
    "free_liquid": "free liquid",
    "growth": "growth",
    "fails": "does not hold: {value}",
    "not_read": "not read: {value}",
    "what": "{value}",
    "who": "{value}",
    "serious": "serious: {value}",
    "order": "order {value}",
    "read": "read before: {value}",
    "revisions": "{value} things of your shelf, as they were then",
    "photo": "with a photo",
}
JARS = ("{count} jar", "{count} jars")
"""How entries say a count of jars."""
JARS_FEWER = ("{count} jar fewer", "{count} jars fewer")
JARS_MORE = ("{count} jar more", "{count} jars more")
"""How a count says what it found."""
SALE_TO = "sale to {to}"
"""What came back is of a sale."""
ENTRY = "{kind} {at}: {said}"
LINE = "Line"
LINE_GRAMS = "{name}, {told}"
GRAMS_IN = "{grams} g"
LOT = "Lot"
AS_BEFORE = "as before"
REALLY = "Grams that really went in"
WHY = "Why"
REALLY_SO = "What is really so"
REALLY_OF = {"pot_g": "What the pot really weighed", "water_g": "Water that was really filled up"}
FIGURE_OF = {"water_g": "{figure} of water"}
"""How a figure is said in a choice of lines that has more than one."""
OF_NO_LOT = "of no lot"
ADD_CORRECTION = "Add the correction"
TAKE_BACK = "Take this line back"
TAKE_LINE_BACK = "Take a line back"
REPORT_OF = "Report of {on}: {of}"
MEASURED_LATER = {
    "ph": "pH of a {strength:g} % dispersion",
    "foam": "Foam, g/ml",
    "jar": "Net weight of one more jar, g",
}

# assessments
ASSESSED = "Assessed formula families"
UP_TO = "{name} up to {most} {unit}"
OF_A_TOP = "mg/cm2"
BASE = "Base"
MARKETS = "Markets"
COLOURS = "Colours"
SCENTS = "Scents"
ADDITIONS = "Additions"
DUSTS = "On the top"
LOAD = "Load"
LOAD_UP_TO = "up to {pct} % of the finished product"
PRESERVATIVE = "Preservative"
PRESERVATIVE_RANGE = "{name}, {low} to {high} %"
LABEL_DOCUMENT = "Label, document"
NONE = "none"
NO_ASSESSMENT = "No assessment yet. EU and GB ask for one before the first jar is sold; no tool can give it."
WRITE_ASSESSMENT = "Write an assessment down"
BEGINS_WITH = "It begins with {name} as it stands on the bench: put in what the assessor wrote."
ASSESSMENT_KEPT = "The assessment of {name} is in the book."
FORM = {
    "name": "Name of the family",
    "assessor": "Assessor",
    "on": "Day of the assessment",
    "document": "Document",
    "label": "Version of the label that was seen",
    "markets": "Markets",
    "colours": "Colours with highest percent of the finished portion",
    "scents": "Oils with highest percent of the finished product",
    "additions": "Additions with highest percent of the finished product",
    "dusts": "Micas on the top with highest mg/cm2",
    "load": "Highest load, percent of the finished product",
    "low": "Preservative from, %",
    "high": "to, %",
}

# tests
KEEP_FOR_TESTS = "Put jars aside for tests"
WHICH_TESTS = "Kept for"
JARS_ASIDE = "Jars put aside"
KEPT_FOR = "Kept for: {tests}."
NOT_KEPT = "No jar of this batch is kept for tests: nothing of it falls due."
CHALLENGES = "Challenge tests"
NO_CHALLENGE = (
    "No challenge test in the book. One for each preservative, with the worst case "
    "(most oil, highest pH, most sugar), is common practice."
)
CHALLENGE_HEAD = "{of} · sent {sent} · {state}"
CHALLENGE_OPEN = "report due {due}"
CHALLENGE_DONE = "{verdict}, {on}"
VERDICTS = {"A": "criterion A met", "B": "only criterion B met", "fails": "neither criterion met"}
SEND = "Send jars to a laboratory"
SENT_OF = "Preservative, and the jar that stands for the rest"
SENT_ON = "Sent on"
REPORT_DUE = "Report due, if not {days:g} days later"
LABORATORY = "Laboratory"
REALLY_DUE = "Report due on another day"
WRITE_REPORT = "Write the report down"
VERDICT = "Verdict by ISO 11930"
NO_VERDICT = "Say which verdict the report gives."
REPORTED_ON = "Day of the report"
REPORT_DOCUMENT = "Document"
NO_TESTS = "No batch yet. Tests count from the day a batch was made."
BATCH_LABEL = "Batch"
DUE = "Due"
PLAN_OF_KEPT = "The plan, for jars that are kept"
NOTHING_DUE = "Nothing is due today."
AHEAD = "Ahead"
NOTHING_AHEAD = "No further reading is planned."
READ = "Read"
SUBJECT_ON = "{subject}, {day}"
NOTHING_YET = "Nothing yet."
MISSED = "Not read in their time: {readings}."
MISSED_OF = "{test}: {days}"
WRITE_READING = "Write a reading down"
TEST = "Test"
DAY = "Day"
READINGS = {
    "drop": "Height drop, %",
    "ph": "pH shift",
    "density": "Density now, g/ml",
    "bleed": "Bleed of a seam, mm",
    "colour": "Colour change, ΔE2000",
}
NOT_READ = "not read"
FREE_LIQUID = "Free liquid"
GROWTH = "Growth"
LOOKED = {"": "not looked at", "no": "no", "yes": "yes"}
NOTE = "Note"
