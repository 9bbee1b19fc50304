"""Batches of a design in the book: started, still running, to be made again."""

from __future__ import annotations

from datetime import date
from typing import Any

from blendlab import recipe, store
from blendlab.batch import Plan
from blendlab.errors import BlendlabError
from blendlab.production.kitchen_log import stand
from blendlab.recipe import Design
from blendlab.shelf import Jar, Shelf
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
    """Start a batch of a design in the book; returns its code."""
    glass = shelf.today("jar", design.jar.id)
    size = f"{glass.nominal_ml:.0f}" if isinstance(glass, Jar) else ""
    sku = recipe.slug(design.name).upper().replace("-", "")[:10] + size
    return book.start(made, on, sku=sku, design=design)


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
