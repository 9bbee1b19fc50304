"""Names of the columns of a table of oils, and what may stand below them."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from blendlab.facts.products import categories
from blendlab.fragrance.entry import OLD_CATEGORIES
from blendlab.fragrance.registry_numbers import CAS, DASHES, BadCas, clash, names, read_cas
from blendlab.fragrance.sheets import older_scheme
from blendlab.tables import price_head

GROUPS = {
    "fragrance oil": "fragrance_oil",
    "fragrance": "fragrance_oil",
    "essential oil": "essential_oil",
    "essential": "essential_oil",
    "absolute": "absolute",
    "resinoid": "absolute",
}
COLUMNS: dict[str, tuple[str, ...]] = {
    "name": ("name", "oil", "name of the oil", "oil name"),
    "group": ("kind", "what it is", "type"),
    "supplier": ("supplier",),
    "lot": ("lot", "lot number", "batch", "batch number"),
    "received": ("received", "oil received", "date received"),
    "opened": ("opened",),
    "expiry": ("expiry", "use by", "expiry date", "best before"),
    "amendment": ("amendment", "ifra amendment"),
    "issued": ("sheet issued", "issued", "certificate date", "date of the sheet"),
    "document": ("document", "document number"),
    "cas": ("cas", "cas number"),
    "plant_part": ("plant part", "part of the plant"),
    "flash_c": ("flash point", "flash point c", "flash c", "flash"),
    "density_g_ml": ("density", "density g/ml"),
    "vanillin_pct": ("vanillin", "vanillin pct"),
    "ethyl_vanillin_pct": ("ethyl vanillin", "ethyl vanillin pct"),
    "price_per_g": ("price per g", "price g"),
    "price_per_kg": ("price per kg", "price kg"),
    "peroxide_mmol_l": ("peroxide value", "peroxide", "peroxide mmol/l"),
    "peroxide_on": ("peroxide measured", "peroxide date"),
    "solvent": ("solvent", "solvent note", "phthalates"),
    "top": ("top", "top note"),
    "middle": ("middle", "middle note", "heart"),
    "base": ("base", "base note"),
}
FIGURES: dict[str, tuple[str, float, float]] = {
    "flash_c": ("C", -50, 400),
    "density_g_ml": ("g/ml", 0.5, 2),
    "vanillin_pct": ("%", 0, 100),
    "ethyl_vanillin_pct": ("%", 0, 100),
    "price_per_g": ("", 0, 10_000),
    "price_per_kg": ("", 0, 10_000_000),
    "peroxide_mmol_l": ("mmol/l", 0, 10_000),
    "amendment": ("", 1, 99),
    **dict.fromkeys(("top", "middle", "base"), ("%", 0, 100)),
}
DAYS = ("received", "opened", "expiry", "issued", "peroxide_on")
TEXTS = ("supplier", "lot", "document", "solvent")


@dataclass(frozen=True)
class Column:
    """What a column was understood as: kind "field", "category", "substance" or "" (not used)."""

    head: str
    kind: str
    key: str


def column(head: str) -> Column:
    """What the name of a column was understood as.

    >>> column("Category 5A").key, column("106\u201324\u20131").key, column("Lot number").key
    ('5A', '106-24-1', 'lot')
    """
    plain = " ".join(re.sub(r"[%()_.,]", " ", price_head(head)[0]).lower().split())
    for key, words in COLUMNS.items():
        if plain in words:
            return Column(head, "field", key)
    category = re.fullmatch(r"(?:cat(?:egory)?)?\s*([0-9]{1,2}\s?[a-d]?)", plain)
    if category:
        key = category[1].replace(" ", "").upper()
        return Column(head, "category" if key in categories() else "wrong", key)
    match = CAS.search(head.translate(DASHES))
    if match:
        return _numbered(head, match[0])
    cas = names().get(plain) or names().get(head.lower(), "")
    return Column(head, "substance" if cas else "", cas)


def _numbered(head: str, number: str) -> Column:
    """A substance by its number; a name beside it must be its own."""
    try:
        cas = read_cas(number)
    except BadCas as problem:
        return Column(head, "wrong", str(problem))
    name = head.translate(DASHES).replace(number, " ").strip(" ()[],;:%")
    wrong = clash(name, cas)
    return Column(head, "wrong", wrong) if wrong else Column(head, "substance", cas)


def head_problems(columns: Sequence[Column]) -> tuple[str, ...]:
    """What is wrong with the names of the columns."""
    told = []
    keys = [(found.kind, found.key) for found in columns if found.kind]
    if ("field", "name") not in keys:
        told.append('No column is called "Name".')
    for found in columns:
        if found.kind == "wrong" and found.key in OLD_CATEGORIES:
            told.append(f'Column "{found.head}" is a category of {older_scheme()}; it cannot be mapped.')
        elif found.kind == "wrong":
            told.append(f'Column "{found.head}": {found.key if " " in found.key else "no such category"}')
    twice = {found.head for found in columns if found.kind and keys.count((found.kind, found.key)) > 1}
    told += [f'Column "{head}" stands there twice.' for head in sorted(twice)]
    return tuple(told)
