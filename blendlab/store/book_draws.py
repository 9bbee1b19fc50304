"""What a batch took out of its lots, in grams; what was thrown away on the way counts."""

from __future__ import annotations

from blendlab.store.book import Book
from blendlab.store.book_lines import to_grams
from blendlab.store.book_schema import reading


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
