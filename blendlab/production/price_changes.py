"""What a batch is made of in money a kilogram: as it was paid for then, as it is paid for now."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from decimal import Decimal

from blendlab.batch.cost import cents, money
from blendlab.batch.pricing import PerGram, glass_price
from blendlab.production.costs import Prices
from blendlab.production.judgement import Lots
from blendlab.production.stock_lots import Parts
from blendlab.store import BatchPage

NO_PRICE = "no price"


def price_changes(
    page: BatchPage, then: Prices, drawn: Mapping[str, Parts], now: Prices, lots: Lots, currency: str
) -> Iterator[tuple[str, str, str, str]]:
    """Each thing of a batch whose price is another: what, before, now, and what the new one is known by.

    then, drawn  prices with the shelf as it was then, and the lots with the grams that were weighed
    now, lots    prices with the shelf of today, and the lots that are taken now
    """
    needs = page.plan.pure_g
    for item, name in {line.item: line.name for line in page.plan.lines}.items():
        old = _of_drawn(then, drawn[item]) if drawn.get(item) else then.of_item(item)
        taken = lots.get(item)
        new = now.of_mixed(taken, needs.get(item, 0.0)) if taken else now.of_item(item)
        before, after = (_a_kg(each, currency) for each in (old, new))
        if before != after:
            yield (
                f"Price of {name}, with what stays in packs",
                before,
                after,
                new.basis or "no price was entered",
            )
    jar_id = str((page.design.get("jar") or {}).get("id", ""))
    glass = [glass_price(prices.shelf, jar_id) for prices in (then, now)]
    if glass[0] != glass[1]:
        before, after = (NO_PRICE if each is None else f"{cents(each)} {currency}" for each in glass)
        yield "Price of a jar with lid", before, after, "your shelf"


def _of_drawn(prices: Prices, parts: Parts) -> PerGram:
    """Cost of a gram of what was weighed out of some lots."""
    each = [(prices.of_lot(line).money, money(grams)) for line, grams in parts]
    if any(of_lot is None for of_lot, _ in each):
        return PerGram(None)
    paid = sum(((of_lot or 0) * grams for of_lot, grams in each), Decimal(0))
    return PerGram(paid / sum(grams for _, grams in each))


def _a_kg(each: PerGram, currency: str) -> str:
    return NO_PRICE if each.money is None else f"{cents(each.money * 1000)} {currency} a kg"
