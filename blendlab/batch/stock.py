"""What the stock is enough for, and when to order."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import NamedTuple

from blendlab.batch.sheet import Plan
from blendlab.errors import Finding, OutOfRange, counted
from blendlab.facts.read import figure
from blendlab.units import floored

ORDER = "Order it or make fewer."
COOK_OR_ORDER = "Cook or order more, or make fewer."


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


class Enough(NamedTuple):
    """Largest batch [g] like a planned one that the counted stock makes, and what runs out first."""

    batch_g: float
    first: str


def enough_for(plan: Plan, there_g: Mapping[str, float]) -> Enough | None:
    """How far the stock goes in batches of the same percents; None where nothing of it was counted.

    there_g  "kind:id" -> grams left; what is not in it was never counted and does not bound the batch
    """
    known = {item: needed for item, needed in plan.needs.items() if item in there_g and needed > 0}
    if not known or plan.batch_g <= 0:
        return None
    percents = [100 * needed / plan.batch_g for needed in known.values()]
    grams, at = largest_batch([there_g[item] for item in known], percents)
    return Enough(grams, plan.name_of(list(known)[at]))


def jars_for(plan: Plan, item: str, share: float) -> int:
    """Whole jars like those of a plan that a share of what it needs of a thing makes.

    item  "kind:id"; of what is weighed into the batch as much is held back of few jars as of many, of what
          each jar takes for itself (dust, a lid) nothing
    """
    each = plan.net_g * (1 + plan.overfill_pct / 100)
    if each <= 0 or all(line.beside for line in plan.lines if item in (line.item, line.carrier)):
        return int(floored(plan.jars * share, 0))
    filled = plan.batch_g * share * (1 - plan.loss_pct / 100) - plan.retained_g
    return int(floored(max(0.0, filled) / each, 0))


def to_order(
    used_g: Mapping[str, float],
    days: float,
    there_g: Mapping[str, float],
    wait: tuple[float, float] | None = None,
) -> dict[str, float]:
    """What stands at or below the stock at which to order: "kind:id" -> that stock [g].

    used_g  grams that were used of each thing in the last `days`
    wait    days from an order to its arrival, and to spare; None = by common practice
    """
    if days <= 0:
        raise OutOfRange("Days", days, 1, 10_000, "days")
    lead, safety = wait or (figure("batch", "lead_days").value, figure("batch", "safety_days").value)
    at = {item: reorder_at(grams / days, lead, safety) for item, grams in used_g.items()}
    return {item: grams for item, grams in at.items() if there_g.get(item, 0.0) <= grams and grams > 0}


def stock_findings(plan: Plan, there_g: Mapping[str, float]) -> tuple[Finding, ...]:
    """What a batch sheet needs beyond the stock, and how many jars the stock makes.

    there_g  "kind:id" -> grams left; things that are not in it were never counted and are left out
    """
    found = []
    for item, needed in plan.needs.items():
        if item not in there_g or needed <= there_g[item]:
            continue
        jars = counted(jars_for(plan, item, there_g[item] / needed), "jar")
        text = f"{needed - there_g[item]:.2f} g of {plan.name_of(item)} short. Enough for {jars}."
        found.append(
            Finding(
                "caution",
                f"stock-{item}",
                f"batch.stock.{item}",
                text,
                COOK_OR_ORDER if item.startswith("base:") else ORDER,
                "your book",
            )
        )
    return tuple(found)
