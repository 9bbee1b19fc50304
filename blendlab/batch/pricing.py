"""A batch sheet in money: what each line costs from her packs, and what a jar must sell for."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

from blendlab.batch.cost import Costed, Rates, costed, money, of_price
from blendlab.batch.sheet import Plan
from blendlab.errors import UnknownName
from blendlab.shelf import Base, Shelf


def per_gram_of(item: Any, shelf: Shelf) -> Decimal | None:
    """Cost of a gram of a thing on the shelf; a base without a price is summed from its lines.

    None as soon as one price is not known.
    """
    own = of_price(getattr(item, "price", None), getattr(item, "price_per_g", None))
    if own is not None or not isinstance(item, Base) or not item.lines:
        return own
    total = Decimal(0)
    for line in item.lines:
        each = per_gram_of(shelf.find(line.ingredient), shelf) if shelf.has(line.ingredient) else None
        if each is None:
            return None
        total += each * money(line.pct) / 100
    return total


def price_plan(plan: Plan, shelf: Shelf, rates: Rates, jars_filled: int | None = None) -> Costed:
    """Cost of every line by its name, of a jar, and the price.

    jars_filled  jars that really came out; None = as planned
    """
    grams: dict[str, float] = {}
    prices: dict[str, Decimal | None] = {}
    for line in plan.lines:
        kind, _, item_id = line.item.partition(":")
        grams[line.name] = grams.get(line.name, 0.0) + line.pure_g
        prices[line.name] = per_gram_of(shelf.today(kind, item_id), shelf)
    return costed(grams, prices, plan.jars if jars_filled is None else jars_filled, rates)


def with_jar(rates: Rates, shelf: Shelf, jar_id: str) -> Rates:
    """The rates with the price of a jar of the shelf as packaging, when the jar has one."""
    glass = shelf.today("jar", jar_id)
    if glass is None:
        raise UnknownName("jar", jar_id, [known.id for known in shelf.of("jar")])
    each = getattr(glass, "price_each", None)
    return rates if each is None else replace(rates, packaging=rates.packaging + money(each))
