"""Lines of the book set right: a new line that says why; what stood before stays readable."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from blendlab.codec import object_in
from blendlab.store import book_lines
from blendlab.store.book import Book
from blendlab.store.book_batches import batch_log
from blendlab.store.book_care_entries import CARE
from blendlab.store.book_complaints import refuse_closed_untold
from blendlab.store.book_entries import CALLED_BACK
from blendlab.store.book_errors import Refused
from blendlab.store.book_sales import sale_lines
from blendlab.store.book_schema import writing

OWN_RULES = frozenset({"release", "family", "sale", "taken", "revision", *CARE})
"""Kinds of entries that a plain correction cannot touch: they have acts of their own."""


WRITTEN_ANEW = frozenset({"complaint", "answer", "drill", "report", "family"})
"""Kinds of entries beside a batch that are taken back whole and written anew."""


def correct_entry(
    book: Book,
    code: str,
    number: int,
    data: Mapping[str, Any],
    why: str,
    *,
    withdrawn: bool = False,
) -> int:
    """Write a corrected entry of a batch. Returns its number.

    data       what is said otherwise; the rest stays as it was
    withdrawn  the line is taken back: nothing of it counts

    Raises Refused without a reason, for a line of OWN_RULES and where more jars of a sale would have come
    back than were sold, AlreadyWritten for a line that was corrected, BadDocument for unfit values.
    """
    say_why(why)
    with writing(book.path) as link:
        batch, old = book_lines.batch(link, code), book_lines.known(link, "entries", number)
        if old["batch"] != batch or old["kind"] in OWN_RULES:
            raise Refused("Only a line of this batch is corrected here, and none that has rules of its own.")
        before = object_in("entry", old["data"])
        if before.get("withdrawn"):
            raise Refused("What was taken back is written anew, not corrected.")
        said = {**before, **data, "why": why.strip(), "withdrawn": withdrawn}
        written = book_lines.insert_entry(link, batch, old["kind"], old["subject"], said, number)
        log = batch_log(book, code)
        if any(sale.out < 0 for sale in sale_lines(code, log.entries)):
            raise Refused("More jars would have come back than were sold: correct the sale first.")
        return written


def withdraw(book: Book, number: int, why: str) -> int:
    """Take back a line of WRITTEN_ANEW: nothing of it counts, it stays readable. Returns the new number.

    Raises Refused without a reason, for a line of another kind or taken back before, and for what was done
    about a complaint that could not have been closed without it; UnknownName.
    """
    say_why(why)
    with writing(book.path) as link:
        old = book_lines.known(link, "entries", number)
        kind, before = old["kind"], object_in("entry", old["data"])
        if kind not in WRITTEN_ANEW:
            raise Refused("This line belongs to a batch, or has rules of its own: it is not taken back here.")
        if before.get("withdrawn"):
            raise Refused("This line was taken back already.")
        said = {**before, "why": why.strip(), "withdrawn": True}
        written = book_lines.insert_entry(link, old["batch"], kind, old["subject"], said, number)
        if kind == "answer":
            refuse_closed_untold(link, int(old["subject"]))
        return written


def say_why(why: str) -> None:
    """Raise Refused where a correction says no reason."""
    if not why.strip():
        raise Refused("Say why: the line before stays readable.")


def call_back(book: Book, code: str, why: str, on: date, heats: Sequence[float] = ()) -> int | None:
    """Take the decision about a batch back until it is decided anew; None where none stands.

    why  what speaks against it now, in words; heats  temperatures [C] that it names

    Nothing more is sold of it meanwhile. Returns the number of the entry.
    """
    with writing(book.path) as link:
        batch = book_lines.batch(link, code)
        standing = book_lines.standing_entries(link, batch, "release")
        if not standing or standing[-1]["subject"] == CALLED_BACK:
            return None
        said = {"on": on, "why": why[:600], "heats": list(heats)}
        return book_lines.insert_entry(link, batch, "release", CALLED_BACK, said, standing[-1]["id"])
