"""A file of hers -> the design in it and the shelf to judge it on."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from blendlab import recipe, store
from blendlab.errors import BadDocument, Problem
from blendlab.facts.demo import demo_shelf
from blendlab.recipe import Design
from blendlab.shelf import Shelf


def read_document(data: Any, folder: str | None = None) -> tuple[Design, Shelf]:
    """The design in a card or in a design file, with the shelf to judge it on.

    Raises BadDocument, NewerFormat.
    """
    where = store.Folder.at(folder or store.default_folder())
    shelf = store.read_shelf(where)
    shelf = Shelf((*demo_shelf().items, *shelf.items))
    if not isinstance(data, Mapping):
        raise BadDocument("file", [Problem("", "is not a card and not a design")])
    if "design" in data:
        opened = store.card_from(data)
        return opened.design, shelf.carrying(opened.embedded)
    return recipe.from_dict(data), shelf
