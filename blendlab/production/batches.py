"""Batches of a design in the book: started, still running, to be made again."""

from __future__ import annotations

from datetime import date
from typing import Any

from blendlab import recipe, store
from blendlab.batch import Plan
from blendlab.errors import BlendlabError
from blendlab.production.kitchen_log import stand
from blendlab.recipe import Design
from blendlab.shelf import Item, Jar, Shelf, embedded
from blendlab.store import BatchPage, Book

BESIDE = ("markets", "placed_on", "view", "weeks")
SIZE = ("jars", "spare", "grams", "retained_g", "loss_pct", "bowl_ml", "scales")
"""What of a design, and of its batch, says nothing of what is in the jar."""
LOOKED_AT = 8
"""Newest batches that are looked at for one that still runs."""


def newest(book: Book, design: Design) -> BatchPage | None:
    """The newest batch of jars of a design, or None."""
    found = store.batches(book, design.id)
    return store.batch(book, found[0].code) if found else None


def made_of(book: Book, design: Design) -> BatchPage | None:
    """The newest batch of a design, where it was made of the design as it stands; None = of another, or none.

    How much is made and for which market may differ: neither changes what is in the jar.
    """
    page = newest(book, design)
    same = page is not None and _in_the_jar(page.design) == _in_the_jar(recipe.to_dict(design))
    return page if same else None


def _in_the_jar(design: dict[str, Any]) -> dict[str, Any]:
    made = {key: value for key, value in design.items() if key not in BESIDE}
    batch = {key: value for key, value in made.pop("batch", {}).items() if key not in SIZE}
    return {**made, "batch": batch}


def start(book: Book, made: Plan, design: Design, shelf: Shelf, on: date) -> str:
    """Start a batch of a design in the book, frozen with all it takes of a shelf; returns its code."""
    glass = shelf.today("jar", design.jar.id)
    size = f"{glass.nominal_ml:.0f}" if isinstance(glass, Jar) else ""
    name = recipe.slug(design.name, "").replace("-", "")[:10]
    return book.start(made, on, sku=name + size, design=design, items=to_take(design, shelf))


def to_take(design: Design, shelf: Shelf) -> tuple[Item, ...]:
    """Every revision that a design takes of a shelf; of two of one thing the one of today last."""

    def is_of_today(item: Item) -> bool:
        return shelf.today(item.kind, item.id) == item

    return tuple(sorted(embedded(design, shelf, past=False), key=is_of_today))


def begun_with(book: Book, page: BatchPage, shelf: Shelf) -> tuple[Design, Shelf]:
    """The design of a batch, and a shelf with all it took as it was then.

    A batch that an earlier version began did not keep what it took: what of it was changed since is there
    as it is today.

    Raises BadDocument, NewerFormat for a design, or a thing it took, that cannot be read.
    """
    design, items = recipe.from_dict(page.design), store.taken(book, page)
    if items is None:
        return design, shelf.carrying(embedded(design, shelf))
    return design, shelf.holding(items)


def running(book: Book, design: Design) -> str | None:
    """Code of the newest batch of a design where it is not finished and can be read, or None."""
    try:
        page = newest(book, design)
    except BlendlabError:
        return None
    if page is None or page.of("release"):
        return None
    return page.line.code if stand(page).current is not None else None


def at_work(book: Book) -> str:
    """Code of the newest batch, of jars or of a base, that is not finished and can be read, or ""."""
    newest_first = (line.code for line in store.batches(book)[:LOOKED_AT])
    return next((code for code in newest_first if _runs(book, code)), "")


def _runs(book: Book, code: str) -> bool:
    try:
        return stand(store.batch(book, code)).current is not None
    except BlendlabError:  # told where it is opened; it hides no other
        return False
