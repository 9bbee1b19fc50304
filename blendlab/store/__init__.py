"""The maker's folder: cards, lines, shelf, draft. The only room that writes files."""

from blendlab.store.cards import (
    Card,
    Saved,
    card_from,
    duplicate,
    embedded,
    has_card,
    open_card,
    picture_of,
    pinned,
    rename,
    save,
    save_as_copy,
)
from blendlab.store.documents import Damaged
from blendlab.store.draft import forget_draft, load_draft, save_draft
from blendlab.store.export import export
from blendlab.store.first import has_cards, lay_out
from blendlab.store.folder import Folder, default_folder
from blendlab.store.lines import Line, SavedLine, lines, open_line, save_line
from blendlab.store.listing import Entry, bin_ids, delete, listing, restore
from blendlab.store.safe import new_id
from blendlab.store.shelves import (
    SavedItem,
    damaged_items,
    delete_item,
    open_item,
    read_shelf,
    save_item,
    shelf_stamp,
)

__all__ = [
    "Card",
    "Damaged",
    "Entry",
    "Folder",
    "Line",
    "Saved",
    "SavedItem",
    "SavedLine",
    "bin_ids",
    "card_from",
    "damaged_items",
    "default_folder",
    "delete",
    "delete_item",
    "duplicate",
    "embedded",
    "export",
    "forget_draft",
    "has_card",
    "has_cards",
    "lay_out",
    "lines",
    "listing",
    "load_draft",
    "new_id",
    "open_card",
    "open_item",
    "open_line",
    "picture_of",
    "pinned",
    "read_shelf",
    "rename",
    "restore",
    "save",
    "save_as_copy",
    "save_draft",
    "save_item",
    "save_line",
    "shelf_stamp",
]
