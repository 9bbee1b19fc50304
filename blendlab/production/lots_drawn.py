"""The lots that a batch was really made of: with their grams, when they end, whether others follow."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from blendlab import store
from blendlab.errors import Finding
from blendlab.production.stock_lots import BOOK, Parts
from blendlab.store import BatchPage, Book


@dataclass(frozen=True)
class Drawn:
    """What a batch was made of: "kind:id" -> lots with the grams weighed of each.

    unread  a stop for each line about one of its lots that cannot be read
    """

    parts: Mapping[str, Parts]
    unread: tuple[Finding, ...]


def drawn(book: Book, page: BatchPage) -> Drawn:
    """The lots that were weighed into a batch; what was thrown away is not in it."""
    grams: dict[int, float] = {}
    for weighing in page.weighings:
        if weighing.stands and weighing.lot is not None:
            grams[weighing.lot] = round(grams.get(weighing.lot, 0.0) + weighing.weighed_g, 9)
    known = {line.number: line for line in store.lots(book)}
    parts: dict[str, Parts] = {}
    for number, mass in grams.items():
        if number in known:
            line = known[number]
            parts[line.item] = (*parts.get(line.item, ()), (line, mass))
    unread = tuple(
        Finding(
            "stop",
            f"lot-unread-{position}",
            "book.lots",
            f"A lot of this batch cannot be read. {sentence}",
            "Do not sell this batch: what that lot was is not known.",
            BOOK,
        )
        for position, sentence in enumerate(store.unread_lots(book, grams))
    )
    return Drawn(parts, unread)


def _lot_of_line(page: BatchPage) -> dict[str, int]:
    """Line -> the lot it was last weighed from, where one was named."""
    weighed = (weighing for weighing in page.weighings if not weighing.corrected)
    return {weighing.line: weighing.lot for weighing in weighed if weighing.lot is not None}


def new_lots(book: Book, page: BatchPage, on: date) -> tuple[str, ...]:
    """Sentences about pigments and bases whose lot is another one now."""
    then, now = _lot_of_line(page), store.next_lots(book, on)
    known = {line.number: line.lot.code for line in store.lots(book)}
    told = []
    for line in (line for line in page.plan.lines if line.what in ("pigment", "base")):
        before, following = then.get(line.id), now.get(line.item)
        if before is not None and following is not None and following.number != before:
            told.append(
                f"New lot of {line.name}: {following.lot.code}, "
                f"the last was {known.get(before, 'one that cannot be read')}. "
                "Make a swatch before you trust the colour."
            )
    return tuple(dict.fromkeys(told))
