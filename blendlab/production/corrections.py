"""A weighing that was written down wrong: a new line beside it, from a lot of the same thing."""

from __future__ import annotations

from blendlab import store
from blendlab.errors import UnknownName
from blendlab.store import Book, Refused


def correct_weighing(
    book: Book, code: str, number: int, grams: float, why: str, lot: int | None = None
) -> None:
    """Add a corrected weighing; the lot gives what the grams hold of the pure thing.

    lot  another lot than before; None = the same

    Raises Refused without a reason, for a lot of another thing and for a line that was thrown away;
    AlreadyWritten for a line that was corrected; Short; UnknownName for a number that is not of this batch.
    """
    page = store.batch(book, code)
    weighing = next((found for found in page.weighings if found.number == number), None)
    if weighing is None:
        raise UnknownName(
            "weighing of this batch", str(number), [str(found.number) for found in page.weighings]
        )
    line = page.now.line(weighing.line)
    if lot is not None and store.lot(book, lot).item != line.item:
        raise Refused(f"That lot is not one of {line.name}.")
    book.correct_weighing(number, grams, why, lot, draw_g=grams * line.stock_pct / 100)
