"""The English round the label of a jar."""

HEADING = "On the label"
MARKET = "Market"
UNDO_MARKET = "Market {market}"
WHO = "Who answers for it"
MONTHS = "How long it lasts"
MONTHS_WHY = "Common practice until your own stability tests say more; the lots may end it sooner."
MONTHS_OF = {"closed": "Months closed", "opened": "Months after opening"}
TASKS = "What only you can do"
PRINT = "Jar labels, true size (PDF)"
HELD_BACK = ("Held back: {count} stop below.", "Held back: {count} stops below.")

NET = "Net weight"
NET_HEIGHT = "{net}, figures at least {mm:.1f} mm high"
INGREDIENTS = "Ingredients"
BATCH = "Batch"
DURABILITY = "Durability"
WARNINGS = "Warnings, use"
NONE_YET = "none yet"
DRAFT = "draft, no code"
NO_BATCH_NO_DATE = "no date yet: the lots of the batch set it"
NO_DATE = "none"
SET_BY = "Set by: {bound}."
LATER = "Later: {bounds}."
NO_INGREDIENT = "No ingredient is known."
ORDER_UNKNOWN = "Order not determined: ask the supplier."

MAKER = {
    "name": "Name on the label",
    "address": "Address, one line",
    "contact": "Contact for reports",
    "country": "Country of origin",
}
