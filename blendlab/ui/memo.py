"""What is remembered between runs, each with its size and its measured price.

Mixing is never remembered: it is cheaper than looking it up.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Hashable, Iterator, Mapping
from contextlib import contextmanager
from datetime import date
from threading import Condition, local
from typing import Any, Generic, TypeVar

from cachetools import LRUCache, cached

from blendlab import recipe, store
from blendlab.assess import Assessment
from blendlab.codec import canonical
from blendlab.errors import BlendlabError, FolderGone
from blendlab.production import foam, judgement, lots_drawn, shortage, stock_lots
from blendlab.recipe import Design
from blendlab.shelf import Item, Shelf, item_from_dict
from blendlab.show import first_visit, views
from blendlab.ui import words

FOLDER = "BLENDLAB_FOLDER"
"""Environment variable by which the command line tells the pages which folder to work in."""

Thing = TypeVar("Thing")
Owned = TypeVar("Owned", bound=Item)


class Kept(Generic[Thing]):
    """The `most` things used last, by key; each is made once, however many windows ask for it at a time.

    >>> kept = Kept[int](2)
    >>> kept.get_or_make("a", lambda: 1), kept.get_or_make("a", lambda: 2), kept.get("b")
    (1, 1, None)
    """

    def __init__(self, most: int) -> None:
        self._things: LRUCache[Hashable, Thing] = LRUCache(most)
        self._free = Condition()
        remembered = cached(self._things, key=lambda key, make: key, condition=self._free)
        self._made: Callable[[Hashable, Callable[[], Thing]], Thing] = remembered(lambda key, make: make())

    def get_or_make(self, key: Hashable, make: Callable[[], Thing]) -> Thing:
        """The thing of that key, made when it is not there; what fails to be made is not kept."""
        return self._made(key, make)

    def get(self, key: Hashable) -> Thing | None:
        """The thing of that key, or None."""
        with self._free:
            return self._things.get(key)


_run = local()
_folders = Kept[tuple[store.Folder, tuple[int, int]]](2)
_books = Kept[store.Book](2)
_shelves = Kept[Shelf](4)
_items = Kept[Item](256)
_carried = Kept[tuple[Shelf, Shelf]](8)
_designs = Kept[Design](32)
_assessments = Kept[Assessment](16)
_pictures = Kept[bytes](24)


def folder_at(path: str) -> store.Folder:
    """One folder of the process, with the demo laid out on first start.

    Raises FolderGone when it is not there any more, NotSaved when it cannot be laid out.
    """

    def opened() -> tuple[store.Folder, tuple[int, int]]:
        found = store.Folder.at(path)
        first_visit.first_start(found)
        return found, store.place(found)

    found, place = _folders.get_or_make(path, opened)
    if store.place(found) != place:
        raise FolderGone(str(found.root))
    return found


def folder() -> store.Folder:
    """The maker's folder: the one named on the command line, else the usual one."""
    return folder_at(os.environ.get(FOLDER) or str(store.default_folder()))


@contextmanager
def one_run() -> Iterator[None]:
    """Within one run of a page the shelf is looked at once (looking costs 1 ms, a page asks 70 times)."""
    _run.shelf, _run.inside = None, True
    try:
        yield
    finally:
        _run.shelf = None
        _run.inside = False


def book() -> store.Book:
    """The book of her folder, opened, looked over and copied once a day in a process (about 5 ms)."""
    where, today = folder(), date.today()
    key = (str(where.root), where.book.exists(), today)
    return _books.get_or_make(key, lambda: store.open_book(where, today))


def shelf() -> Shelf:
    """Her shelf; read from disk again when something in it changed."""
    found: Shelf | None = getattr(_run, "shelf", None)
    if found is None:
        where = folder()
        key = (str(where.root), store.shelf_stamp(where))
        found = _shelves.get_or_make(key, lambda: store.read_shelf(where))
        if getattr(_run, "inside", False):
            _run.shelf = found
    return found


def on_shelf(sort: type[Owned], item_id: str) -> Owned:
    """The pigment, oil, jar ... of that id as it is on the shelf today.

    Raises BlendlabError when it is not there: another window may have taken it away meanwhile.
    """
    item = shelf().today(sort.kind, item_id)
    if not isinstance(item, sort):
        raise BlendlabError(words.GONE.format(item=item_id))
    return item


def carried(items: Mapping[str, dict[str, Any]]) -> Shelf:
    """Her shelf with the revisions beside it that a document carries, by their keys."""
    today = shelf()
    key = (id(today), tuple(items))
    return _carried.get_or_make(key, lambda: (today, today.carrying(embedded(items))))[1]


def embedded(items: Mapping[str, dict[str, Any]]) -> tuple[Item, ...]:
    """The nouns of the revisions a document carries, by their keys."""

    def made(key: str) -> Item:
        return _items.get_or_make(key, lambda: item_from_dict(key.partition(":")[0], items[key]))

    return tuple(map(made, items))


def design(document: dict[str, Any]) -> Design:
    """The noun of a design dict."""
    return _designs.get_or_make(canonical(document), lambda: recipe.from_dict(document))


def assessment(made: Design, shelf: Shelf, on: date, stock: stock_lots.InStock | None = None) -> Assessment:
    """The one assessment of a design; a page switch or a second widget finds it ready.

    What its batch would be short of is looked up each time: that costs nothing beside judging.
    """
    taken = stock.taken if stock is not None else {}
    bases = [[line.data, line.left_g] for line in taken.get(f"base:{made.base.id}", ())]
    said = [[line.lot for line in lines] for lines in taken.values()]
    cups = _cups(made)
    key = (canonical(made), shelf.revisions, on, canonical([said, bases]), cups)
    judged = _assessments.get_or_make(key, lambda: judgement.judge(made, shelf, on, taken, cups))
    return judged if stock is None else shortage.with_stock(judged, stock)


def _cups(made: Design) -> tuple[float, ...]:
    """Foam that her book knows of a design; none while the book cannot be opened."""
    try:
        return foam.cups(book(), made)
    except BlendlabError:
        return ()


def as_made(page: store.BatchPage, shelf: Shelf, on: date, market: str) -> Assessment:
    """The assessment of a batch for a market, on what was weighed of it from which lots."""
    drawn = lots_drawn.drawn(book(), page)
    lots = [[line.lot, line.data, grams] for parts in drawn.parts.values() for line, grams in parts]
    taken = [entry.number for entry in page.of("taken")]
    said = canonical([lots, page.weighed, page.now.batch_g, taken])
    key = (page.line.code, said, drawn.unread, shelf.revisions, on, market)
    return _assessments.get_or_make(key, lambda: judgement.as_made(book(), page, shelf, on, market))


def picture(assessed: Assessment, shelf: Shelf, view: str, px: tuple[int, int]) -> bytes:
    """One view of the jar, encoded (a hit saves 3 to 60 ms of painting)."""
    key = (canonical([assessed.design, assessed.density]), shelf.revisions, assessed.stock, view, px)
    return _pictures.get_or_make(key, lambda: views.encoded(assessed, view, px))
