"""Oils, with what their suppliers say of them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import ClassVar

from blendlab.codec import Noun, choice, number, reference, text
from blendlab.recipe import Ref
from blendlab.shelf.item import Item


@dataclass(frozen=True, kw_only=True)
class Sheet(Noun):
    """A supplier's certificate: highest percent of the oil in the finished product by category.

    limits  category ("1", "5A", "9" ...) -> percent; a category that is absent is not for that use
    """

    amendment: int = number(1, 99, "")
    issued: date | None
    limits: Mapping[str, float] = field(default_factory=dict)
    document: str = text(120, default="")


@dataclass(frozen=True, kw_only=True)
class Declared(Noun):
    """One row of an allergen declaration: percent in the oil; `below` for a figure written "<"."""

    pct: float = number(0, 100, "% of the oil")
    below: bool = False


@dataclass(frozen=True, kw_only=True)
class Declaration(Noun):
    """A supplier's allergen declaration: CAS -> percent in the oil.

    names     "old26" (list of 2003) or "new81" (list of 2023)
    complete  every name of that list was looked for; what is absent is then 0, otherwise unknown
    """

    names: str = choice(("old26", "new81"))
    issued: date | None
    rows: Mapping[str, Declared] = field(default_factory=dict)
    complete: bool = False


@dataclass(frozen=True, kw_only=True)
class Constituent(Noun):
    """Percent of a substance in an oil: low, typical, high."""

    name: str = text(120)
    low: float = number(0, 100, "% of the oil")
    typical: float = number(0, 100, "% of the oil")
    high: float = number(0, 100, "% of the oil")
    source: str = text(300, default="")


@dataclass(frozen=True, kw_only=True)
class Oil(Item):
    """A fragrance or essential oil with what its supplier says of it.

    constituents  CAS -> low, typical, high; from the library or from a lot analysis
    analysed      the constituents are those of this lot
    notes         shares of top, middle, base; they add up to 1
    label_name    name that law gives to the oil itself on a label, or ""
    library_id    oil of the library its constituents and defaults were taken from, or ""
    opened       day the bottle was first opened
    peroxide_mmol_l, peroxide_on  peroxide value of the lot and the day it was measured
    solvent      solvent or phthalate note of the supplier, in words
    dilution_of  the oil that this one is a dilution of; dilution_pct: percent of it
    carrier      what it is diluted in
    """

    kind: ClassVar[str] = "oil"
    group: str = choice(("essential_oil", "absolute", "fragrance_oil"))
    sheet: Sheet | None = None
    declaration: Declaration | None = None
    constituents: Mapping[str, Constituent] = field(default_factory=dict)
    analysed: bool = False
    notes: tuple[float, float, float] | None = None
    flash_c: float | None = number(-50, 400, "C", default=None)
    density_g_ml: float | None = number(0.5, 2, "g/ml", default=None)
    vanillin_pct: float | None = number(0, 100, "% of the oil", default=None)
    ethyl_vanillin_pct: float | None = number(0, 100, "% of the oil", default=None)
    price_per_g: float | None = number(0, 10_000, "per g", default=None)
    cas: str = text(12, default="")
    inci: str = text(120, default="")
    plant_part: str = text(40, default="")
    label_name: str = text(80, default="")
    library_id: str = text(20, default="")
    supplier: str = text(80, default="")
    lot: str = text(40, default="")
    received: date | None = None
    expiry: date | None = None
    opened: date | None = None
    peroxide_mmol_l: float | None = number(0, 10_000, "mmol/l", default=None)
    peroxide_on: date | None = None
    solvent: str = text(200, default="")
    dilution_of: Ref | None = reference("oil", default=None)
    dilution_pct: float | None = number(0.01, 100, "% of the pure oil", default=None)
    carrier: str = text(120, default="")
