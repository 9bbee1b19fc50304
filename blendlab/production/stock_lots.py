"""Lots of the book for a batch: which to take, how they share a line, when they end, what is short."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from blendlab import batch, store
from blendlab.batch import Line, Plan
from blendlab.batch.stock import enough_for
from blendlab.errors import Finding, worst_first
from blendlab.shelf import Shelf
from blendlab.store import BatchPage, Book, LotLine
from blendlab.units import on_scale, plain


def lots_to_take(book: Book, chosen: Mapping[str, int]) -> dict[str, LotLine]:
    """Lot to take of each thing: hers where she chose one that holds something, else the first to end."""
    numbers = {one.number: one for one in store.lots(book)}
    hers = {item: numbers[number] for item, number in chosen.items() if number in numbers}
    return {**store.next_lots(book), **hers}


def lot_words(line: LotLine) -> str:
    """A lot in a list: code, what is left, until when."""
    until = f", until {line.lot.expiry}" if line.lot.expiry else ""
    return f"{line.lot.code}, {plain(line.left_g, 2)} g left{until}"


def expiries(book: Book, page: BatchPage) -> tuple[date | None, ...]:
    """Day each lot of a batch ends."""
    numbers = dict.fromkeys(one.lot for one in page.weighings if one.lot is not None and not one.corrected)
    return tuple(store.lot(book, one).lot.expiry for one in numbers)


def takes(book: Book, line: Line, grams: float, lot: int | None) -> list[tuple[int | None, float, float]]:
    """Lots that a weighing is drawn from: the chosen one, then those that end first.

    Gives lot, grams weighed, grams of the pure thing that leave the lot.
    """
    share = line.stock_pct / 100
    if lot is None:
        return [(None, grams, grams * share)]
    others = [one.number for one in store.lots(book, line.item) if one.number != lot and one.left_g > 0]
    rest, found = grams * share, []
    for number in (lot, *others):
        taken = min(rest, store.lot(book, number).left_g)
        if taken > 0:
            found.append((number, round(taken / share, 6), round(taken, 6)))
            rest = round(rest - taken, 6)
    if rest > 0 or not found:
        return [(lot, grams, grams * share)]
    return list(found)


def lots_in_words(book: Book, line: Line, lot: int | None) -> str:
    """How a line is shared among lots when the first does not hold it all."""
    shared = takes(book, line, line.grams, lot)
    if len(shared) > 1:
        each = (
            f"{plain(grams, 2)} g from {store.lot(book, number or 0).lot.code}" for number, grams, _ in shared
        )
        return f"One lot does not hold it all: {', then '.join(each)}."
    number, _, drawn = shared[0]
    if number is not None and store.lot(book, number).left_g < drawn:
        return f"The lots of {line.name} do not hold that much: count them, or take no named lot."
    return ""


def new_lots(book: Book, page: BatchPage, shelf: Shelf) -> tuple[str, ...]:
    """Sentences about pigments and bases whose lot is another one now."""
    then = {one.line: one.lot for one in page.weighings if one.lot is not None and not one.corrected}
    now = store.next_lots(book)
    told = []
    for line in page.plan.lines:
        next_lot, old = now.get(line.item), then.get(line.id)
        if (
            line.what in ("pigment", "base")
            and next_lot is not None
            and old is not None
            and next_lot.number != old
        ):
            code = store.lot(book, old).lot.code
            told.append(
                f"New lot of {line.name}: {next_lot.lot.code}, the last was {code}. "
                "Make a swatch before you trust the colour."
            )
    return tuple(dict.fromkeys(told))


def findings_with_stock(made: Plan, stock: Mapping[str, float]) -> tuple[Finding, ...]:
    """What is unwise about a batch, the stock of the book included."""
    return worst_first((*made.findings, *batch.stock_findings(made, stock)))


def stock_words(made: Plan, stock: Mapping[str, float]) -> str:
    """How large a batch like this one the counted stock makes; "" where nothing of it was counted."""
    enough = enough_for(made, stock)
    return "" if enough is None else f"{on_scale(enough.batch_g, 1)} g of batch, then {enough.first} is out"
