"""One safe way to put bytes on the disk: lock, compare, write beside, flush, swap.

Readers see the old file or the new one, never half of it; a writer that did not see the latest
version is turned away instead of overwriting it.
"""

from __future__ import annotations

import errno
import hashlib
import os
import re
import secrets
import shutil
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from filelock import FileLock, Timeout

from blendlab.errors import BadDocument, BlendlabError, ChangedOutside, NotSaved, Problem
from blendlab.recipe import slug

PART = ".part"
LOCK_SECONDS = 5.0
STALE_SECONDS = 60.0
LONGEST_SLUG = 40
FULL = "the disk is full. Make room on it and do it again; what was saved before is kept"
READ_ONLY = "the folder is read-only or the file is open in another program"
NO_ROOM = (errno.ENOSPC, errno.EDQUOT)
LEAST_FREE = 1_000_000
"""Bytes free on a disk below which an error that names no cause is taken for a full disk."""

_RESERVED = {"con", "prn", "aux", "nul", *(f"{port}{n}" for port in ("com", "lpt") for n in range(10))}
_PLAIN = re.compile(r"[a-z0-9](?:[a-z0-9_-]{0,38}[a-z0-9])?")


def digest(path: Path) -> str | None:
    """SHA-256 of a file in hexadecimal digits; None when there is no file.

    >>> digest(Path("no such file")) is None
    True
    """
    try:
        return digest_of(path.read_bytes())
    except FileNotFoundError:
        return None


def digest_of(data: bytes) -> str:
    """SHA-256 of bytes in hexadecimal digits."""
    return hashlib.sha256(data).hexdigest()


def plain_id(text: str) -> str:
    """An id as a part of a file name on every system: itself when harmless, else letters and a digest.

    >>> plain_id("yellow_oxide"), plain_id("con"), plain_id("../../key")
    ('yellow_oxide', 'con-1143da2b', 'key-96a74b53')
    """
    if _PLAIN.fullmatch(text) and text not in _RESERVED:
        return text
    return f"{slug(text, 'id')[:20].strip('-')}-{digest_of(text.encode())[:8]}"


def file_stem(name: str, id_: str) -> str:
    """File name of a named document without its ending: its name in plain letters, then its id.

    >>> file_stem("Fern Glade", "a1b2c3d4"), file_stem("Лагуна", "a1b2c3d4")
    ('fern-glade-a1b2c3d4', 'unnamed-a1b2c3d4')
    """
    return f"{slug(name)[:LONGEST_SLUG].strip('-')}-{plain_id(id_)}"


def new_id() -> str:
    """Eight hexadecimal digits nobody else has."""
    return secrets.token_hex(4)


def inside(root: Path, *names: str) -> Path:
    """A path below `root`, each name one step down.

    Raises BadDocument for a name that would leave the folder.

    >>> inside(Path("swatches"), "cards", "fern-1.json").as_posix()
    'swatches/cards/fern-1.json'
    """
    for name in names:
        if name in ("", ".", "..") or re.search(r"[/\\:\0]", name):
            raise BadDocument("file name", [Problem("", f'is "{name}"; it would leave the folder')])
    return root.joinpath(*names)


