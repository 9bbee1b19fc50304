"""The first start: a shelf, cards and a line to look at where there are none."""

from __future__ import annotations

from collections.abc import Iterable

from blendlab.shelf import Item
from blendlab.store import atomic_write, cards, documents, shelf_items
from blendlab.store.cards import Card
from blendlab.store.folder import Folder
from blendlab.store.lines import WHAT as LINE
from blendlab.store.lines import CardLine, save_line

PATIENCE_SECONDS = 120.0
"""How long a start waits for another one that lays the same folder out: it draws pictures."""


MARK = ".laying-out"
"""There while a folder is laid out: what it lacked."""


def has_cards(folder: Folder) -> bool:
    """Whether a card was ever saved here, the bin included."""
    return bool(documents.files(folder.cards) or documents.files(folder.bin / "cards"))


def lay_out(
    folder: Folder,
    items: Iterable[Item],
    made: Iterable[tuple[Card, bytes]] = (),
    line: CardLine | None = None,
) -> bool:
    """Put items on an empty shelf, and cards with their pictures (PNG) and a line where no card exists.

    Nothing of hers is touched; of several that start at once, one does it and the others wait.
    Returns whether anything was written. Raises NotSaved.
    """
    if not _wanted(folder):
        return False
    with atomic_write.locked(folder.root, PATIENCE_SECONDS):
        wanted = _wanted(folder)
        mark = folder.root / MARK
        atomic_write.put(mark, wanted.encode())
        if "cards" in wanted:
            _cards(folder, made)
            if line is not None and documents.seek(LINE, folder.lines, line.id) is None:
                save_line(folder, line, None)
        if "shelf" in wanted:
            _shelf(folder, items)
        mark.unlink()
        return bool(wanted)


def _wanted(folder: Folder) -> str:
    """What is to be laid out: what a start that was cut off began with, else where there is nothing."""
    mark = folder.root / MARK
    if mark.is_file():
        return mark.read_text(encoding="utf-8")
    cards_wanted = "" if has_cards(folder) else "cards "
    return cards_wanted + ("" if shelf_items.shelf_stamp(folder) else "shelf")


def _cards(folder: Folder, made: Iterable[tuple[Card, bytes]]) -> None:
    for card, picture in made:
        if not cards.has_card(folder, card.id):
            cards.save(folder, card, picture, None)


def _shelf(folder: Folder, items: Iterable[Item]) -> None:
    for item in items:
        if not shelf_items.path_of(folder, item.kind, item.id).exists():
            shelf_items.save_item(folder, item, None)
