"""The English of sales, returns and jars that are left."""

SOLD = "Sold where"
MADE = ("Jars by the plan, not counted", "Jars filled, as you counted them")
ACCOUNT = {
    "out": "with customers",
    "spoilt": "came back, not to be sold again",
    "kept": "put aside for tests",
    "lost": "lost, broken or given away, by your count",
    "left": "left",
}
FOUND = "found more, by your count"
OF_TEST = "left, test jars"
PLUS = "+ {jars}"
BECAUSE = "{jars} ({why})"
UNCOUNTED = "Jars were put aside for tests and nobody wrote how many: they are among those left."
SALE = "{who} · {day}"
ORDER = "order {order}"
JARS_SOLD = ("{count} jar", "{count} jars")
JARS_BACK = "{jars}, {back} back"
NOTHING_SOLD = "Nothing sold yet."
WRITE_SALE = "Write a sale down"
BUYER = "To whom"
JARS = "Jars"
CHANNEL = "Sold through"
CHANNELS = ("own shop", "market", "wholesale", "online market")
ORDER_NUMBER = "Order number"
DAY = "Day"
WRITE_DOWN = "Write it down"
TAKE_BACK = "Jars came back"
WHICH_SALE = "Of which sale"
WHY = "Why"
SELLABLE = "They can be sold again"
COUNT = "Count the jars"
THERE = "Jars that are there, without those for tests"
NOBODY = "not written down"
