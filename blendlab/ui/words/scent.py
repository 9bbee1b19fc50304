"""The English of Scent: oils, load, limits, closest blend, wishes, names, what it smells of."""

from blendlab.ui.words import PRODUCTS

NOTES = {"top": "top", "middle": "middle", "base": "base", "unknown": "unknown"}
NOTE_SHARE = "{note} {pct:.0f} %"
PERCENT = "{figure} %"

# --- oils -----------------------------------------------------------------------------------------

OILS = "Oils"
ADD_OIL = "Add an oil"
DONE_OIL_MORE = "An oil more"
DONE_OIL_LESS = "An oil less"
OUT = "Out"
SUM = "Sum {total} % of the scent"
NO_OIL = "No oil in the scent yet."
EVEN_OUT = "Even out to 100 %"
DONE_EVEN = "Shares evened out"
NONE_IN_IT = "none in it"
NOT_CHECKED = "not checked"
SHEET = "sheet"
OIL_TOLD = "{note}, {sheet}"
NOTE_UNKNOWN = "?"
SHARE_OF = "Share of {oil}, percent of the scent"

# --- load -----------------------------------------------------------------------------------------

LOAD = "Load, percent of the finished jar"
LOAD_EXACT = "Exact load, %"
LOAD_PARTS = "Load, g to 100 g of the rest"
LOAD_GRAMS = "Load, g in the batch"
TYPED_AS = "Typed as"
LOAD_AS = {"pct": "% of the jar", "parts": "g to 100 g of the rest", "grams": "g in the batch"}
LOAD_SAID = "{pct:.2f} % of the finished jar = {parts:.2f} g to 100 g of everything else."
LOAD_SAID_OF_BATCH = (
    "{pct:.2f} % of the finished jar = {parts:.2f} g to 100 g of everything else"
    " = {grams} g in the batch of {batch} g."
)
OILS_COST = "Oils for one jar cost {price:.2f} {currency}."
DROPS = "One jar holds {grams} g of it, {few:.0f} to {many:.0f} drops: weigh it."
DONE_LOAD = "Load {pct} % of the finished jar"
LOAD_BY_TONE = "Load by tone"
LOAD_BY_TONE_WHY = "A buyer may use one colour alone: the tone with the most scent is the one checked."
LOAD_OF_TONE = "Load of {tone}, percent of that tone"
DONE_LOAD_OF_TONE = "Load of one tone {pct} %"
SAME_LOADS = "Same load in every tone"

# --- limits ---------------------------------------------------------------------------------------

NOTHING_TO_CHECK = "Nothing can be checked before an oil has a share."
HIGHEST = "Highest load within the limits known"
WITHOUT = "Without {oil}"
USUAL = "Usual highest for {product}, no limit"
UNLIMITED = "No sheet and no figure listed here limits this blend."
BINDS = "{row} binds."
COUNTED = (
    "Checked {checked} of {total} restricted Standards by figures, {by_sheet} through sheets;"
    " {unknown} unknown. Figures of law: {law}."
)
UNCHECKED = "Not checked: {names}."
UNCHECKED_MORE = "Not checked: {names} and {more} more, listed below."
NO_OIL_YET = "A highest load is found once there is an oil."
NONE_FOR_SALE = "none for sale"
NO_SHEET_LIMITS = "no sheet limits it"
FOUND = "How the highest load is found, and what was not checked"
NO_FIGURE = "no figure"
ROUTES = {
    "A": "Each oil within its own sheet (shown, never used for sale).",
    "B": "All sheets together, their used parts added up (this holds for sale).",
    "C": "Substances within the Standards listed here (may only lower it).",
    "law": "Substances within the law listed here (may only lower it).",
}
COUNTED_LONG = (
    "Of {total} restricted Standards {checked} were checked on figures read in their source, {unverified}"
    " on figures from memory, {by_sheet} through the sheets only; {unknown} unknown. Lists of {on}."
    " Category {category}."
)
UNCHECKED_LIST = "Not checked"
BY_SHEET_LIST = "Checked through the supplier's sheets only"
NO_LIMIT = "Where no row stands, no limit was found in the lists of that date. That is not the same as none."
SOURCES = ("figure", "source", "seen or issued")
NOT_DATED = "not dated"
HEADROOM = "Headroom, tightest first. The tick is the limit; ≥: an oil cannot say."
HEADROOM_OF = (
    "Headroom of {tone}, the tone with the most scent ({load:.2f} %), tightest first. The tick is the limit;"
    " ≥: an oil cannot say."
)
ROOM_ROW = "what limits"
ROOM_USED = "used of the limit"
ROOM_NOW = "now / limit, %"
ROOM_PROPOSED = "proposed"
ROOM_FREE = "free"
AT_LEAST = "≥ {figure}"
GONE = "gone"
OVER = "over ×{share}"
MORE_ROWS_TIGHT = (
    "{count} more, over its limit or without a figure.",
    "{count} more, some of them over their limit or without a figure.",
)
MORE_ROWS = ("{count} more, over {free} free.", "{count} more, all over {free} free.")
TIGHTEST_UNKNOWN = "{row}: no figure"
TIGHTEST_OVER = "{row}: over"
TIGHTEST_FREE = "{row}: {free} free"
ROW_OF_SHEET = "{oil}, sheet"
ROW_KINDS = {"practice": "no limit", "house": "yours, {unit}", "law": "law", "standard": "Standard"}
FROM_MEMORY = "from memory"

