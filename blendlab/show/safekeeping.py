"""What a backup holds, and what came of bringing one in, in words."""

from __future__ import annotations

from collections import Counter

from blendlab.codec import local_time
from blendlab.store import Arrival, Backup, PackedPrices
from blendlab.store.bring_in import BOTH, EQUAL, LEFT, NEW, PRICE

KINDS = {
    "card": ("card", "cards"),
    "line": ("line", "lines"),
    "book": ("book", "books"),
    "photo": ("photo", "photos"),
    "settings": ("settings file", "settings files"),
    "draft": ("draft", "drafts"),
}
"""Kinds of things in a backup; every other kind is of the shelf."""


def made_words(made: Backup) -> str:
    """What a backup holds, after it was read back."""
    batches = _several(made.lines.get("batches", 0), "batch", "batches")
    lines = _several(sum(made.lines.values()), "line", "lines")
    book = f"the book with {batches}, {lines}" if made.lines else "no book"
    cards, files = _several(made.cards, "card", "cards"), _several(made.files, "file", "files")
    return f"Packed and read back: {cards}, {files}, {book}. The bin is not in it."


def packed_prices_words(found: PackedPrices) -> tuple[str, ...]:
    """What a backup holds of prices on its shelf, and what of it cannot be read."""
    whole = found.priced + found.without
    money = f"in {found.currency}" if found.currency else "in a currency that cannot be read"
    prices = f"{found.priced} of {_several(whole, 'thing', 'things')} on its shelf have a price, {money}."
    told = [prices if whole else "Nothing that can be read is on its shelf, so no price."]
    if found.unread:
        several = _several(found.unread, "thing", "things")
        told.append(f"{several} of its shelf cannot be read: whether they have a price is not known.")
    return tuple(told)


def told(arrival: Arrival, came: bool) -> tuple[str, ...]:
    """All that is said of a backup: what comes, what costs something else, what stays in the file.

    came  it was brought in; False = it was only looked at
    """
    return (arrival_words(arrival, came), *price_words(arrival, came), *left_words(arrival))


def arrival_words(arrival: Arrival, came: bool) -> str:
    """What came of a backup, or would come, in a sentence a group.

    came  it was brought in; False = it was only looked at
    """
    words = {
        NEW: "Came new" if came else "Would come new",
        BOTH: "Came beside yours, which differ" if came else "Would come beside yours, which differ",
        EQUAL: "Here already",
        PRICE: "Here already at another price",
    }
    groups = [f"{word}: {_counted(arrival, what)}." for what, word in words.items() if arrival.of(what)]
    return f"A backup of {local_time(arrival.made_at)}. {' '.join(groups)}"


def price_words(arrival: Arrival, came: bool) -> tuple[str, ...]:
    """What is here at another price, each with both, and which of them holds.

    came  it was brought in; False = it was only looked at
    """
    lines = []
    for step in arrival.of(PRICE):
        yours, theirs = step.prices
        holds = (
            ("The backup's holds now." if came else "The backup's would hold.")
            if step.taken
            else "Yours stays."
        )
        lines.append(
            " ".join(filter(None, (f"{step.name}: yours {yours}, the backup's {theirs}.", holds, step.why)))
        )
    return tuple(lines)


def left_words(arrival: Arrival) -> tuple[str, ...]:
    """What stays in the file, with the reason."""
    return tuple(f"Stays in the file: {step.name}. {step.why}" for step in arrival.of(LEFT))


def _counted(arrival: Arrival, what: str) -> str:
    """How many things of each kind; what will stand beside hers also by the name it will have."""
    steps = arrival.of(what)
    counts = Counter("shelf" if step.kind not in KINDS else step.kind for step in steps)
    words = {**KINDS, "shelf": ("thing of the shelf", "things of the shelf")}
    counted = ", ".join(_several(count, *words[kind]) for kind, count in counts.items())
    names = "; ".join(step.name for step in steps) if what == BOTH else ""
    return f"{counted} ({names})" if names else counted


def _several(count: int, single: str, plural: str) -> str:
    return f"{count} {single if count == 1 else plural}"
