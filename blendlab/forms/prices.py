"""Typed prices -> prices of what is on her shelf."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from blendlab import store
from blendlab.forms.form import Form, Typed
from blendlab.forms.on_shelf import save
from blendlab.shelf import (
    Base,
    Ingredient,
    Item,
    Jar,
    Price,
)


def price_of(form: Form) -> Price | None:
    """The price of the pack that was typed, or None; what could not be read is answered."""
    if not form.text("price"):
        return None
    cost = form.wanted("price", "Price of the pack", "", 0, 1_000_000)
    grams = form.figure("pack", "Grams of the pack", "g", 0.001, 1_000_000)
    shipping = form.figure("shipping", "Share of the postage", "", 0, 100_000) or 0.0
    if grams is None:
        grams = form.wanted("grams", "Grams of the pack", "g", 0.001, 1_000_000)
    return None if form.answers else Price(pack_price=cost, pack_g=grams, shipping=shipping)


def bought(item: Any) -> bool:
    """Whether the shelf keeps a price of it: not of a base she cooks, which costs what goes into it."""
    return not (isinstance(item, Base) and item.lines)


def priced(item: Any, price: Price) -> Item:
    """The item with its price; per gram or per jar for what is not kept in packs."""
    if isinstance(item, Ingredient | Base):
        return replace(item, price=price)
    each = (price.pack_price + price.shipping + price.tax) / price.pack_g
    if isinstance(item, Jar):
        return replace(item, price_each=each)
    return replace(item, price_per_g=each)  # type: ignore[no-any-return]


def set_pack(folder: store.Folder, item: Any, typed: Typed) -> list[str]:
    """Write the price of a pack with its share of the postage; answers, or none.

    Grams of a pack are pieces for jars.
    """
    form = Form(typed)
    if item is None or not bought(item):
        return ["Choose what was bought."]
    price = price_of(form)
    if price is None:
        return form.answers or ["Price of the pack is missing."]
    dearer = form.tried(lambda: priced(item, price), "Price")
    if dearer is None:
        return form.answers
    problem = save(folder, dearer)
    return [problem] if problem else []


def per_kg(item: Any) -> float | None:
    """What was paid for a kilogram of something, or for a jar, waste not counted; None = not known."""
    if isinstance(item, Jar):
        return item.price_each
    if isinstance(item, Ingredient | Base):
        paid = item.price
        if paid is not None:
            return 1000 * (paid.pack_price + paid.shipping + paid.tax) / paid.pack_g
    each: float | None = getattr(item, "price_per_g", None)
    return None if each is None else 1000 * each


def set_price(folder: store.Folder, item: Any, figure: float) -> str:
    """Write a price of a kilogram, or of a jar with its lid; "" or what went wrong."""
    if not bought(item):
        return f"{item.name} costs what goes into it."
    if isinstance(item, Jar):
        return save(folder, replace(item, price_each=figure))
    if isinstance(item, Ingredient | Base):
        return save(folder, replace(item, price=Price(pack_price=figure, pack_g=1000.0)))
    return save(folder, replace(item, price_per_g=figure / 1000))
