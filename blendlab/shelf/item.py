"""What every thing on the shelf has: id, name, and a revision that follows from its content."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import cached_property
from typing import Any, ClassVar

from blendlab.codec import Noun, digest, text
from blendlab.recipe import Ref

BANDS = 31
"""Bands of a spectrum: 400 to 700 nm in steps of 10 nm."""

KNOWN = ("estimate", "measured")

FORMAT = 1
"""Format of an item; a field that comes later has a default and needs no other."""


PRICES = ("price", "price_per_g", "price_each")
"""Fields that say what a thing costs: nothing of a jar follows from them. Who sells it is none of them,
for an oil of another house is another oil."""


@dataclass(frozen=True, kw_only=True)
class Item(Noun):
    """Base of everything on the shelf."""

    kind: ClassVar[str]
    id: str = text(80)
    name: str = text(80)
    format: int = FORMAT

    @property
    def newer(self) -> bool:
        """Whether a later version of the program wrote it: to use, not to change."""
        return self.format > FORMAT

    @cached_property
    def rev(self) -> str:
        """Digest of the content."""
        return digest(self)

    @cached_property
    def matter(self) -> str:
        """The revision it would have without a price: equal while nothing of a jar can have changed."""
        free: dict[str, Any] = {field.name: field.default for field in fields(self) if field.name in PRICES}
        return digest(replace(self, **free))

    def price_words(self, currency: str) -> str:
        """What it costs, in words; "no price" where none is known."""
        told = (_price_words(name, getattr(self, name, None), currency) for name in PRICES)
        return "; ".join(filter(None, told)) or "no price"

    @property
    def ref(self) -> Ref:
        """Reference to this revision."""
        return Ref(kind=self.kind, id=self.id, rev=self.rev)


def _price_words(name: str, price: Any, currency: str) -> str:
    if price is None:
        return ""
    if name == "price_per_g":
        return f"{1000 * price:.12g} {currency} a kg"
    if name == "price_each":
        return f"{price:.12g} {currency} a jar"
    beside = {"postage": (price.shipping, currency), "tax": (price.tax, currency)}
    beside["waste"] = (100 * (price.waste or 0), "%")
    more = "".join(f", {word} {figure:.12g} {unit}" for word, (figure, unit) in beside.items() if figure)
    return f"{price.pack_price:.12g} {currency} for {price.pack_g:.12g} g{more}"
