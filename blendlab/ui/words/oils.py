"""The English of the oils on the Shelf."""

WAYS = {"one": "One oil", "many": "Many oils"}
NEW_LOT = "New lot or sheet"
HOW_MANY = "How many"
NAME = "Name"
WHAT_IT_IS = "What it is"
PLANT = "Plant it comes from"
NOT_IN_LIBRARY = "not in the library"
PLANT_PART = "Part of the plant"
NOT_ENTERED = "not entered"

# its sheet
AMENDMENT = "Amendment"
AMENDMENT_HELP = "Printed on its sheet."
ISSUED = "Sheet issued"
DOCUMENT = "Document"
LIMITS = "Highest percent of the oil in the jar, by category"
LIMITS_HINT = "5A 1,2\n9 4.6\n12 no restriction\n1 N/A"
DECLARED = "Declared allergens, of the oil"
DECLARED_HINT = "Linalool 12,5\n106-24-1 0.8\nCoumarin <0.01"
DECLARED_BY = "Declared by"
COMPLETE = "Every name of that list was looked for"
UNIT = "Declared figures are"
UNITS = {"%": "% of the oil", "ppm": "ppm of the oil"}
READ = "Read: {understood} lines understood, {wrong} not"
FIGURES = (
    {
        "flash": "Flash point, °C",
        "vanillin": "Vanillin, %",
        "ethyl": "Ethyl vanillin, %",
        "density": "Density, g/ml",
    },
    {"supplier": "Supplier", "lot": "Lot", "price": "Price per kg, {currency}", "cas": "CAS of the oil"},
    {
        "received": "Oil received",
        "opened": "Opened",
        "expiry": "Use by",
        "measured": "Peroxides measured",
    },
    {
        "peroxide": "Peroxides, mmol/l",
        "top": "Top note, %",
        "middle": "Middle note, %",
        "base": "Base note, %",
    },
)
SOLVENT_FIELD = "Solvent or phthalate note of the supplier"

# many at once
MANY = (
    "First line: the names of the columns. A category such as 9 or 5A is a column, a declared substance"
    " is a column by name or CAS. An empty cell is unknown, never 0."
)
FILE = "CSV file"
TABLE = "Or paste the table"
TABLE_HINT = "Name;Amendment;9;5A;Linalool;Limonene;Flash point;Lot\nReed accord;51;4,6;1,2;12,5;<0,1;78;R-12"
UPDATE = "A row takes the place of an oil of the same name"
ASK_UNIT = "Say whether the declared figures are percent or ppm of the oil."
UNUSED = "Columns that are not used: {columns}."
ROWS_READ = (
    "{count} row understood, {left} not; those are left out.",
    "{count} rows understood, {left} not; those are left out.",
)
COLUMNS = ("row", "oil", "read as")
PUT_MANY = ("Put {count} oil on the shelf", "Put {count} oils on the shelf")
PUT = "{name} is on the shelf."
PUT_DONE = ("{count} oil is on the shelf.", "{count} oils are on the shelf.")
LEFT_OUT = (
    "{count} row was not understood and left out.",
    "{count} rows were not understood and left out.",
)

# one oil
SHEET = "Sheet"
LIMIT_ROWS = "Highest percent of the jar, by category"
LIMIT = "{category}: {pct} %"
NAMES = "Declared names"
NO_DECLARATION = "no declaration"
COMPLETE_BY = "{count} by {names}, complete"
INCOMPLETE_BY = "{count} by {names}, not complete: what is absent is unknown"
DILUTION = "Dilution"
DILUTED = "{pct} % in {carrier}"
NOTES = "Notes"
NOTES_SHARES = "top {top:.0f} %, middle {middle:.0f} %, base {base:.0f} %"
FLASH = "Flash point"
VANILLIN = "Vanillin"
DENSITY = "Density"
PEROXIDES = "Peroxides"
NOT_KNOWN = "not known"
CELSIUS = "{figure} °C"
OF_OIL = "{figure} % of the oil"
G_ML = "{figure} g/ml"
MMOL_L = "{figure} mmol/l"
MMOL_L_ON = "{figure} mmol/l, {day}"
PRICE = "Price"
PER_KG = "{money} {currency} per kg"
CAS = "CAS"
OWN_NAME = "Own name on the label"
SOLVENT = "Solvent"
SUPPLIER = "Supplier"
LOT = "Lot"
RECEIVED = "Received"
OPENED = "Opened"
USE_BY = "Use by"
DECLARATION = "Declaration"
LOOK_AGAIN = "To look at again"

# a dilution of it
DILUTE = "Make a dilution of it"
PURE = "Pure oil, %"
CARRIER = "In which carrier"
CARRIER_HOLDS = "The carrier holds"
ITS_SHEET = "its sheet tells"
CARRIER_DECLARED = "Declared in the carrier"
CARRIER_HINT = "Limonene <0.01"
PUT_DILUTION = "Put the dilution on the shelf"
