"""The English of the Batch page and of the sheet on it."""

STARTS = {"jars": "Jars", "grams": "Grams of batch"}
UNDO_START = {"jars": "Start from jars", "grams": "Start from grams of batch"}
UNITS = {"g": "g", "oz": "oz"}
DEGREES = {"C": "°C", "F": "°F"}
NEXT = "Next: the cards →"

# what is asked for
START = "Start from"
JARS = "Jars to fill"
UNDO_JARS = ("{count} jar", "{count} jars")
SPARE = "Spare jars"
UNDO_SPARE = ("{count} spare jar", "{count} spare jars")
GRAMS = "Batch, g"
RETAINED = "Held back, g"
LOSS = "Lost in bowl and bags, %"
BASE_LOT = "Base lot"
NO_LOT_TAKEN = "none: choose one"
MIX_IN = "Mix in {lot}"
NO_FREE_LOT = "Every lot of this base is empty or held back."
NO_BASE_LOT = "No lot of this base in the book yet: write one down on the Shelf, under Lots."
WEIGH_IN = "Weigh in"
HEAT_IN = "Heat in"

# what comes out
WHOLE = "Whole batch"
WHOLE_GRAMS = "{grams} g"
FILLS = "Jars it fills"
FOAM = "Foam"
FILLING = "Foam with what is folded in"
FILLING_RANGE = "Foam not weighed: with it may be"
FOAM_DENSITY = "{density:.2f} g/ml"
IN_A_JAR = "In a jar, as planned"
JAR_GRAMS = "{grams:.1f} g"
FOAM_YOURS = "From your book"
FOAM_RANGE = "Not weighed: foam may be"
DENSITIES = "{low:.2f} to {high:.2f}"
JAR_RANGE = "a jar then holds"
JAR_GRAMS_RANGE = "{low} to {high} g"
ABOUT_GRAMS = "{low} g"
SMALLEST = "Every line weighs well from"
SMALLEST_GRAMS = "{grams} g of batch"
STOCK_LASTS = "All lots in date last for"
LAST_JAR = "Last, short jar"
LAST_GRAMS = "{grams:.0f} g"
PARTS = "Where the grams go"
PART_JARS = "Net weight of the jars, {jars} × {net} g"
PART_JARS_ABOUT = "Net weight of the jars, {jars} × about {net} g"
PART_OVERFILL = "Overfill, {pct:g} % of it"
PART_RETAINED = "Held back"
PART_LOSS = "Lost in bowl and bags, {pct:g} % of the batch"
PART_REST = "Left after the last whole jar"
PARTS_MAKE = "Whole batch"

# the sheet
TO_WEIGH = "To weigh"
NOTHING_SIZED = "Nothing can be sized yet: the findings say what is missing."
OTHER_RUNS = "The running batch keeps the sheet it was started with; this is the sheet of another."
CAPTION = "Lines to weigh, cup by cup"
COLUMN_NAME = "weigh"
COLUMN_LOT = "lot"
NO_LOT = "not named"
STOCK = "{pct:g} % stock"
TOP_UP = "top-up"
PROTECTED = "protected: never rounded down"
SHARE = "{pct} % of the {whole}"
KITCHEN = "Kitchen view"
GO_ON = "Go on with {code}"
START_ANOTHER = "Start another"

# beside it
BEFORE = "Before you start"
NO_JAR_OR_BASE = "Choose a jar and a base that are on the shelf."
CLEAR = "Nothing stands in the way of weighing."
NOT_FOR_SALE = "Not for sale as it stands: {count} more on Look and Scent. Enough for a test jar to look at."
PRESERVED = "{name} in the jar"
AT_MOST = "at most, by law and sheet"
TOP_UP_GRAMS = "Top-up for what is added"
PRESERVATIVE_BELOW = "Preservative in below ({source})"
SCENT_BELOW = "Scent in below"
PH = "pH of the base, {wanted}"
NOT_KNOWN = "not known"
NOT_SIZED = "not sized"
PCT = "{pct:.2f} %"
PCT_RANGE = "{low:.2f} to {high:.2f} %"
TAKE_ALONG = "Take along"
SHEET = "Batch sheet"
CUPS = "Cup labels"
ORDER = "Working order"
HEAVY = "Steps in heavy type hold back what follows: they are measured or ticked in the kitchen view."

# additions, stocks, scales, foam
MORE = "Additions, stocks, scales, foam"
OVERRUN = "Overrun, %"
OVERFILL = "Overfill of a jar, %"
BOWL = "Bowl of the mixer, ml"
WANTED = "{name} wanted, % of the finished product"
ADDITION = "{name}, % of the product"
TAKE_OUT = "Take {name} out"
STIR = "Stir in"
STIR_SOMETHING = "Stir something in"
UNDO_ADDITION = "An addition more"
UNDO_DROP = "One taken out"
WEIGHED_AS = "{name}: weighed as {pct:g} % in {carrier}; stir it before use."
WEIGH_PURE = "Weigh {name} pure"
SCALES = "Scales to use"
SCALE = "{name}, {step:g} g steps"
UNDO_SCALES = "Scales"

# spoons
SPOONS = "Spoons and drops"
LINE = "Line"
LINE_IN_CUP = "{name}, {cup}"
HOW_MANY = "How many"
HOW_MANY_HINT = "1/2 is 0.5"
OF = "of"
HEAPED = "Heaped"
SPOONS_DIFFER = "One spoonful of the same mica can be two and a half times another: weigh what you can."
TAKE_MIDDLE = "Take the middle: {pct} % of the portion"
UNDO_DOSE = "Dose {pct} % of the portion"

# cost
COSTS = "A jar costs"
RATES_AND_FEES = "Rates and fees"
BY_LINE = "By line"
RATES = {
    "minutes": "Work, minutes a batch",
    "cook_minutes": "Work, minutes a cooked base lot",
    "per_h": "An hour of work, {currency}",
    "overhead": "Overhead of a batch, {currency}",
    "label": "Label and seal of a jar, {currency}",
    "parcel": "Parcel share of a jar, {currency}",
    "fixed_fee": "Fee of a sale, {currency}",
    "fee": "Fee, % of the price on the shelf",
    "vat": "VAT, % of the price before VAT",
    "margin": "Margin, % of the price before VAT",
    "own_price": "or your price on the shelf, {currency}",
}
MARKUP = "or mark-up, % on cost and fees"
FIXED = "Fixed costs a year, {currency}"
CURRENCY = "Currency"
