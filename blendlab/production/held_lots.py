"""A lot held back, and freed again: who takes it is asked, and both stand in the book with their reason."""

from __future__ import annotations

from blendlab import store
from blendlab.store import Book, Refused


def hold_back(book: Book, number: int, why: str) -> None:
    """Hold a lot back: nobody takes it until it is freed, and what was made of it is not released.

    Raises Refused without a reason and for a lot that is held back, UnknownName.
    """
    line = store.lot(book, number)
    if not why.strip():
        raise Refused("Say why the lot is held back: it is read by who frees it.")
    if line.held:
        raise Refused(f"Lot {line.lot.code} is held back already: {line.held}.")
    book.correct_lot(number, line.lot, {"held": why.strip()})


def free_again(book: Book, number: int, why: str) -> None:
    """Free a lot that was held back. Raises Refused without a reason and for one that is not, UnknownName."""
    line = store.lot(book, number)
    if not why.strip():
        raise Refused("Say what cleared the lot.")
    if not line.held:
        raise Refused(f"Lot {line.lot.code} is not held back.")
    book.correct_lot(number, line.lot, {"held": "", "freed": why.strip()})


def went_into(book: Book, number: int) -> tuple[str, ...]:
    """Codes of the batches of jars that a lot went into, through cooked bases too.

    Raises UnknownName for a lot that cannot be read.
    """
    return tuple(sorted(_jars(store.forward(book, number))))


def _jars(reach: store.Reach) -> set[str]:
    return {line.code for line in reach.batches if line.kind == "jars"}.union(*map(_jars, reach.onward))
