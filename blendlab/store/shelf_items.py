"""Her own shelf on the disk: one small file an item."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

from blendlab.codec import encode, object_in
from blendlab.errors import BadDocument, NewerFormat, NotSaved, UnknownName
from blendlab.shelf import ITEMS, Item, Shelf, item_from_dict
from blendlab.shelf.item import FORMAT
from blendlab.store import atomic_write, documents
from blendlab.store.documents import Damaged
from blendlab.store.folder import Folder

Stamp = tuple[tuple[str, int, int], ...]
"""Path, time and size of every file of a shelf: equal while nothing changed."""


class SavedItem(NamedTuple):
    """An item as it stands on the disk, and the digest of its file."""

    item: Item
    digest: str


def save_item(folder: Folder, item: Item, seen: str | None) -> SavedItem:
    """Save an item of the shelf.

    seen  digest it had when it was read; None = it must be new

    Raises ChangedOutside, NotSaved, NewerFormat for an item of a later format.
    """
    if item.newer:
        raise NewerFormat(item.kind, item.format, FORMAT)
    path = path_of(folder, item.kind, item.id)
    return SavedItem(item, atomic_write.write(path, documents.to_bytes(item.kind, encode(item)), seen))


def open_item(folder: Folder, kind: str, item_id: str) -> SavedItem:
    """An item of the shelf, and the digest of its file.

    Raises UnknownName, BadDocument, or NewerFormat for a later format that cannot be read at all.
    """
    path = path_of(folder, kind, item_id)
    if not path.is_file():
        raise UnknownName(kind, item_id, [file.stem for file in documents.files(path.parent)])
    data = documents.read(kind, path)
    return SavedItem(item_from_dict(kind, object_in(kind, data)), atomic_write.digest_of(data))


def delete_item(folder: Folder, kind: str, item_id: str) -> None:
    """Take an item off the shelf, into the bin; cards keep the revisions they carry."""
    path = path_of(folder, kind, item_id)
    if not path.is_file():
        raise UnknownName(kind, item_id, [file.stem for file in documents.files(path.parent)])
    try:
        atomic_write.set_aside(path, folder.bin / "shelf" / kind)
    except OSError as problem:
        raise NotSaved(str(path), atomic_write.reason(problem)) from problem


def path_of(folder: Folder, kind: str, item_id: str) -> Path:
    """Where an item of the shelf lies. Raises UnknownName for a kind that there is not."""
    if kind not in ITEMS:
        raise UnknownName("kind of shelf item", kind, ITEMS)
    return atomic_write.inside(folder.shelf, kind, f"{atomic_write.plain_id(item_id)}.json")


def shelf_stamp(folder: Folder) -> Stamp:
    """What tells one state of the shelf on the disk from the next."""
    return tuple((str(path), *_stat(path)) for kind in ITEMS for path in documents.files(folder.shelf / kind))


def _stat(path: Path) -> tuple[int, int]:
    try:
        stat = path.stat()
    except OSError:  # another window took it away meanwhile
        return 0, 0
    return stat.st_mtime_ns, stat.st_size


def read_shelf(folder: Folder) -> Shelf:
    """Her shelf: kinds in their order, items by name.

    What cannot be read is set aside, or left where a later version wrote it; `unread_items` tells it.
    """
    items = []
    for kind in ITEMS:
        of_kind = []
        for path in documents.files(folder.shelf / kind):
            try:
                of_kind.append(_read(kind, path, *_stat(path)))
            except NewerFormat:
                continue
            except BadDocument as problem:
                documents.set_aside_damaged(folder, path, problem)
        items += sorted(of_kind, key=lambda item: item.name.casefold())
    return Shelf(tuple(items))


@lru_cache(maxsize=2048)
def _read(kind: str, path: Path, mtime_ns: int, size: int) -> Item:
    return item_from_dict(kind, object_in(kind, documents.read(kind, path)))


def unread_items(folder: Folder) -> tuple[Damaged, ...]:
    """Files of the shelf that were set aside or that only a later version can read, with the reason."""
    told = [damaged for kind in ITEMS for damaged in documents.damaged(folder, f"shelf/{kind}")]
    for kind in ITEMS:
        for path in documents.files(folder.shelf / kind):
            try:
                _read(kind, path, *_stat(path))
            except (BadDocument, NewerFormat) as problem:
                told.append(Damaged(path, f"{path.name}: {problem}"))
    return tuple(told)
