"""The English of the Shelf."""

KINDS = {
    "pigment": "Pigments",
    "oil": "Oils",
    "base": "Bases",
    "jar": "Jars",
    "ingredient": "Raw materials",
    "scale": "Scales",
    "lot": "Lots",
    "price": "Prices",
}
ADD = {
    "pigment": "Add a pigment",
    "oil": "Add an oil",
    "base": "Add a base",
    "jar": "Measure a jar",
    "ingredient": "Add a raw material",
    "scale": "Add a scale",
}
ON_THE_SHELF = "On the shelf"
FIND = "Find by name"
SHOW = "Show"
NOTHING_HERE = "Nothing here yet."
NOT_FOUND = "Nothing of that name."
HOW_KNOWN = "Estimate: from published data for this kind of pigment. Measured: from your own swatches."
TAKE_OFF = "Take off the shelf"
TAKEN_OFF = "{name} is off the shelf; the file lies in the bin."
CARDS_KEEP = "Saved cards keep the revision they used."
PUT_ON = "Put on the shelf"
LEAVE = "Throw away what is typed"
CHANGE_IT = "Change it"
CHANGE = "Change {name}"
KEEP_CHANGE = "Keep the change"
CHANGED = "{name} is changed. Designs keep the one they took until you use the new one there."
CHANGED_MEANWHILE = (
    "{name} was changed since this form was opened, in another window or beside it. Nothing was written: keep"
    " the change again to write all that stands here over it, or throw it away and open the form anew."
)
UNCHANGED = "Nothing of {name} was changed."
PUT = "{name} is on the shelf."
NAME = "Name"
NOT_KNOWN = "not known"
NONE = "none"
GRAMS = "{grams:g} g"

# a pigment
PIGMENT_LINE = "{known} · CI {ci} · up to {cap} % · seen at {seen} %"
LADDER = "{name} in the white base at four doses"
KNOWN_BY = "Known by"
KNOWN_AS = "{known}: {basis}"
COLOUR_INDEX = "Colour index"
HIGHEST_USE = "Highest use"
OF_PORTION = "{pct} % of the finished portion"
MADE_OF = "Made of"
PART_OF = "{name} {pct:.0f} %"
SHEEN = "Sheen"
MIND = "Mind"
WHAT_IT_IS = "What it is"
KNOWN_FROM = "Known from"
PIGMENT_WAYS = {"mix": "A mix of pigments", "colour": "A colour", "picture": "A picture"}
CI_OF_SHEET = "Colour index numbers of its sheet"
PCT_IN_SWATCH = "Percent of pigment in that swatch"
POWDER_DENSITY = "Density, g/ml"
SWATCH_CHANGES = "Its colour changes with a swatch of it, not here."
ROUGH = "From a screen colour or a plain picture this is an estimate: hue roughly, strength loosely."
CAP = "Highest use, percent of the finished portion"
CAP_HINT = "from its sheet; 2 for a mica"
PART = "Part {number}"
PERCENT = "Percent"
DYED_MICA = (
    "A dyed mica: white mica 95 %, and the lake or oxide on it 5 %. Its sheet names the colour index numbers."
)
COLOUR = "Colour"
HEX = "Hex of a swatch in the white base"
PICTURE = "Picture of one swatch, filling the middle"
MIDDLE = "middle of the picture"
MIDDLE_IS = "Middle of the picture: {hex}. {note}"

# a scale
SCALE_LINE = "steps of {step:g} g, carries {most:g} g"
SCALE_STEP = "Step of its display"
CARRIES = "Carries"
CARRIES_GRAMS = "{grams:g} g, vessel included"
LEAST = "Smallest sensible amount"
LEAST_CAREFUL = "of preservative, listed oil, strong pigment"
LEAST_CHECKED = "for an error of {pct:g} % (USP <41>)"
STEP_FIELD = "Step of its display, g"
MOST_FIELD = "Carries at most, g"

# a raw material
INGREDIENT_LINE = "{function} · {inci}"
FUNCTION = "What it does"
PHASE = "Goes in with"
COMPONENTS = "Components"
COMPONENT = "{inci} {low:g} to {high:g} %"
WATER = "Water in it"
ACTIVE = "Active surfactant in it"
CHARGE = "Charge"
ASKS = "Its sheet asks for"
ASKS_PCT = "{pct:g} % of the finished product"
ASKS_RANGE = "{low:g} to {high:g} % of the finished product"
BELOW = "In below"
DENSITY = "Density"
DENSITY_OF = "{density:g} g/ml"
SUPPLIER = "Supplier"
OWN_FRAGRANCE = "Fragrance of its own, percent; 0 = none, empty = not known"
COMPONENTS_FIELD = "Components: INCI; CAS; low; high percent, one a line"
COMPONENTS_HINT = "Aqua; 7732-18-5; 63; 67\nCocamidopropyl Betaine; 61789-40-0; 30; 31"
INGREDIENT_FIELDS = (
    {"water": "Water in it, %", "active": "Active surfactant, %", "density": "Density, g/ml"},
    {"low": "Sheet: least, %", "high": "Sheet: most, %", "heat": "In below, °C"},
    {"per_kg": "Price of a kg, {currency}", "supplier": "Supplier", "care": "Mind"},
)

