"""The first start: a shelf and cards to look at where there are none."""

from __future__ import annotations

from collections.abc import Iterable

from blendlab.shelf import Item
from blendlab.store import cards, documents, shelf_items
from blendlab.store.cards import Card
from blendlab.store.folder import Folder


def has_cards(folder: Folder) -> bool:
    """Whether a card was ever saved here, the bin included."""
    return bool(documents.files(folder.cards) or documents.files(folder.bin / "cards"))


def lay_out(folder: Folder, items: Iterable[Item], made: Iterable[tuple[Card, bytes]] = ()) -> bool:
    """Put items on an empty shelf, and cards with their pictures (PNG) where no card exists.

    Nothing of hers is touched. Returns whether anything was written. Raises NotSaved.
    """
    wrote = False
    if not shelf_items.shelf_stamp(folder):
        for item in items:
            shelf_items.save_item(folder, item, None)
            wrote = True
    if not has_cards(folder):
        for card, picture in made:
            cards.save(folder, card, picture, None)
            wrote = True
    return wrote
