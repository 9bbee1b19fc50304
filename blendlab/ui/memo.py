"""What is remembered between runs, each with its size and its measured price.

Mixing is never remembered: it is cheaper than looking it up.
"""

from __future__ import annotations

import os
from collections import OrderedDict
from collections.abc import Callable, Hashable
from datetime import date
from typing import Any

from blendlab import assess as assessing
from blendlab import recipe, store
from blendlab.codec import canonical
from blendlab.recipe import Design
from blendlab.shelf import Item, Shelf, item_from_dict
from blendlab.studio import demo, pictures

FOLDER = "BLENDLAB_FOLDER"
"""Environment variable by which the command line tells the pages which folder to work in."""


class Kept(OrderedDict):
    """The last `most` things that were made, by key."""

    def __init__(self, most: int) -> None:
        super().__init__()
        self.most = most

    def get_or_make(self, key: Hashable, make: Callable[[], Any]) -> Any:
        """The thing of that key, made when it is not there."""
        if key not in self:
            self[key] = make()
            while len(self) > self.most:
                self.popitem(last=False)
        return self[key]


_shelves, _designs, _items = Kept(4), Kept(32), Kept(256)
_assessments, _pictures, _folders = Kept(16), Kept(24), Kept(2)


def folder_at(path: str) -> store.Folder:
    """One folder of the process, with the demo laid out on first start."""

    def opened() -> store.Folder:
        found = store.Folder.at(path)
        demo.first_start(found)
        return found

    return _folders.get_or_make(path, opened)


def folder() -> store.Folder:
    """The maker's folder: the one named on the command line, else the usual one."""
    return folder_at(os.environ.get(FOLDER) or str(store.default_folder()))


def shelf() -> Shelf:
    """Her shelf; read from disk again when something in it changed."""
    where = folder()
    return _shelves.get_or_make((str(where.root), store.shelf_stamp(where)), lambda: store.read_shelf(where))


def design(document: dict[str, Any]) -> Design:
    """The noun of a design dict."""
    return _designs.get_or_make(canonical(document), lambda: recipe.from_dict(document))


def embedded(items: list[dict[str, Any]]) -> tuple[Item, ...]:
    """The nouns of the revisions a document carries."""
    return tuple(_items.get_or_make(canonical(item), lambda item=item: _item(item)) for item in items)


def _item(data: dict[str, Any]) -> Item:
    return item_from_dict(data["kind"], {key: value for key, value in data.items() if key != "kind"})


def assessment(made: Design, carried: Shelf, on: date) -> assessing.Assessment:
    """The assessment of a design; a page switch or a second widget finds it ready."""
    key = (canonical(made), tuple(item.ref.key for item in (*carried.items, *carried.embedded)), on)
    return _assessments.get_or_make(key, lambda: assessing.assess(made, carried, on))


def picture(assessed: assessing.Assessment, carried: Shelf, view: str, px: tuple[int, int]) -> bytes:
    """One view of the jar, encoded (a hit saves 3 to 60 ms of painting)."""
    revisions = tuple(item.ref.key for item in carried.embedded)
    key = (canonical(assessed.design), revisions, view, px)
    return _pictures.get_or_make(key, lambda: pictures.encoded(assessed, carried, view, px))
