"""Things counted in pieces: empty jars, lids, labels. A batch draws what its filled jars took."""

from __future__ import annotations

import json
import sqlite3
from collections.abc import Container, Iterable

from blendlab.store import book_lines
from blendlab.store.book import Book
from blendlab.store.book_lots import lots
from blendlab.store.book_schema import UNITS_PER_GRAM, writing

PIECES = ("jar", "lid", "label")
"""Kinds of lots that are counted, not weighed: one piece stands where elsewhere a gram does."""


def unit_of(item: str) -> str:
    """What a thing ("kind:id") is counted in.

    >>> unit_of("lid:j120"), unit_of("oil:lavender")
    ('pieces', 'g')
    """
    return "pieces" if item.partition(":")[0] in PIECES else "g"


def draw_pieces(book: Book, code: str, items: Iterable[str], jars: int, note: str = "") -> None:
    """Draw for each thing ("kind:id") as many pieces as a batch filled jars, those that came first, first.

    What the batch drew before counts, and what it drew too much goes back. What nobody counted or what is
    held back is not drawn, and no lot is drawn below nothing.

    note  why it is drawn anew, kept with each movement
    """
    with writing(book.path) as link:
        batch = book_lines.batch(link, code)
        for item in items:
            held = {line.number for line in lots(book, item) if line.held}
            _draw(link, batch, item, jars * UNITS_PER_GRAM, note, held)


def _draw(
    link: sqlite3.Connection, batch: int, item: str, wanted: int, note: str, held: Container[int]
) -> None:
    came = link.execute("SELECT id FROM lots WHERE item = ? AND corrects IS NULL ORDER BY id", (item,))
    lots = [row["id"] for row in came]
    rows = link.execute(
        "SELECT lot, -sum(units) AS units FROM movements"
        " WHERE batch = ? AND lot IN (SELECT value FROM json_each(?)) GROUP BY lot",
        (batch, json.dumps(lots)),
    )
    drawn = {row["lot"]: int(row["units"]) for row in rows}
    open_units = wanted - sum(drawn.values())
    for lot in lots:
        free = 0 if lot in held else book_lines.left_units(link, lot)
        taken = min(max(open_units, 0), free)
        if taken > 0:
            book_lines.move(link, lot, -taken, "draw", batch, note=note)
            open_units -= taken
    for lot in reversed(lots):
        back = min(max(-open_units, 0), drawn.get(lot, 0))
        if back > 0:
            book_lines.move(link, lot, back, "correction", batch, note=note)
            open_units += back
