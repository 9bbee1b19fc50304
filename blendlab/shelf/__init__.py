"""The frozen nouns of what she owns. No disk, no arithmetic.

A revision is the digest of an item's content, so that any change is a new revision by itself.
"""

from blendlab.shelf.base import Base, BaseLine, Lot, Price
from blendlab.shelf.embedding import embedded, pinned
from blendlab.shelf.ingredient import CHARGES, PHASES, Component, Ingredient, Scale
from blendlab.shelf.item import BANDS, KNOWN, Item
from blendlab.shelf.jar import Jar
from blendlab.shelf.oil import Constituent, Declaration, Declared, Oil, Sheet
from blendlab.shelf.owned import ITEMS, Shelf, item_from_dict
from blendlab.shelf.pigment import (
    MEASURED_WITH,
    PIGMENT_CLASSES,
    SURFACES,
    Calibration,
    Pigment,
    Swatch,
    known_by,
    same_lot,
)
from blendlab.shelf.resolved import (
    Blended,
    Dosed,
    DosedTone,
    Resolved,
    Stirred,
    Stock,
    lines_of,
    missing,
    resolve,
)

__all__ = [
    "BANDS",
    "CHARGES",
    "ITEMS",
    "KNOWN",
    "MEASURED_WITH",
    "PHASES",
    "PIGMENT_CLASSES",
    "SURFACES",
    "Base",
    "BaseLine",
    "Blended",
    "Calibration",
    "Component",
    "Constituent",
    "Declaration",
    "Declared",
    "Dosed",
    "DosedTone",
    "Ingredient",
    "Item",
    "Jar",
    "Lot",
    "Oil",
    "Pigment",
    "Price",
    "Resolved",
    "Scale",
    "Sheet",
    "Shelf",
    "Stirred",
    "Stock",
    "Swatch",
    "embedded",
    "item_from_dict",
    "known_by",
    "lines_of",
    "missing",
    "pinned",
    "resolve",
    "same_lot",
]
