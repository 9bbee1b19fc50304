"""Empty jars, lids and labels: counted in, drawn by what was filled; and any lot counted anew."""

from __future__ import annotations

from datetime import date

from blendlab import store
from blendlab.production import sales
from blendlab.production.plausible import whole
from blendlab.recipe import Ref
from blendlab.shelf import Jar, Lot, Shelf
from blendlab.store import PIECES, BatchPage, Book, LotLine, Refused, draw_pieces

NAMES = {"jar": "{jar}, empty", "lid": "lid of {jar}", "label": "label of {jar}"}


def items_of(jar_id: str) -> tuple[str, ...]:
    """What one filled jar takes, as "kind:id".

    >>> items_of("j120")
    ('jar:j120', 'lid:j120', 'label:j120')
    """
    return tuple(f"{kind}:{jar_id}" for kind in PIECES)


def counted(line: LotLine) -> bool:
    """Whether a lot is counted in pieces."""
    return line.lot.of.kind in PIECES


def name(shelf: Shelf, kind: str, jar_id: str) -> str:
    """A thing counted in pieces, in words."""
    jar = shelf.today("jar", jar_id)
    return NAMES[kind].format(jar=jar.name if jar is not None else jar_id)


def receive(book: Book, shelf: Shelf, kind: str, jar_id: str, count: float, code: str, on: date) -> None:
    """Write down that pieces came.

    Raises Refused for part of a piece, for none and for a jar that is not on the shelf.
    """
    if kind not in PIECES or not isinstance(shelf.today("jar", jar_id), Jar):
        raise Refused("Choose what came, and for which jar.")
    called = name(shelf, kind, jar_id)
    lot = Lot(code=code.strip(), of=Ref(kind=kind, id=jar_id), name=called[:80], received=on)
    book.receive(lot, whole(count, "pieces", 1))


CLOSED = "yield"
"""Step whose tick closes a batch: from then on its jars have taken their pieces."""


def draw(book: Book, page: BatchPage, why: str = "") -> None:
    """Draw what the filled jars of a closed batch took, where it is counted; too much drawn goes back.

    why  what changed the count of the jars since the batch was closed
    """
    jar = page.design.get("jar") or {}
    if page.line.kind == "jars" and CLOSED in page.ticked and jar.get("id"):
        draw_pieces(book, page.line.code, items_of(str(jar["id"])), sales.made(page), why.strip())


def change(book: Book, number: int, amount: float, why: str) -> None:
    """Write down what came to a lot or, less than 0, was wasted of it.

    amount  grams, or pieces of what is counted

    Raises Refused without a reason, for nothing and for part of a piece, Short for more than is there.
    """
    if not why.strip():
        raise Refused("Say why: counted, spilt, weighed anew.")
    if not amount:
        raise Refused("Nothing came and nothing left; there is nothing to write.")
    if counted(store.lot(book, number)):
        whole(abs(amount), "pieces")
    book.move(number, amount, "count" if amount > 0 else "waste", why.strip())


def count(book: Book, number: int, there: float, why: str) -> float:
    """Write down what of a lot is really there, where it is not what the book says. Returns the difference.

    there  grams, or pieces of what is counted

    Raises Refused without a reason, for part of a piece and where the count agrees.
    """
    line = store.lot(book, number)
    if not why.strip():
        raise Refused("Say why: counted, spilt, weighed anew.")
    change = round((whole(there, "pieces") if counted(line) else there) - line.left_g, 4)
    if not change:
        raise Refused("The count agrees with the book; there is nothing to write.")
    book.move(number, change, "count", why.strip())
    return change
