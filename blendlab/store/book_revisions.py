"""What a batch took of her shelf: revisions, each once in the book, and for each batch which of them."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from blendlab.codec import object_in, to_json
from blendlab.errors import BadDocument, Problem
from blendlab.shelf import Item, item_from_dict
from blendlab.store import book_lines
from blendlab.store.book import Book
from blendlab.store.book_batches import BatchLog
from blendlab.store.book_errors import Refused
from blendlab.store.book_schema import reading, writing


def take_anew(book: Book, code: str, items: Sequence[Item], why: str) -> None:
    """Write down that other revisions are what a batch took, and why.

    Raises Refused without a reason, UnknownName for a code that is not in the book.
    """
    if not why.strip():
        raise Refused("Say why: what the batch was begun with stays readable.")
    with writing(book.path) as link:
        batch = book_lines.batch(link, code)
        before = book_lines.standing_entries(link, batch, "taken")
        book_lines.insert_taken(link, batch, items, why, before[-1]["id"] if before else None)


def taken(book: Book, log: BatchLog) -> tuple[Item, ...] | None:
    """What a batch took of her shelf; None for a batch of an earlier version, which did not write it down.

    Raises BadDocument where one of the revisions cannot be read.
    """
    said = log.of("taken")
    if not said:
        return None
    keys = said[-1].data["revisions"]
    with reading(book.path) as link:
        found = {row["subject"]: row["data"] for row in book_lines.revisions(link, keys)}
    gone = [Problem(key, "was taken by the batch and is not in the book") for key in keys if key not in found]
    if gone:
        raise BadDocument("revision", gone)
    return tuple(_item(key.partition(":")[0], found[key]) for key in keys)


def thinned(book: Book, item: str) -> tuple[str, ...]:
    """Keys "oil:id" of the dilutions of an oil ("oil:id") that batches took, by the revisions kept."""
    kind, _, name = item.partition(":")
    of = to_json("reference", {"dilution_of": {"id": name, "kind": kind}}).strip("{}")
    with reading(book.path) as link:
        rows = link.execute(
            "SELECT DISTINCT subject FROM entries"
            " WHERE kind = 'revision' AND instr(data, ?) ORDER BY subject",
            (of,),
        )
        return tuple(dict.fromkeys(row["subject"].partition("@")[0] for row in rows))


@lru_cache(maxsize=512)
def _item(kind: str, data: str) -> Item:
    """The thing in a line that is never changed."""
    return item_from_dict(kind, object_in("revision", data).get("item"))
