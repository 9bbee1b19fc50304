"""Photos of kept jars: one file each in her folder, named for whoever looks for it by hand.

An entry of the book names its photo by digest, and by its digest it is found, whatever it is called by then.
"""

from __future__ import annotations

import re
import sqlite3
from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path, PurePosixPath

from blendlab.errors import BadDocument, Problem
from blendlab.store import atomic_write
from blendlab.store.folder import Folder

SUFFIX = ".jpg"
DIGITS = 12
"""Digits of the digest that stand in the name of a photo."""
START, END = b"\xff\xd8\xff", b"\xff\xd9"
"""What the bytes of a JPEG begin and end with."""
_PLAIN = re.compile(rf"[a-z0-9][a-z0-9_-]{{0,80}}-[0-9a-f]{{{DIGITS}}}(~[0-9]+)?{re.escape(SUFFIX)}")


def name_of(about: str, digest: str) -> str:
    """Name of the file of a photo.

    about  what it shows: batch, test and day

    >>> name_of("26066A-FERN120 light 2026-04-04", "0123456789abcdef")
    '26066a-fern120-light-2026-04-04-0123456789ab.jpg'
    """
    return f"{atomic_write.file_stem(about, digest[:DIGITS])}{SUFFIX}"


def keep(folder: Folder, about: str, data: bytes) -> str:
    """Write a photo; returns its digest. One that is there already stays as it is.

    Raises BadDocument for what is no JPEG or one too large to be shown, NotSaved when the disk refuses.
    """
    refuse_other(data)
    digest = atomic_write.digest_of(data)
    if find(folder, digest) is None:
        atomic_write.put(folder.photos / name_of(about, digest), data)
    return digest


def refuse_other(data: bytes) -> None:
    """Raise BadDocument for bytes that are no whole JPEG, or one that nobody could show."""
    from blendlab import photo

    if not (data.startswith(START) and data.endswith(END)):
        raise BadDocument("photo", [Problem("", "the file is no whole JPEG")])
    try:
        photo.refuse_unfit(data)
    except photo.BadPicture as problem:
        raise BadDocument("photo", [Problem("", str(problem))]) from problem


def named(link: sqlite3.Connection) -> tuple[str, ...]:
    """Digests of all photos that lines of a book name, corrected ones too."""
    rows = link.execute(
        "SELECT DISTINCT json_extract(data, '$.photo') FROM entries"
        " WHERE kind = 'reading' AND json_valid(data)"
    )
    return tuple(row[0] for row in rows if row[0])


def free_place(folder: Folder, name: str, digest: str) -> Path:
    """Where a photo can be put that came from elsewhere: under its own name where that is plain and free."""
    stem = PurePosixPath(name).stem
    if not _PLAIN.fullmatch(name):
        stem = name_of(stem, digest).removesuffix(SUFFIX)
    path, count = folder.photos / f"{stem}{SUFFIX}", 1
    while path.exists():
        count += 1
        path = folder.photos / f"{stem}~{count}{SUFFIX}"
    return path


def photo_file(folder: Folder, digest: str) -> Path:
    """Where a photo lies, as it was written.

    Raises BadDocument where it is missing or damaged, which of the two as far as its name tells.
    """
    found = find(folder, digest)
    if found is not None:
        return found
    named = next((path for path in files(folder) if _is_named(path, digest)), None)
    if named is None:
        raise BadDocument("photo", [Problem("", f"it is not in the folder {folder.photos}")])
    raise BadDocument("photo", [Problem("", f"{named.name} is damaged or was changed")])


def find(folder: Folder, digest: str) -> Path | None:
    """The file that holds a photo, to the byte; None where none does."""
    by_name = sorted(files(folder), key=lambda path: not _is_named(path, digest))
    return next((path for path in by_name if _digest_of(path) == digest), None)


def files(folder: Folder) -> list[Path]:
    """Every file of the folder of photos in the order of their names; none where there is no folder."""
    return sorted(_files(folder.photos))


def _files(where: Path) -> Iterator[Path]:
    for path in where.glob("*"):
        if path.suffix.lower() in (SUFFIX, ".jpeg") and not path.name.startswith(".") and path.is_file():
            yield path


def _is_named(path: Path, digest: str) -> bool:
    return bool(digest) and f"-{digest[:DIGITS]}" in path.stem[-DIGITS - 4 :]


def _digest_of(path: Path) -> str | None:
    try:
        stat = path.stat()
        return _digest(path, stat.st_mtime_ns, stat.st_size, stat.st_ino)
    except OSError:
        return None


@lru_cache(maxsize=4096)
def _digest(path: Path, mtime_ns: int, size: int, inode: int) -> str:
    """Digest of a file that stands as it was; a page asks for the same photos at every draw."""
    return atomic_write.digest_of(path.read_bytes())
