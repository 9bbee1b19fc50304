"""When to order: what her last batches used against what is left, with the days each thing takes to come."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta

from blendlab import store
from blendlab.batch.stock import to_order
from blendlab.errors import BlendlabError, OutOfRange, counted
from blendlab.facts.read import figure
from blendlab.production import pieces
from blendlab.shelf import Base, Shelf
from blendlab.store import PIECES, Book, Refused, unit_of
from blendlab.units import floored, plain

KEY = "order_days"
"""Under which her settings keep the days of a thing: "lead safety"."""
MOST = 1000
"""Days; more is a slip."""


@dataclass(frozen=True)
class Days:
    """From an order of a thing to its arrival, and what is kept to spare; own  whether they are hers."""

    lead: float
    safety: float
    own: bool = False


def days_of(folder: store.Folder, item: str) -> Days:
    """The days of a thing ("kind:id"): hers, else common practice."""
    try:
        said = store.read_settings(folder).get(KEY, {}).get(item, "")
        lead, safety = map(float, said.split())
        _refuse_unfit(lead, safety)
    except (BlendlabError, ValueError):
        return Days(figure("batch", "lead_days").value, figure("batch", "safety_days").value)
    return Days(lead, safety, own=True)


def set_days(folder: store.Folder, item: str, lead: float, safety: float) -> None:
    """Keep her own days for a thing. Raises OutOfRange for days that are none, Refused for none at all."""
    _refuse_unfit(lead, safety)
    said = store.read_settings(folder)
    store.save_settings(folder, {**said, KEY: {**said.get(KEY, {}), item: f"{lead:g} {safety:g}"}})


def _refuse_unfit(lead: float, safety: float) -> None:
    for what, days in (("Days to come", lead), ("Days to spare", safety)):
        if not 0 <= days <= MOST:
            raise OutOfRange(what, days, 0, MOST, "days")
    if lead + safety <= 0:
        raise Refused("Something takes at least a day to come.")


def sentences(folder: store.Folder, book: Book, shelf: Shelf, on: date) -> tuple[str, ...]:
    """A sentence for each thing whose stock is at or below the point at which to order it.

    The use is that of the last weeks, from the first batch in them that took the thing.
    """
    window, least = figure("batch", "use_days").value, figure("batch", "use_least").value
    left, found = store.stock(book, on), []
    for item, (grams, first) in store.used(book, on - timedelta(days=window)).items():
        days, wait = max(float((on - first).days), least), days_of(folder, item)
        for point in to_order({item: grams}, days, left, (wait.lead, wait.safety)).values():
            source = "your days" if wait.own else "common practice"
            act = "Cook" if _is_cooked(shelf, item) else "Order"
            there, at = _amount(item, left.get(item, 0.0)), _amount(item, point)
            found.append(
                f"{act} {name(shelf, item)}: {there} left, {act.lower()} at "
                f"{at} (use of the last {days:g} days, {wait.lead:g} days to come and "
                f"{wait.safety:g} to spare: {source})."
            )
    return tuple(found)


def _amount(item: str, amount: float) -> str:
    """Grams of a thing, or whole pieces: of 5.5 the fifth is the last that is not above."""
    if unit_of(item) == "g":
        return f"{plain(amount, 1)} g"
    return counted(int(floored(amount, 0)), "piece")


def _is_cooked(shelf: Shelf, item: str) -> bool:
    """Whether a thing is a base of her own formula."""
    kind, _, item_id = item.partition(":")
    found = shelf.today(kind, item_id) if kind == "base" else None
    return isinstance(found, Base) and bool(found.lines)


def name(shelf: Shelf, item: str) -> str:
    """A thing of the stock in words."""
    kind, _, item_id = item.partition(":")
    if kind in PIECES:
        return pieces.name(shelf, kind, item_id)
    found = shelf.today(kind, item_id)
    return item_id if found is None else found.name