# --- the closest blend ----------------------------------------------------------------------------

FIND_CLOSEST = "Find the closest blend within all limits"
CLOSEST = "Closest blend"
LEAVE = "Leave"
TAKE = "Take"
WAYS = {"scale": "Less of it", "few": "Few changes", "even": "Change spread", "notes": "Nearest notes"}
FITS = "The blend is within every limit listed here and within your own wishes as it is."
NOTHING_FOUND = "Nothing can be found before an oil has a share, and every oil and the base are there."
NONE_CAN_BE_SOLD = "No blend of these oils can be sold at any load."
SHARES_KEPT = "Closest blend within the limits: load {load:.2f} %, all shares kept."
SHARES_MOVED = (
    "Closest blend within the limits: load {load:.2f} %, {count} share changes, largest by"
    " {largest:.1f} points.",
    "Closest blend within the limits: load {load:.2f} %, {count} shares change, largest by"
    " {largest:.1f} points.",
)
PROPOSAL = ("oil", "now, % of the scent", "proposed", "g in the batch")
NOTES_BY = {"weight": "Notes by weight: {notes}.", "odour": "Notes by strength: {notes}."}
USED_UP = "Used up: {rows}."
RELAXED = (
    "{name} is yours to move: at {tried} {unit} instead of {most} the {what} is {after:.2f} {moved}"
    " instead of {before:.2f}."
)
POINTS = "points"
CONFLICT = "These cannot hold together, any one of them could: {rows}."
THE_LOAD = "the load you ask for"
NEEDED = "{name} would have to be {figure} for this load."
LEFT_OUT = "Left out: {why}"

# --- wishes and ceilings of her own ---------------------------------------------------------------

WISHES = "Your wishes and ceilings"
NO_WISHES = "None set. They steer the closest blend; a limit never gives way to them."
WISHES_SET = (
    "{count} set. They steer the closest blend; a limit never gives way to them.",
    "{count} set. They steer the closest blend; a limit never gives way to them.",
)
ALSO_SOLD = "Sold also as (the stricter figure counts)"
DONE_ALSO_SOLD = "Sold also as"
NOTHING_ELSE = "nothing else"
KINDS_SOLD = {
    **PRODUCTS,
    "liquid_soap": "liquid soap",
    "shower_gel": "shower gel",
    "face_scrub": "face scrub",
    "foot_scrub": "foot scrub",
    "body_lotion": "body lotion",
    "body_oil": "body oil",
    "hand_cream": "hand cream",
    "face_cream": "face cream",
    "foot_cream": "foot cream",
    "shampoo": "shampoo",
    "lip_balm": "lip balm",
}
WISH_NOTES = "Wish for other notes"
NOTES_WISHED = "Notes wished"
WISH_BY = {"weight": "by weight", "odour": "by strength"}
WISHED_PCT = {"top": "Top, %", "middle": "Middle, %", "base": "Base, %"}
NO_NOTES_WISHED = "No wish for notes"
VANILLIN_AT_MOST = "Vanillin at most, % of the jar"
COST_AT_MOST = "Oils at most, cost of 100 g"
STAY_BELOW_NAMING = "Stay below naming"
DONE_UNNAMED = "Names kept off"
NO_NAME = "no name"
OWN_CEILING = "Your own ceiling for"
DONE_OWN_CEILINGS = "Your own ceilings"
NO_SUBSTANCE = "no substance"
SUBSTANCE_AT_MOST = "{substance} at most, % of the jar"
DONE_SUBSTANCE = "{substance} at most {pct} %"
NO_CEILING = "No ceiling for vanillin and cost"
DONE_NO_CEILING = "No ceiling"
OIL_WISHES = ("oil", "strength 0.1 to 10", "at least, %")
STRENGTH_OF = "How strong {oil} smells beside the others"
DONE_STRENGTH = "Strength {figure}"
LEAST_OF = "Least share of {oil}, percent of the scent"
DONE_LEAST = "Least share {figure}"
STRENGTH = (
    "Try strips at once, after an hour and after a day; write back how strong each oil was. 1 is the middle."
)

