"""Making a base beside buying it: raw materials, her work and what is lost, a kilogram of each."""

from __future__ import annotations

from decimal import Decimal

from blendlab.batch.cost import cents, make_or_buy_kg, work
from blendlab.batch.pricing import per_gram_of
from blendlab.production.costs import Prices
from blendlab.production.settings import Settings
from blendlab.shelf import Base

NO_WORK = "Your work is not in it: enter its minutes and the rate of an hour (Batch, rates)."


def make_or_buy(base: Base, prices: Prices, kept: Settings, buy_per_kg: float, grams: float | None) -> str:
    """Make or buy, in sentences: by the newest lot she cooked of it, else by its formula.

    grams  of a lot to cook, over which the work is shared; None = not typed
    """
    made, said = _of_newest(base, prices) or _of_formula(base, prices, grams)
    if made is None:
        return said
    from_kg = make_or_buy_kg(buy_per_kg, made, kept.fixed_per_year)
    said = f"{said} Made {made:.2f} {kept.currency} a kg, bought {buy_per_kg:.2f} {kept.currency}."
    if from_kg is None:
        return f"{said} Buying is cheaper, however many such lots you cook."
    if not kept.fixed_per_year:
        less = cents(Decimal(repr(buy_per_kg)) - made)
        return (
            f"{said} Making is {less} {kept.currency} a kg cheaper; no fixed costs are in it (Batch, rates)."
        )
    fixed = f"{cents(kept.fixed_per_year)} {kept.currency}"
    return f"{said} Making pays from {from_kg:.0f} kg a year on, if it alone bears your fixed {fixed} a year."


def _of_newest(base: Base, prices: Prices) -> tuple[Decimal, str] | None:
    """Cost of a kilogram of the lot she cooked last, and what it is made of; None without a price of it."""
    each = prices.of_newest(f"base:{base.id}")
    return None if each is None or each.money is None else (each.money * 1000, f"Your {each.basis}.")


def _of_formula(base: Base, prices: Prices, grams: float | None) -> tuple[Decimal | None, str]:
    each, rates = per_gram_of(base, prices.shelf), prices.rates
    if each.money is None:
        names = ", ".join(each.unpriced)
        return None, f"No price of {names}: making cannot be compared with buying."
    material, worked = each.money * 1000, work(rates.cook_minutes, rates.per_h)
    said = f"By its formula: {material:.2f} {prices.currency} of raw materials"
    if not worked:
        return material, f"{said}. {NO_WORK}"
    if not grams:
        return material, f"{said}. Your work is not in it: type how many grams you cook at a time."
    of_kg = worked / Decimal(repr(grams)) * 1000
    return (
        material + of_kg,
        f"{said}, {of_kg:.2f} {prices.currency} of work at {grams:g} g a time; nothing counted as lost.",
    )