@contextmanager
def locked(folder: Path, seconds: float | None = None) -> Iterator[None]:
    """Hold the lock of one folder against other windows and other programs.

    seconds  how long to wait for it; None = 5 s

    Raises NotSaved when the folder cannot be written or the lock stays taken.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        lock = FileLock(folder / ".lock", timeout=LOCK_SECONDS if seconds is None else seconds)
        lock.acquire()
    except Timeout as problem:
        raise NotSaved(str(folder), "another window is saving there") from problem
    except OSError as problem:
        raise NotSaved(str(folder), reason(problem)) from problem
    try:
        yield
    finally:
        lock.release()


def write(path: Path, data: bytes, seen: str | None) -> str:
    """Write a file whose last version was `seen`; returns the new digest.

    seen  digest of the file when it was read; None = the file must be new

    Raises ChangedOutside when the file is another one by now, NotSaved when the disk refuses.
    """
    with locked(path.parent):
        check(path, seen)
        return put(path, data)


def check(path: Path, seen: str | None) -> None:
    """Raise ChangedOutside unless the file still is what was seen."""
    found = digest(path)
    if found != seen:
        raise ChangedOutside(str(path), seen, found)


def put(path: Path, data: bytes, *, durable: bool = True) -> str:
    """Swap in a whole file, without lock and comparison; returns its digest.

    durable  wait until the disk has it; False for a draft that is written at every edit

    Raises NotSaved.
    """
    with beside(path, durable=durable) as part, part.open("xb") as file:
        file.write(data)
    return digest_of(data)


@contextmanager
def beside(path: Path, *, durable: bool = True) -> Iterator[Path]:
    """A name beside a target to write to; what lies there when the block ends well is swapped in whole.

    durable  wait until the disk has it

    Raises NotSaved; the target is then as it was.
    """
    part = path.with_name(f".{path.name[:60]}.{os.getpid()}-{secrets.token_hex(4)}{PART}")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        try:
            yield part
            if durable:
                _flush(part)
            swap(part, path)
        finally:
            part.unlink(missing_ok=True)
        if durable and os.name != "nt":
            _flush(path.parent)
    except NotSaved:
        raise
    except OSError as problem:
        raise NotSaved(str(path), reason(problem)) from problem


def _flush(path: Path) -> None:
    """Wait until the disk has a file, or the names in a folder."""
    handle = os.open(path, os.O_RDWR if path.is_file() else os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def elsewhere() -> Iterator[Path]:
    """A folder of the system's own for the length of a block. Raises NotSaved when its disk refuses."""
    try:
        with tempfile.TemporaryDirectory(prefix="blendlab-") as where:
            yield Path(where)
    except BlendlabError:
        raise
    except OSError as problem:
        where = problem.filename or tempfile.gettempdir()
        raise NotSaved(str(where), reason(problem)) from problem


def swap(source: Path, target: Path) -> None:
    """Move a file onto another; where a program holds the target open, try 5 times in 250 ms.

    Onto another disk it is copied whole first and then taken away here.
    """
    for attempt in range(5):
        try:
            source.replace(target)
            return
        except PermissionError:
            if attempt == 4 or os.name != "nt":
                raise
            time.sleep(0.05)
        except OSError as problem:
            if problem.errno != errno.EXDEV:
                raise
            with beside(target) as part:
                shutil.copy2(source, part)
            source.unlink()
            return


def set_aside(path: Path, to: Path, name: str = "") -> Path:
    """Move a file into another folder under a name that is free there; returns where it lies.

    name  the name to begin with, "" for its own; the time of the file becomes that of the move
    """
    to.mkdir(parents=True, exist_ok=True)
    wanted = to / (name or path.name)
    target, count = wanted, 1
    while target.exists():
        count += 1
        target = to / f"{wanted.stem}~{count}{wanted.suffix}"
    swap(path, target)
    with suppress(OSError):
        target.touch()
    return target


def sweep(folder: Path) -> int:
    """Remove parts of saves that were cut off more than a minute ago; returns how many."""
    swept = 0
    for part in folder.rglob(f".*{PART}"):
        try:
            if time.time() - part.stat().st_mtime > STALE_SECONDS:
                part.unlink()
                swept += 1
        except OSError:  # another window swept it first, or it is not ours to remove
            continue
    return swept


def reason(problem: OSError) -> str:
    """Why the disk refused, in words."""
    if isinstance(problem, PermissionError):
        return READ_ONLY
    if problem.errno in NO_ROOM:
        return FULL
    return (problem.strerror or str(problem)).lower()


def no_room(path: Path) -> bool:
    """Whether the disk that a file lies on, or is to lie on, is full."""
    there = next((place for place in (path, *path.parents) if place.exists()), None)
    try:
        return there is not None and shutil.disk_usage(there).free < LEAST_FREE
    except OSError:
        return False
