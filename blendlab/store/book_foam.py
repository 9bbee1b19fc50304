"""Level cups of foam that the book holds of a base and the way it is whipped."""

from __future__ import annotations

from blendlab.store.book import Book
from blendlab.store.book_entries import FOAM
from blendlab.store.book_lists import entries_where
from blendlab.store.book_schema import BASE_OF, reading

OF_BATCHES = f"""kind = 'density' AND subject = ? AND batch IN (
    SELECT id FROM batches WHERE {BASE_OF} = ? AND json_valid(design)
    AND json_extract(design, '$.product') = ? AND json_extract(design, '$.batch.overrun_pct') IS ?)"""


def foam_cups(book: Book, base: str, product: str, overrun_pct: float | None) -> tuple[float, ...]:
    """Densities of the foam [g/ml] in every batch of a base and a product kind whipped alike, oldest first.

    base         its id; whichever revision and lot
    overrun_pct  as the design asks for it; None = as the base was
    """
    with reading(book.path) as link:
        found, _ = entries_where(link, OF_BATCHES, (FOAM, base, product, overrun_pct))
    standing = sorted((entry for _, entry in found if entry.stands), key=lambda entry: entry.first)
    return tuple(float(entry.data["g_ml"]) for entry in standing)
