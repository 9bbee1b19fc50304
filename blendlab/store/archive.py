"""A backup as a file: what may stand in it, and reading it without trusting it."""

from __future__ import annotations

import hashlib
import stat
import zipfile
import zlib
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO

from blendlab.codec import Noun, decode, encode, moment, object_in, refuse_newer
from blendlab.errors import BadDocument, Problem
from blendlab.store import documents

FORMAT = 1
WHAT = "backup"
MANIFEST = "backup.json"
BOOK = "book.sqlite3"
MOST_BYTES = 8_000_000_000
"""All files of a backup together, unpacked."""
MOST_FILES = 100_000
MOST_RATIO = 200
"""Bytes unpacked for each byte packed; text and an empty book stay far below."""
SMALL = 10_000_000
"""Bytes unpacked below which the ratio is not asked for."""
CHUNK = 1 << 20
UNREADABLE = (
    *(zipfile.BadZipFile, zlib.error, EOFError),
    *(NotImplementedError, RuntimeError, KeyError, OSError, ValueError),
)
"""What the standard reader raises at bytes that are no zip file, or no longer one."""


@dataclass(frozen=True, kw_only=True)
class Manifest(Noun):
    """What a backup says of itself: when it was made, its files with their digests, lines of the book."""

    made_at: str = moment()
    files: Mapping[str, str] = field(default_factory=dict)
    lines: Mapping[str, int] = field(default_factory=dict)
    format: int = FORMAT


class Archive:
    """A backup that was opened and whose names, sizes and manifest were looked at; see `opened`."""

    def __init__(self, packed: zipfile.ZipFile, manifest: Manifest) -> None:
        self._packed, self.manifest = packed, manifest

    @property
    def names(self) -> tuple[str, ...]:
        """Names of its files but for the manifest, in their order."""
        return tuple(sorted(self.manifest.files))

    def read(self, name: str) -> bytes:
        """The bytes of one file, held against its digest. Raises BadDocument."""
        with self._opened(name) as file:
            data = file.read(documents.LONGEST_FILE + 1)
        if len(data) > documents.LONGEST_FILE:
            raise _refused(f"{name} is longer than {documents.LONGEST_FILE // 1_000_000} MB")
        self._held(name, hashlib.sha256(data).hexdigest())
        return data

    def extract(self, name: str, to: Path) -> None:
        """Write one file to a path, held against its digest. Raises BadDocument."""
        found, left = hashlib.sha256(), MOST_BYTES
        with self._opened(name) as file, to.open("xb") as out:
            while chunk := file.read(CHUNK):
                left -= len(chunk)
                if left < 0:
                    raise _refused(f"{name} unpacks to more than it says")
                found.update(chunk)
                out.write(chunk)
        self._held(name, found.hexdigest())

    @contextmanager
    def _opened(self, name: str) -> Iterator[IO[bytes]]:
        try:
            with self._packed.open(name) as file:
                yield file
        except BadDocument:
            raise
        except UNREADABLE as problem:
            raise _refused(f"{name} cannot be unpacked ({problem})") from problem

    def _held(self, name: str, digest: str) -> None:
        if digest != self.manifest.files.get(name):
            raise _refused(f"{name} is not what was packed")


@contextmanager
def opened(path: Path) -> Iterator[Archive]:
    """A backup to read from; nothing is unpacked to a name of its own choosing.

    Raises BadDocument for what is no backup, is damaged or tries a trick with names or sizes,
    NewerFormat for one of a later version.
    """
    try:
        packed = zipfile.ZipFile(path)
    except UNREADABLE as problem:
        raise _refused(f"{path.name} is no zip file that can be opened ({problem})") from problem
    with packed:
        _look_at_names(packed.infolist())
        _look_at_sizes(packed.infolist(), path.stat().st_size)
        yield Archive(packed, _manifest(packed))


def name_fault(name: str) -> str:
    """Why a name cannot stand in a backup, in words; "" for one that can.

    >>> name_fault("cards/fern.json"), name_fault("sheet 3:4.pdf")
    ('', 'the name "sheet 3:4.pdf" would leave the folder')
    """
    parts = name.split("/")
    if any(mark in name for mark in "\\:\0") or any(part in ("", ".", "..") for part in parts):
        return f'the name "{shown(name)}" would leave the folder'
    if any(part.startswith(".") for part in parts):
        return f'the name "{shown(name)}" is hidden'
    if any("\ud800" <= mark <= "\udfff" for mark in name):
        return f'the name "{shown(name)}" is no text'
    return ""


def shown(name: str) -> str:
    r"""A name to be read, whatever characters it has.

    >>> shown("Rose.pdf"), shown("Icon\r")
    ('Rose.pdf', 'Icon\\r')
    """
    return name if name.isprintable() else ascii(name)[1:-1]


def to_bytes(manifest: Manifest) -> bytes:
    """A manifest as it is packed."""
    return documents.to_bytes(WHAT, encode(manifest))


def _look_at_names(infos: list[zipfile.ZipInfo]) -> None:
    seen: set[str] = set()
    for info in infos:
        name = info.orig_filename
        if wrong := name_fault(name):
            raise _refused(wrong)
        if stat.S_IFMT(info.external_attr >> 16) not in (0, stat.S_IFREG):
            raise _refused(f"{name} is a link or no plain file")
        if info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED) or info.flag_bits & 1:
            raise _refused(f"{name} is packed in a way that backups are not")
        if name.casefold() in seen:
            raise _refused(f"{name} stands in it twice")
        seen.add(name.casefold())


def _look_at_sizes(infos: list[zipfile.ZipInfo], packed_bytes: int) -> None:
    if len(infos) > MOST_FILES:
        raise _refused(f"it has {len(infos)} files; {MOST_FILES} at most")
    whole = sum(info.file_size for info in infos)
    if whole > MOST_BYTES:
        raise _refused(f"it unpacks to {whole / 1e9:.1f} GB; {MOST_BYTES / 1e9:g} GB at most")
    if whole > SMALL and whole > MOST_RATIO * packed_bytes:
        raise _refused(f"it unpacks to {whole / packed_bytes:.0f} times its size; {MOST_RATIO} at most")


def _manifest(packed: zipfile.ZipFile) -> Manifest:
    try:
        with packed.open(MANIFEST) as file:
            data = file.read(documents.LONGEST_FILE + 1)
    except KeyError as problem:
        raise _refused(f"it has no {MANIFEST}: it was not made by this program") from problem
    except UNREADABLE as problem:
        raise _refused(f"{MANIFEST} cannot be unpacked ({problem})") from problem
    if len(data) > documents.LONGEST_FILE:
        raise _refused(f"{MANIFEST} is too long")
    plain = object_in(WHAT, data)
    refuse_newer(WHAT, plain, FORMAT)
    manifest = decode(Manifest, plain)
    names = {info.orig_filename for info in packed.infolist()} - {MANIFEST}
    if names != set(manifest.files):
        odd = sorted(names ^ set(manifest.files))[0]
        raise _refused(f"{odd} is not both in it and in its list")
    return manifest


def _refused(why: str) -> BadDocument:
    return BadDocument(WHAT, [Problem("", why)])
