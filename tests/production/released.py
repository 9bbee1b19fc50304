"""A batch released by somebody who has read what stands beside the button."""

from __future__ import annotations

from datetime import date

from blendlab import store
from blendlab.production import release
from blendlab.shelf import Shelf


def read_and_release(book: store.Book, code: str, shelf: Shelf, on: date) -> None:
    told = release.points(book, store.batch(book, code), shelf, on)
    release.release(book, code, shelf, on, release.cautions(told))