# --- names on the label, findings -----------------------------------------------------------------

NAMES = "Names on the label"
MARKET = "Market"
DONE_MARKET = "Market {market}"
NO_NAMES = "No names before an oil has a share."
CANNOT_SAY = "Cannot say for: {oils}. Ask for the declaration."
FIRST_PLACED = "First placed"
TODAY_IS = "today, {day}"
PLACED_HELP = "The list of names follows the day on which the jar is first placed on that market."
NO_DATE = '"{typed}" is no date like 2026-11-25.'
DONE_PLACED = "Placed on the market {day}"
TODAY = "today"
IN_BASE = "base"
FROM_LOAD = "from {load}"
LISTS = {
    "new": "by the full list of 2023",
    "old": "by the old list of 2003",
    "none": "no list of names is in force there",
    "pending": "a list is pending there; the EU list is offered",
}
NAMES_AT = ("{count} name at {load:.2f} %; {list}.", "{count} names at {load:.2f} %; {list}.")
LIST_SOURCE = "{list} ({source})"
SMALL_FIGURE = "The small figure is the load in % up to which a name stays off; dashed: near, not on it."
SOLD_UNTIL = "Only for jars placed already; they may be sold until {day}."
EARLY_ALL = "Named early if you wish: the dashed ones."
EARLY_SOME = "Named early if you wish: {count} of the dashed ones."
LABEL_SAYS = "The label also says: {warnings}"
NEXT = "Next: the batch"
ANSWER = "The assessor's answer"
ANSWERED = "{by}, {day}: {answer}"
NO_DAY = "no date"
TAKE_BACK = "Take the answer back"
WHAT_ANSWERED = "What the assessor answered"
ASSESSOR = "Name of the assessor"
RECORD = "Record the answer"
BOTH_WANTED = "The answer and the assessor's name are both wanted."
DONE_ANSWER = "Assessor's answer"
SINCE_SAVED = "Since this card was saved on {day}, to judge again: {reasons}"
SAVED_SOMEWHEN = "The day on which this card was saved cannot be read: what changed since is not known."

# --- notes and smell ------------------------------------------------------------------------------

BY_WEIGHT = "Notes, by weight"
BY_STRENGTH = "Notes, by strength"
BALANCE = "{title}: {notes}"
WISHED_BY = {"weight": "Wished by weight: {notes}.", "odour": "Wished by strength: {notes}."}
SMELLS_FIRST = "What the opened jar smells of first"
NOTHING_KNOWN = "No substance of these oils is known well enough to say."
VAPOUR = "Shares of the vapour over the jar; {known:.0f} % of the scent is known by its substances."
HEADSPACE = (
    "From typical contents and vapour pressures, as an ideal mixture: an order of magnitude. How strong, how"
    " fine or how well it blends is left to the nose."
)
FLASH_MIXED = (
    "Mixed, these oils flash at about {flash}: an estimate for storing and shipping them. The data sheet of"
    " the blend decides."
)
FLASH = "{flash:.0f} °{unit}"
FLASH_RANGE = "{low:.0f} to {high:.0f} °{unit}"
NO_FADE = (
    "This product is rinsed off after a minute: how long it lasts on the skin is not modelled, nor how it"
    " keeps in the closed jar."
)
FADES = "How it fades from the skin: top, middle and base, left to right."
FADE = (
    "A thin film on skin of {skin:g} C, in still air: times are an order of magnitude, the order of the notes"
    " is sound. Uptake by the skin and what is unknown of the oils are left out."
)
LEFT = "{pct:.0f} % left"
AT_ONCE = "at once"
AFTER_MINUTES = "after {minutes:.0f} min"
AFTER_HOURS = "after {hours:.0f} h"
