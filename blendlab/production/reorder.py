"""When to order: what was used lately against what is left."""

from __future__ import annotations

from datetime import date, timedelta

from blendlab import store
from blendlab.batch.stock import to_order
from blendlab.facts.read import figure
from blendlab.shelf import Shelf
from blendlab.store import Book
from blendlab.units import plain


def sentences(book: Book, shelf: Shelf, on: date) -> tuple[str, ...]:
    """A sentence for each thing whose stock is at or below the point at which to order it."""
    days, lead = figure("batch", "use_days").value, figure("batch", "lead_days").value
    safety = figure("batch", "safety_days").value
    left = store.stock(book, on)
    used = store.used(book, on - timedelta(days=days))
    return tuple(
        f"Order {_name(shelf, item)}: {plain(left.get(item, 0.0), 1)} g left, order at {plain(grams, 1)} g "
        f"(use of the last {days:g} days, {lead:g} days to come and {safety:g} to spare: common practice)."
        for item, grams in to_order(used, days, left).items()
    )


def _name(shelf: Shelf, item: str) -> str:
    kind, _, item_id = item.partition(":")
    found = shelf.today(kind, item_id)
    return item_id if found is None else found.name
