"""What the stock is enough for, and when to order."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date
from typing import NamedTuple

from blendlab.batch.sheet import Plan
from blendlab.errors import Finding, OutOfRange


def largest_batch(stock_g: Sequence[float], percents: Sequence[float]) -> tuple[float, int]:
    """Largest batch [g] that the stock makes, and the index of what runs out first.

    >>> largest_batch([5200, 1400, 900, 75], [86.0, 6.0, 2.0, 0.8])[1]
    0
    """
    reach = {
        at: 100 * there / pct
        for at, (there, pct) in enumerate(zip(stock_g, percents, strict=True))
        if pct > 0
    }
    if not reach:
        raise OutOfRange("Percents", 0, 0.0001, 100, "%")
    first = min(reach, key=lambda at: reach[at])
    return reach[first], first


def reorder_at(daily_g: float, lead_days: float, safety_days: float) -> float:
    """Stock [g] at which to order: daily use over the lead time and a safety time.

    >>> reorder_at(140, 9, 5)
    1960
    """
    return daily_g * (lead_days + safety_days)


class Stock(NamedTuple):
    """Grams left of one lot and the day it ends; None = no date known."""

    lot: str
    grams: float
    expiry: date | None


def draw_order(stocks: Iterable[Stock]) -> tuple[Stock, ...]:
    """Lots in the order of use: the first to end first, lots without a date last."""
    return tuple(sorted(stocks, key=lambda one: (one.expiry is None, one.expiry or date.max, one.lot)))


class Short(NamedTuple):
    """What is missing for a batch, grams."""

    name: str
    missing_g: float


def shortages(needed_g: Mapping[str, float], there_g: Mapping[str, float]) -> tuple[Short, ...]:
    """What a batch needs beyond the stock; what nobody counted is not there.

    >>> shortages({"benzoin": 30.0, "cedar": 5.0}, {"benzoin": 10.0, "cedar": 9.0})
    (Short(name='benzoin', missing_g=20.0),)
    """
    return tuple(
        Short(name, needed - there_g.get(name, 0.0))
        for name, needed in needed_g.items()
        if needed > there_g.get(name, 0.0)
    )


def stock_findings(plan: Plan, there_g: Mapping[str, float]) -> tuple[Finding, ...]:
    """What a batch sheet needs beyond the stock, and how many jars the stock makes.

    there_g  "kind:id" -> grams left; things that are not in it were never counted and are left out
    """
    found = []
    for item, needed in plan.needs.items():
        if item not in there_g or needed <= there_g[item]:
            continue
        name = next(line.name for line in plan.lines if line.item == item)
        jars = int(plan.jars * there_g[item] / needed) if needed else 0
        text = f"{needed - there_g[item]:.2f} g of {name} short. Enough for {jars} jars."
        found.append(
            Finding(
                "caution", f"stock-{item}", f"batch.stock.{item}", text, "Order it or make fewer.", "her book"
            )
        )
    return tuple(found)
