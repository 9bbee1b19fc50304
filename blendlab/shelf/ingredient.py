"""Raw materials and the scales they are weighed on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import ClassVar

from blendlab.codec import Noun, choice, number, text
from blendlab.shelf.base import Price
from blendlab.shelf.item import Item

PHASES = ("water", "dry", "fat", "cool", "fold")

CHARGES = ("", "anionic", "cationic", "amphoteric", "nonionic")


@dataclass(frozen=True, kw_only=True)
class Component(Noun):
    """One component of a raw material: INCI, CAS, percent low and high."""

    inci: str = text(120)
    cas: str = text(12, default="")
    low_pct: float = number(0, 100, "% of the ingredient")
    high_pct: float = number(0, 100, "% of the ingredient")


@dataclass(frozen=True, kw_only=True)
class Ingredient(Item):
    """A raw material: a mixture of components until shown otherwise. None means unknown.

    function       in words; "preservative", "surfactant", "water", "acid" ... count in checks
    phase          when it goes in: "water", "dry", "fat", "cool" or "fold"
    water_pct      water in it; active_pct: active surfactant in it
    charge         "anionic", "cationic", "amphoteric", "nonionic" or "" for neither
    low_pct        least that its sheet asks for; high_pct: most that its sheet allows
    add_below_c    highest temperature of the product when it goes in, by its sheet
    care           protection of who handles it, in words
    limits         active or CAS -> highest percent of the finished product
    """

    kind: ClassVar[str] = "ingredient"
    function: str = text(60)
    components: tuple[Component, ...]
    density_g_ml: float | None = number(0.1, 25, "g/ml", default=None)
    price_per_g: float | None = number(0, 10_000, "per g", default=None)
    limits: Mapping[str, float] = field(default_factory=dict)
    phase: str = choice(PHASES, default="water")
    water_pct: float | None = number(0, 100, "% of the ingredient", default=None)
    active_pct: float = number(0, 100, "% of the ingredient", default=0.0)
    charge: str = choice(CHARGES, default="")
    low_pct: float | None = number(0, 100, "% of the finished product", default=None)
    high_pct: float | None = number(0, 100, "% of the finished product", default=None)
    add_below_c: float | None = number(0, 150, "C", default=None)
    flash_c: float | None = number(-50, 400, "C", default=None)
    care: str = text(200, default="")
    supplier: str = text(80, default="")
    lot: str = text(40, default="")
    received: date | None = None
    expiry: date | None = None
    price: Price | None = None


@dataclass(frozen=True, kw_only=True)
class Scale(Item):
    """A scale: the step of its display and its capacity, both in grams."""

    kind: ClassVar[str] = "scale"
    step_g: float = number(0.0001, 100, "g")
    capacity_g: float = number(0.1, 100_000, "g")
