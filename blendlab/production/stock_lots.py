"""Lots of the book for a batch: which to take, how they share a line, when they end, what is short."""

from __future__ import annotations

from collections.abc import Mapping

from blendlab import batch, store
from blendlab.batch import Line, Plan
from blendlab.batch.stock import enough_for
from blendlab.errors import Finding, worst_first
from blendlab.store import BatchPage, Book, LotLine
from blendlab.units import on_scale, plain


def lots_to_take(book: Book, chosen: Mapping[str, int]) -> dict[str, LotLine]:
    """Lot to take of each thing: hers where she chose one that holds something, else the first to end."""
    full = {line.number: line for line in store.lots(book) if line.left_g > 0}
    hers = {item: full[number] for item, number in chosen.items() if number in full}
    return {**store.next_lots(book), **hers}


def lot_words(line: LotLine) -> str:
    """A lot in a list: code, what is left, until when."""
    until = f", until {line.lot.expiry}" if line.lot.expiry else ""
    return f"{line.lot.code}, {plain(line.left_g, 2)} g left{until}"


def _lot_of_line(page: BatchPage) -> dict[str, int]:
    """Line -> the lot it was last weighed from, where one was named."""
    weighed = (weighing for weighing in page.weighings if not weighing.corrected)
    return {weighing.line: weighing.lot for weighing in weighed if weighing.lot is not None}


def takes(book: Book, line: Line, grams: float, lot: int | None) -> list[tuple[int | None, float, float]]:
    """Lots that a weighing is drawn from: the chosen one, then those that end first.

    Gives lot, grams weighed, grams of the pure thing that leave the lot.
    """
    share = line.stock_pct / 100
    if lot is None:
        return [(None, grams, grams * share)]
    others = [
        other.number for other in store.lots(book, line.item) if other.number != lot and other.left_g > 0
    ]
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


def new_lots(book: Book, page: BatchPage) -> tuple[str, ...]:
    """Sentences about pigments and bases whose lot is another one now."""
    then, now = _lot_of_line(page), store.next_lots(book)
    told = []
    for line in (line for line in page.plan.lines if line.what in ("pigment", "base")):
        before, following = then.get(line.id), now.get(line.item)
        if before is not None and following is not None and following.number != before:
            told.append(
                f"New lot of {line.name}: {following.lot.code}, "
                f"the last was {store.lot(book, before).lot.code}. "
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
