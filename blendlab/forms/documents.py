"""A file of hers -> the design in it and the shelf to judge it on."""

from __future__ import annotations

from pathlib import Path

from blendlab import recipe, store
from blendlab.codec import object_in
from blendlab.errors import NewerFormat
from blendlab.facts.demo import demo_shelf
from blendlab.recipe import Design
from blendlab.shelf import Shelf


def read_document(path: Path, folder: str | None = None) -> tuple[Design, Shelf]:
    """The design in a file, of a card or by itself, with the shelf to judge it on.

    folder  her folder; None = the usual one

    Raises BadDocument; NewerFormat for what a later version wrote: half of it understood is not judged.
    """
    plain = object_in("file", store.read("file", path))
    shelf = store.read_shelf(store.Folder.at(folder or store.default_folder()))
    shelf = Shelf((*demo_shelf().items, *shelf.items))
    if "design" not in plain:
        return recipe.from_dict(plain), shelf
    card = store.card_from(plain)
    if card.newer:
        raise NewerFormat("card", max(card.format, card.design.format), recipe.FORMAT)
    return card.design, shelf.carrying(card.embedded)