# a base
FOR = "For"
MIX_DENSITY = "Density before whipping, g/ml"
MIX_TAKEN = "not known; {density} is taken, an estimate for its kind"
PH = "pH"
NO_WATER = "it holds no water"
WHITE_AT = "Its white holds at"
OVERRUN = "{pct} % overrun"
NOT_WEIGHED = "not weighed"
PRESERVED_WITH = "Preserved with"
KEPT_FROM = "Percent of the base, from"
KEPT_TO = "to"
DECLARED_ORDER = "Declared ingredients in order, one a line"
WHITE_OF_KIND = "Its white is that of the starter base of its kind until you measure a swatch of it."
COOK = "Its formula; cook a lot of it"
FORMULA = "Formula, percent of the base; one line may say rest"
FORMULA_HINT = "Purified water rest\nGlycerin 12,5\nStearic acid 11"
KEEP_FORMULA = "Keep this formula"
WATER_REST = "Set water to the rest"
FORMULA_MOVED = "The new formula moves what follows from it: {moved}. Nothing is for sale until you confirm."
CONFIRM_FORMULA = "It is right: confirm"
GRAMS_TO_COOK = "Grams to cook"
CLEAR_TO_COOK = "Nothing stands in the way of cooking it."
COOK_IN_KITCHEN = "Cook it in the kitchen view"
COOK_SHEET = "Sheet (PDF)"
MAKE_OR_BUY = "Make or buy: price of a kg bought, {currency}"

# lots
LEFT = "{left} {unit} left"
NO_LOTS = "No lot in the book yet. With its lots named a batch can be traced, and stock is counted."
COUNT_WASTE = "Count, waste"
HOLD_FREE = "Hold back, free"
HOLD_BACK = "Hold it back"
FREE = "Free it again"
MADE_WITH = (
    "Held back. Batches that it went into: {codes}. Look at each in the Book: what is out is a recall."
)
IS_HELD = "held back: {why}"
ENDED_DAY = "ended {day}"
RECEIVED_ON = "received {day}"
USE_BY_DAY = "use by {day}"
NO_DATE = "no date"
KEPT_PCT = "preservative {pct:g} %"
KEPT_RANGE = "preservative {low:g} to {high:g} %"
KEPT_NOT_KNOWN = "preservative not known"
LOT = "Lot"
GRAMS_MORE = "Grams (or pieces) more, or less with a minus"
WHY = "Why"
WRITE_DOWN = "Write it down"
CORRECT = "Correct a lot"
CORRECTED_FIELDS = (
    {"code": "Code of the lot", "supplier": "Supplier", "document": "Document"},
    {"received": "Received", "expiry": "Use by", "opened": "Opened"},
)
CORRECTED_OF_COOKED = {"minutes": "Your work on it, minutes"}
CORRECTED_OF_BASE = (
    {"low": "Percent, or from", "high": "to", "ph": "pH"},
    {"foam": "Whipped cup, g/ml", "heat": "Preservative in below, °C", "own": "Fragrance of its own, %"},
)
WRITE_LOT = "Write a lot down"
WRITE_IN_BOOK = "Write it into the book"
WHAT_CAME = "What came"
OF = {"base": "Base", "ingredient": "Raw material", "oil": "Oil", "pigment": "Pigment"}
WHICH = "Which"
LOT_FIELDS = (
    {"code": "Code of the lot", "grams": "What came, g"},
    {"supplier": "Supplier", "document": "Document"},
    {"received": "Received", "expiry": "Use by"},
    {"price": "Price paid, {currency}", "shipping": "Postage share, {currency}"},
)
KEPT_IS = "Its preservative is"
KEPT = {"": "as on the shelf", "known": "one percent", "range": "a range", "unknown": "not known"}
KEPT_LOW = "Percent, or from"
CUP_FOAM = "Whipped cup, g/ml"
KEPT_BELOW = "Preservative in below, °C"
OPENED = "Opened"
OWN_FRAGRANCE = "Own fragrance, %"
DECLARED_PCT = "Declared ingredients with percent, one a line, as its supplier says"
DECLARED_PCT_HINT = "Aqua 40 45\nGlycerin 12 14"

# prices
PRICE_OF_KG = "Price of a kilogram, or of a jar with its lid, in {currency}. Empty is not known, never 0."
PRICE_OF = "Price of {name}, {currency}"
FROM_A_PACK = "Price of a pack"
PACK = {
    "price": "Price of the pack, {currency}",
    "pack": "Grams in it, or jars",
    "shipping": "Its share of the postage, {currency}",
}
KEEP_PACK = "Keep the price"
