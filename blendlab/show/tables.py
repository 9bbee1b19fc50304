"""Her oils and raw materials as tables: columns that are read again when such a table comes back."""

from __future__ import annotations

from blendlab.facts.products import categories
from blendlab.shelf import Component, Ingredient, Oil, Shelf
from blendlab.tables import csv_of

PER_G = "Price per g"
OIL_FIELDS = {
    "Name": "name",
    "Kind": "group",
    "Supplier": "supplier",
    "Lot": "lot",
    "Received": "received",
    "Opened": "opened",
    "Expiry": "expiry",
    "CAS": "cas",
    "Plant part": "plant_part",
    "Flash point, C": "flash_c",
    "Density, g/ml": "density_g_ml",
    "Vanillin, %": "vanillin_pct",
    "Ethyl vanillin, %": "ethyl_vanillin_pct",
    PER_G: "price_per_g",
    "Peroxide mmol/l": "peroxide_mmol_l",
    "Peroxide measured": "peroxide_on",
    "Solvent": "solvent",
}
"""Head of a column -> field of an oil."""
SHEET_HEADS = ("Amendment", "Sheet issued", "Document")
NOTE_HEADS = ("Top", "Middle", "Base")
INGREDIENT_FIELDS = {
    "Name": "name",
    "Function": "function",
    "Phase": "phase",
    "Charge": "charge",
    "Water, %": "water_pct",
    "Active surfactant, %": "active_pct",
    "Least, %": "low_pct",
    "Most, %": "high_pct",
    "Density, g/ml": "density_g_ml",
    "In below, C": "add_below_c",
    "Care": "care",
    "Supplier": "supplier",
}
"""Head of a column -> field of a raw material."""
PER_KG = "Price of a kilogram"
COMPONENTS = "Components"


def oils_csv(shelf: Shelf, currency: str) -> bytes:
    """Every oil of the shelf: its figures, the limits of its sheet, what its supplier declares.

    Constituents from the library are not in it: they are not hers to type.
    """
    oils: list[Oil] = list(shelf.of("oil"))
    allowed = [category for category in categories() if any(_limit(oil, category) != "" for oil in oils)]
    declared = sorted({cas for oil in oils for cas in _declared(oil)})
    limits = [f"Category {category}" for category in allowed]
    fields = (f"{head}, {currency}" if head == PER_G else head for head in OIL_FIELDS)
    heads = [*fields, *NOTE_HEADS, *SHEET_HEADS, *limits, *declared]
    rows = [
        [
            *(_cell(getattr(oil, field)) for field in OIL_FIELDS.values()),
            *([""] * 3 if oil.notes is None else (f"{100 * part:g}" for part in oil.notes)),
            *_sheet_cells(oil),
            *(_limit(oil, category) for category in allowed),
            *(_declared(oil).get(cas, "") for cas in declared),
        ]
        for oil in oils
    ]
    return csv_of(heads, rows)


def _sheet_cells(oil: Oil) -> tuple[str, str, str]:
    sheet = oil.sheet
    return ("", "", "") if sheet is None else (str(sheet.amendment), _cell(sheet.issued), sheet.document)


def _limit(oil: Oil, category: str) -> str:
    pct = oil.sheet.limits.get(category) if oil.sheet else None
    return "" if pct is None else f"{pct:.12g}"


def _declared(oil: Oil) -> dict[str, str]:
    rows = oil.declaration.rows if oil.declaration else {}
    return {cas: f"{'<' if row.below else ''}{row.pct:.12g}" for cas, row in rows.items()}


def ingredients_csv(shelf: Shelf, currency: str) -> bytes:
    """Every raw material of the shelf with its components, "INCI; CAS; low; high" parted by bars."""
    rows = [
        [
            *(_cell(getattr(item, field)) for field in INGREDIENT_FIELDS.values()),
            _per_kg(item),
            " | ".join(_component(part) for part in item.components),
        ]
        for item in shelf.of("ingredient")
    ]
    return csv_of([*INGREDIENT_FIELDS, f"{PER_KG}, {currency}", COMPONENTS], rows)


def _per_kg(item: Ingredient) -> str:
    if item.price is not None:
        return f"{1000 * item.price.pack_price / item.price.pack_g:.12g}"
    return "" if item.price_per_g is None else f"{1000 * item.price_per_g:.12g}"


def _component(part: Component) -> str:
    names = (part.inci, part.cas) if part.cas else (part.inci,)
    return "; ".join((*names, f"{part.low_pct:.12g}", f"{part.high_pct:.12g}"))


def _cell(value: object) -> str:
    if value is None:
        return ""
    return f"{value:.12g}" if isinstance(value, float) else str(value)
