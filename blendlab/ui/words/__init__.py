"""The English of the pages, in one place so that a translation can follow.

Here stands what several pages share; each page has a module of its own beside this one.
"""


def plural(count: int, single: str, several: str, **named: object) -> str:
    """One of two forms of a sentence, with its count and its other fields put in.

    >>> plural(1, "{count} row", "{count} rows"), plural(3, "{count} row", "{count} rows")
    ('1 row', '3 rows')
    """
    return (single if count == 1 else several).format(count=count, **named)


DEMO = "This is a demo. Change anything; Save card keeps your copy."
DRAFT_OFFERED = "Your draft of {name} is open where you left it."
CARD_OFFERED = "{name} is open where you left it."
NOTHING_KEPT = "Your folder {folder} takes no files: {reason}. Look at what is there; nothing is kept."
DRAFT_UNREADABLE = "The draft could not be read."
DRAFT_ASIDE = "The draft could not be read; it lies in bin, unchanged."
FILE_GOES = "A chosen file is not kept: it goes when you leave this page. Use it before, or choose it again."
START_FRESH = "Start from the demo"
SAVED = "Saved {time} in {card}."
NOT_SAVED_YET = "not saved yet"
IN_BIN = "its card is in the bin"
CHANGED = "changed since {time}"
SAVED_SHORT = "saved {time}"
UNDO_OPENING = "back to {name}, as you left it"
CLASH = "{problem} Keep both, or look at the other one: yours stays a draft and one Undo away."
KEEP_BOTH = "Save mine as a copy"
OPEN_THEIRS = "Open the other one"
UNDO_STEP_BACK = "The design that could not be drawn"
BROKEN = "{page} could not be drawn to its end; do not work from what stands below."
NEWER_CARD = (
    "{name} was written by a newer version: what this one does not know of it is left out here. "
    "The card stays as it is; a save makes another."
)
DRAFT_KEPT = "The draft of {name} is kept as you left it."
NO_DRAFT = "There is no draft: nothing was changed since it was opened."
CARD_KEPT = "The card you saved at {time} was not touched."
CARDS_KEPT = "Your saved cards were not touched."
DETAILS_IN_LOG = "The details are in {file} in your folder."
DETAILS_IN_TERMINAL = "The details are in the terminal; your folder could not take them."
GONE = "{item} is no longer on the shelf. Choose another."
NOT_DONE = "That could not be done."
STEP_BACK = "Step back to the last design that could be drawn"
BACK_TO_LOOK = "Back to Look"
LEAVE_KITCHEN = "Leave kitchen view"
CLEAR = "No listed limit exceeded."
USE = "Use {name}"
USE_ALL = "Use all of them"
ALL = "all"
CHANGED_SINCE = "You have changed {name} since: use it"
UNDO_USE = "today's shelf: {name}"
TYPED = "{label} {figure} {unit}"
CHOSEN = "{label}: {choice}"
SWATCH = "{name}: likely {likely}"
SWATCH_SPREAD = "{name}: likely {likely}, from {weak} to {strong}, spread Delta E {delta_e:.1f}"
PAGES = {
    "look": "Look",
    "scent": "Scent",
    "batch": "Batch",
    "cards": "Cards",
    "shelf": "Shelf",
    "book": "Book",
    "guide": "Guide",
}
KITCHEN = "Kitchen view"
BASICS = "Name, product, jars"
UNDO = "Undo"
UNDO_OF = "Undo: {act}"
REDO = "Redo"
SAVE = "Save card"
JARS_OF = "{jar} × {count}"
NO_JAR = "no jar"
SCENT_LOAD = "scent {load:.2f} %"
NAME = "Name"
NAME_OF_DESIGN = "Name of the design"
UNNAMED = "unnamed"
PRODUCT = "Product"
BASE = "Base"
BASE_FOR = "{base}, for {product}"
BASE_TAKEN = "{base} is the base now: the only one on your shelf for {product}."
BASES_FIT = (
    "One base on your shelf is for {product}: choose it on Look or Batch.",
    "{count} bases on your shelf are for {product}: choose one on Look or Batch.",
)
NO_BASE_FITS = "No base on your shelf is for {product}: add one on the Shelf, under Bases."
USED_ON = "Used on"
JARS = "Jars"
JARS_MADE = ("{count} jar", "{count} jars")

PRODUCTS = {
    "whipped_soap": "whipped soap",
    "sugar_scrub": "sugar scrub",
    "oil_sugar_scrub": "oil sugar scrub",
    "body_butter": "body butter",
}
PLACES = {"body": "the body", "eye": "near the eyes", "lips": "the lips"}
MARKETS = {"EU": "EU", "GB": "GB", "US": "US", "CA": "Canada"}
KNOWN = {"estimate": "estimate", "measured": "measured"}
GROUPS = {
    "white": "white",
    "filler": "filler",
    "pearl": "pearl mica",
    "interference": "interference mica",
    "pearl-absorbing": "coloured mica",
    "absorbing": "pigment",
    "lake": "lake",
}
OIL_GROUPS = {"fragrance_oil": "fragrance oil", "essential_oil": "essential oil", "absolute": "absolute"}
