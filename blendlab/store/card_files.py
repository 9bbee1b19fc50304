"""The two files of a card as one unit: its JSON is the word, and names the picture by its digest.

A new picture waits under a hidden name until the JSON that asks for it is on the disk. Whatever cut a
save, a rename or a move off, the picture a JSON asks for is found where it was left.
"""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import suppress
from functools import lru_cache
from pathlib import Path

from blendlab.codec import object_in
from blendlab.errors import BadDocument
from blendlab.store import atomic_write
from blendlab.store.picture_file import is_whole

WAITS = ".png.next"
TRIES = 50
MISSES = 3
"""Searches in vain after which a picture is missing: a save may move it while it is looked for."""


def write(path: Path, data: bytes, picture: bytes) -> str:
    """Write a card and its picture, both or neither; returns the digest of the card. The lock is held."""
    waits = path.with_name(f".{path.stem}{WAITS}")
    atomic_write.put(waits, picture)
    digest = atomic_write.put(path, data)
    with suppress(OSError):  # it is found where it waits; another window may have settled it already
        atomic_write.swap(waits, path.with_suffix(".png"))
    return digest


def picture(path: Path, card_id: str, wanted: str) -> Path | None:
    """The picture that a card asks for, moved beside it if it lay elsewhere; None when there is none.

    path    the JSON of the card
    wanted  digest of the picture
    """
    found, beside = seek_picture(path, card_id, wanted), path.with_suffix(".png")
    if found is None or found == beside:
        return found
    try:
        atomic_write.swap(found, beside)
    except OSError:  # a folder that is only read shows it where it lies
        return found
    return beside


def seek_picture(path: Path, card_id: str, wanted: str) -> Path | None:
    """Where the picture that a card asks for lies; nothing is moved."""
    return next((found for found in _places(path, card_id) if whole_digest(found) == wanted), None)


def _places(path: Path, card_id: str) -> Iterator[Path]:
    """Where a picture can lie: beside its card, waiting, under its other name, on the way to the bin."""
    yield path.with_suffix(".png")
    yield path.with_name(f".{path.stem}{WAITS}")
    ending = f"*-{atomic_write.plain_id(card_id)}"
    where = path.parent
    other = where.parent.parent / "cards" if where.parent.name == "bin" else where.parent / "bin" / "cards"
    for folder in (where, other):
        yield from folder.glob(f"{ending}*.png")
        yield from folder.glob(f".{ending}*{WAITS}")


def whole_digest(picture: Path) -> str | None:
    """Digest of a picture; None for one that is missing or damaged."""
    try:
        stat = picture.stat()
        return _digest(picture, stat.st_mtime_ns, stat.st_ino)
    except OSError:
        return None


@lru_cache(maxsize=512)
def _digest(path: Path, mtime_ns: int, inode: int) -> str | None:
    data = path.read_bytes()
    return atomic_write.digest_of(data) if is_whole(data) else None


def asked_for(data: bytes) -> tuple[str, str]:
    """Id of a card and digest of its picture, out of the bytes of its JSON; "" for what is not there."""
    try:
        plain = object_in("card", data)
    except BadDocument:
        return "", ""
    design = plain.get("design")
    card_id = design.get("id") if isinstance(design, dict) else None
    return str(card_id or ""), str(plain.get("picture") or "")


def pair(path: Path) -> tuple[bytes, bytes | None]:
    """A card and its picture as one save left them, while others save; None for a picture that is missing.

    Raises OSError when the card cannot be read, also because it was renamed meanwhile.
    """
    missed = 0
    for _ in range(TRIES):
        data = path.read_bytes()
        card_id, wanted = asked_for(data)
        found = seek_picture(path, card_id, wanted)
        drawn = None
        with suppress(FileNotFoundError):  # moved since it was found
            drawn = found.read_bytes() if found else None
        if drawn is not None and atomic_write.digest_of(drawn) == wanted:
            return data, drawn
        missed += found is None
        if missed == MISSES and path.read_bytes() == data:
            break
    return data, None


def sweep(cards: Path) -> None:
    """Put every picture that waits in its place; one that no card asks for goes after a minute."""
    for waits in cards.glob(f".*{WAITS}"):
        with suppress(OSError):
            path = waits.with_name(waits.name.removeprefix(".").removesuffix(WAITS) + ".json")
            wanted = asked_for(path.read_bytes())[1] if path.is_file() else ""
            if whole_digest(waits) == wanted:
                atomic_write.swap(waits, path.with_suffix(".png"))
            elif time.time() - waits.stat().st_mtime > atomic_write.STALE_SECONDS:
                waits.unlink()
