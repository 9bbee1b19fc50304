"""What a batch would be short of: stock, the lot that is to be taken, lots that lie aside."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import date

from blendlab import batch, store
from blendlab.batch import Plan
from blendlab.batch.stock import enough_for
from blendlab.errors import Finding, worst_first
from blendlab.production.stock_lots import BOOK, codes, lot_words
from blendlab.store import Book, LotLine
from blendlab.units import on_scale, plain


def findings_with_stock(
    book: Book, made: Plan, lots: Mapping[str, Sequence[LotLine]], on: date
) -> tuple[Finding, ...]:
    """What is unwise about a batch, the stock of the book and the lots to be taken included."""
    stock = store.stock(book, on)
    return worst_first(
        (
            *made.findings,
            *batch.stock_findings(made, stock),
            *_lots_short(made, lots, stock),
            *_aside(book, made, on),
        )
    )


def _lots_short(
    made: Plan, lots: Mapping[str, Sequence[LotLine]], stock: Mapping[str, float]
) -> Iterable[Finding]:
    """A lot that does not hold its line while others would: nobody mixes them without being asked."""
    for item, needed in made.needs.items():
        held = sum(line.left_g for line in lots.get(item, ()))
        if lots.get(item) and held < needed <= stock.get(item, 0.0):
            name = lots[item][0].lot.name or item.partition(":")[2]
            text = f"{codes(lots[item])} of {name}: {plain(held, 2)} g of the {plain(needed, 2)} g asked for."
            fix = "Take another lot, or mix a second one in."
            yield Finding("caution", f"lot-short-{item}", f"batch.lots.{item}", text, fix, BOOK)


def _aside(book: Book, made: Plan, on: date) -> Iterable[Finding]:
    """Lots with something left that are not taken unasked, and why."""
    needs = made.needs
    for line in store.lots(book):
        if line.item in needs and line.left_g > 0 and not line.usable(on):
            text = f"{line.lot.name}: lot {lot_words(line, on)}. It is not taken by itself."
            yield Finding("note", f"lot-aside-{line.number}", f"batch.lots.{line.item}", text, "", BOOK)


def stock_words(made: Plan, stock: Mapping[str, float]) -> str:
    """How large a batch like this one the counted stock makes; "" where nothing of it was counted."""
    enough = enough_for(made, stock)
    return "" if enough is None else f"{on_scale(enough.batch_g, 1)} g of batch, then {enough.first} is out"
