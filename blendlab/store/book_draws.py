"""What a batch took out of its lots, in grams; what was thrown away on the way counts."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from blendlab.store import book_lines
from blendlab.store.book import Book
from blendlab.store.book_lines import to_grams, to_units
from blendlab.store.book_schema import reading, writing


def write_drawn(
    book: Book, code: str, kind: str, subject: str, data: Mapping[str, Any], lot: int, grams: float
) -> int:
    """Write an entry of a batch and draw what it took from a lot, both or neither. Returns its number.

    Raises Short when the lot holds less, BadDocument for unfit values.
    """
    with writing(book.path) as link:
        batch = book_lines.batch(link, code)
        book_lines.draw(link, lot, to_units(grams))
        book_lines.move(link, lot, -to_units(grams), "draw", batch, note=kind)
        return book_lines.insert_entry(link, batch, kind, subject, data)


Take = tuple[int, float] | None
"""Number of a lot and the grams that left it; None = of no lot."""


def draw_anew(book: Book, code: str, before: Take, after: Take, why: str) -> None:
    """Give back what an entry of a batch drew and draw what it should have, both or neither.

    why  what was wrong with it

    Raises Short when the lot holds less.
    """
    if before == after:
        return
    with writing(book.path) as link:
        batch = book_lines.batch(link, code)
        if before is not None:
            book_lines.move(link, before[0], to_units(before[1]), "correction", batch, note=why)
        if after is not None:
            book_lines.draw(link, after[0], to_units(after[1]))
            book_lines.move(link, after[0], -to_units(after[1]), "draw", batch, note=why)


def drawn(book: Book, code: str) -> dict[int, float]:
    """Grams that a batch took of each lot, by its number; corrections counted, waste included.

    Nothing for a code that is not in the book.
    """
    with reading(book.path) as link:
        rows = link.execute(
            "SELECT lot, -sum(units) AS units FROM movements WHERE why IN ('draw', 'correction', 'waste')"
            " AND batch = (SELECT id FROM batches WHERE code = ?) GROUP BY lot",
            (code,),
        ).fetchall()
    return {row["lot"]: to_grams(row["units"]) for row in rows if row["units"]}
