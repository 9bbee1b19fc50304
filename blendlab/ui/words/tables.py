"""The English of tables in and out."""

OILS = "Oils as a table (CSV)"
INGREDIENTS = "Raw materials as a table (CSV)"
LOTS = "Lots as a table (CSV)"
LINES = "All lines of the book as a table (CSV)"
IN = {"ingredients": "Raw materials from a table", "lots": "Deliveries from a table"}
HEADS = {
    "ingredients": (
        "First line: Name, Function, Phase, Components and what else is in the table that goes out. "
        "Components are written INCI; CAS; low; high, parted by bars."
    ),
    "lots": (
        "First line: What; Code; Came, g; Supplier; Received; Use by; Opened; Document. "
        "What is the name of a thing on your shelf; days are written 2026-11-25."
    ),
}
FILE = "File"
TAKE = "Take what can be read"
ROW = "Row {number}, {name}: {answer}"
DONE = "{count} rows taken."
