"""The lots that a batch was really made of: with their grams, when they end, whether others follow."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

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
