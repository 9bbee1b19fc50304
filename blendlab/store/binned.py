"""What she put in the bin: cards with their pictures, lines, drafts, things of the shelf; and back again.

Nothing leaves the bin by itself: what is older than the days a page shows stays in the folder.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path, PurePosixPath

from blendlab.codec import object_in
from blendlab.errors import BadDocument, NotSaved, UnknownName
from blendlab.shelf import ITEMS
from blendlab.store import atomic_write, card_files, cards, documents
from blendlab.store.cards import Saved
from blendlab.store.draft import restore_draft
from blendlab.store.folder import Folder

PLACES = {"card": "cards", "line": "lines", "draft": "drafts", **{kind: f"shelf/{kind}" for kind in ITEMS}}
"""Kind of thing -> where it lies, in the folder as in the bin."""
IN_A_DESIGN = ("card", "draft")
"""Kinds whose id and name stand in their design."""


@dataclass(frozen=True)
class Binned:
    """A thing in the bin.

    inner  its file below the bin, to be shown when it is put back; at  when it was put there
    """

    kind: str
    id: str
    name: str
    inner: str
    at: datetime


def in_bin(folder: Folder, *kinds: str) -> tuple[Binned, ...]:
    """What lies in the bin of some kinds, or of all, what was put there last first."""
    found = [each for kind in kinds or PLACES for each in _of_kind(folder, kind)]
    return tuple(sorted(found, key=lambda each: each.at, reverse=True))


def _of_kind(folder: Folder, kind: str) -> Iterator[Binned]:
    for path in documents.files(folder.bin / PLACES[kind]):
        try:
            stat = path.stat()
            id_, name = _named(kind, path, stat.st_mtime_ns, stat.st_size)
        except (BadDocument, OSError):
            continue
        inner = path.relative_to(folder.bin).as_posix()
        yield Binned(kind, id_, name, inner, datetime.fromtimestamp(stat.st_mtime, UTC))


@lru_cache(maxsize=512)
def _named(kind: str, path: Path, mtime_ns: int, size: int) -> tuple[str, str]:
    plain = object_in(kind, documents.read(kind, path))
    inside = plain.get("design") if kind in IN_A_DESIGN else plain
    if not isinstance(inside, dict):
        raise BadDocument(kind, [])
    return str(inside.get("id", "")), str(inside.get("name", ""))


def is_binned(folder: Folder, card_id: str) -> bool:
    """Whether a card lies in the bin and nowhere else."""
    return any(each.id == card_id for each in in_bin(folder, "card")) and not cards.has_card(folder, card_id)


def delete(folder: Folder, card_id: str) -> None:
    """Put a card in the bin, with its picture. Raises UnknownName, NotSaved."""
    path = documents.find("card", folder.cards, card_id, _key("card"))
    with atomic_write.locked(folder.cards):
        _move(path, folder.bin / "cards" / path.name)


def delete_line(folder: Folder, line_id: str) -> None:
    """Put a line in the bin; its cards stay. Raises UnknownName, NotSaved."""
    path = documents.find("line", folder.lines, line_id)
    with atomic_write.locked(folder.lines):
        _move(path, folder.bin / "lines" / path.name)


def restore(folder: Folder, card_id: str) -> Saved:
    """Bring a card back, the one of that id that was put away last. Raises UnknownName, NotSaved."""
    cards_there = in_bin(folder, "card")
    latest = next((each for each in cards_there if each.id == card_id), None)
    if latest is None:
        raise UnknownName("card in the bin", card_id, [each.id for each in cards_there])
    put_back(folder, latest.inner)
    return cards.open_card(folder, card_id)


def put_back(folder: Folder, inner: str) -> None:
    """Bring a thing back, a card with its picture, under the file name of its own.

    Raises UnknownName when it is not there any more, NotSaved when one of that id is there again.
    """
    known = {each.inner: each for each in in_bin(folder)}
    if inner not in known:
        raise UnknownName("thing in the bin", inner, known)
    thing = known[inner]
    if thing.kind == "draft":
        restore_draft(folder, PurePosixPath(inner).stem.partition("~")[0])
        return
    where = folder.root / PLACES[thing.kind]
    named = thing.kind in ("card", "line")
    stem = atomic_write.file_stem(thing.name, thing.id) if named else atomic_write.plain_id(thing.id)
    with atomic_write.locked(where):
        if documents.seek(thing.kind, where, thing.id, _key(thing.kind)) is not None:
            raise NotSaved(str(where), f"{thing.name} is there again")
        _move(folder.bin / inner, where / f"{stem}.json")


def _key(kind: str) -> tuple[str, ...]:
    return ("design", "id") if kind in IN_A_DESIGN else ("id",)


def _move(path: Path, target: Path) -> None:
    """Move a document into the bin or out of it, a card with its picture; the lock is held."""
    try:
        card_id, wanted = card_files.asked_for(path.read_bytes())
        picture = card_files.seek_picture(path, card_id, wanted) if wanted else None
        moved = atomic_write.set_aside(path, target.parent, target.name)
        if picture is not None:
            atomic_write.swap(picture, moved.with_suffix(".png"))
    except OSError as problem:
        raise NotSaved(str(path), atomic_write.reason(problem)) from problem
