"""How a batch came out, jars or a cooked base, and where its grams went."""

from __future__ import annotations

from blendlab import store
from blendlab.batch.balance import Balance, balance_findings
from blendlab.production import pot
from blendlab.production.outcome import Outcome, outcome, sizes
from blendlab.store import BatchPage, Book


def of_batch(book: Book, page: BatchPage) -> Outcome:
    """How a batch of jars came out, or a cooked base once it is a lot."""
    if page.line.kind != "base":
        return outcome(page)
    made = next((line.came_g for line in store.lots(book) if line.batch == page.line.code), None)
    kept = None if made is None else cooked_balance(page, made)
    found = () if kept is None else tuple(balance_findings(kept))
    return Outcome(*sizes(page), 0.0, 0, None, None, kept, found)


def cooked_balance(page: BatchPage, base_g: float) -> Balance:
    """Where the grams of a cooked base went, by what was weighed and typed.

    base_g  what came out of the pot
    """
    whole = round(sum(page.weighed.values()) + pot.water_g(page), 9)
    return Balance(
        in_g=whole,
        jars_g=0.0,
        retained_g=0.0,
        left_g=sum(float(entry.data.get("left_g", 0.0)) for entry in page.of("yield")),
        estimated=False,
        base_g=base_g,
        steam_g=max(0.0, round(whole - pot.mass_g(page), 9)),
    )
