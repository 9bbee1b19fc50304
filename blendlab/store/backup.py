"""A backup: all of her folder but the bin in one zip, read back before it counts."""

from __future__ import annotations

import hashlib
import tempfile
import zipfile
from collections.abc import Iterator, Mapping, Set
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from pathlib import Path

from blendlab.errors import BadDocument, BlendlabError, NotSaved, Problem
from blendlab.store import archive, atomic_write, book_file, card_files, documents, photos
from blendlab.store.archive import BOOK, MANIFEST, Manifest
from blendlab.store.book_schema import reading
from blendlab.store.error_log import NAME as LOG
from blendlab.store.folder import Folder

LEFT_OUT = {"bin", LOG}
AS_IT_IS = 1_000_000
"""Bytes of a file above which it is not made smaller: a photo cannot be, and a file of zeros would be
taken for a bomb (`archive.MOST_RATIO`)."""


@dataclass(frozen=True)
class Backup:
    """A backup that was made and read back.

    files  files in it, the book not counted; lines  lines of the book by table
    told   what could not be packed, in sentences
    """

    path: Path
    files: int
    cards: int
    lines: dict[str, int]
    told: tuple[str, ...]


def backup_name(at: datetime) -> str:
    """Name of a backup of that moment.

    >>> backup_name(datetime(2026, 3, 7, 9, 5))
    'blendlab-2026-03-07-0905.zip'
    """
    return f"blendlab-{at:%Y-%m-%d-%H%M}.zip"


def make_backup(folder: Folder, target: Path) -> Backup:
    """Pack the folder into a new file and read it back; others may write meanwhile.

    Each file is one that a save left whole, a card comes with its own picture, the book is as it was at
    one moment; it is packed first, so that every photo it names is there to be packed after it. What cannot
    be read is told and left out; a damaged book is packed as its file stands.

    Raises NotSaved for a target that is there already or lies in the folder, and when the disk refuses.
    """
    _refuse(folder, target)
    try:
        with atomic_write.elsewhere() as place, atomic_write.beside(target) as part:
            told: list[str] = []
            with zipfile.ZipFile(part, "x", zipfile.ZIP_DEFLATED) as packed:
                digests: dict[str, str] = {}
                lines = _pack_book(folder, place, packed, digests, told)
                for name, data in _files(folder, told):
                    packed.writestr(name, data, zipfile.ZIP_STORED if len(data) > AS_IT_IS else None)
                    digests[name] = atomic_write.digest_of(data)
                told += _photos_lacking(place / BOOK, digests) if lines else []
                manifest = Manifest(made_at=documents.now(), files=digests, lines=lines)
                packed.writestr(MANIFEST, archive.to_bytes(manifest))
            read_back(part)
    except BadDocument as problem:
        raise NotSaved(str(target), f"it could not be read back: {problem}") from problem
    cards = sum(name.startswith("cards/") and name.endswith(".json") for name in digests)
    files = sum(not name.startswith(BOOK) for name in digests)
    return Backup(target, files, cards, lines, tuple(told))


@cache
def downloads() -> tempfile.TemporaryDirectory[str]:
    """Where backups wait to be downloaded; it goes when the program ends."""
    return tempfile.TemporaryDirectory(prefix="blendlab-")


def backup_to_download(folder: Folder, at: datetime) -> Backup:
    """Make a backup that waits to be downloaded. Raises NotSaved."""
    where = Path(downloads().name) / atomic_write.new_id()
    try:
        where.mkdir()
    except OSError as problem:
        raise NotSaved(str(where), atomic_write.reason(problem)) from problem
    return make_backup(folder, where / backup_name(at))


def forget_download(path: Path) -> None:
    """Throw a backup away that waited to be downloaded, and no other file."""
    if path.is_relative_to(downloads().name):
        path.unlink(missing_ok=True)


def read_back(path: Path) -> Manifest:
    """Unpack every file of a backup and hold it against its list, the book line for line counted.

    Raises BadDocument, NewerFormat.
    """
    with archive.opened(path) as packed, atomic_write.elsewhere() as place:
        for name in packed.names:
            if name.startswith(BOOK):
                packed.extract(name, place / name)
            else:
                packed.read(name)
        book = place / BOOK
        if packed.manifest.lines and book_file.counted(book) != dict(packed.manifest.lines):
            raise BadDocument("backup", [Problem(BOOK, "does not hold the lines that were packed")])
        return packed.manifest


def _refuse(folder: Folder, target: Path) -> None:
    if target.exists():
        raise NotSaved(str(target), "a file of that name is there already")
    if not target.parent.is_dir():
        raise NotSaved(str(target), "there is no such folder")
    if not folder.root.is_dir():
        raise NotSaved(str(target), f"there is no folder {folder.root} to pack")
    if target.resolve().is_relative_to(folder.root.resolve()):
        raise NotSaved(str(target), "a backup is kept outside the folder it is of")


def _files(folder: Folder, told: list[str]) -> Iterator[tuple[str, bytes]]:
    """Name and bytes of every plain file but the book; a card and its picture belong together.

    Names are listed until a whole round brings nothing new: a card may be renamed meanwhile, and is packed
    under the one name or the other. Of names that differ in their capitals alone that in small letters comes
    first: the program writes no others.
    """
    seen: set[Path] = set()
    cards: set[str] = set()
    names = {MANIFEST, BOOK, f"{BOOK}{book_file.LOGS[0]}"}
    while fresh := set(_plain_files(folder)) - seen:
        known = frozenset(cards)
        for path in sorted(fresh, key=lambda path: str(path).swapcase()):
            inner = path.relative_to(folder.root)
            if wrong := _unfit(path, inner.as_posix(), names):
                told.append(f"{archive.shown(inner.as_posix())} {wrong} and was left out.")
                continue
            files = list(_packed(folder, path, inner, told))
            if files and path.parent == folder.cards:
                card_id, _ = card_files.asked_for(files[0][1])
                if card_id and card_id in known:
                    continue
                cards.add(card_id)
            names.update(name.casefold() for name, _ in files)
            yield from files
        seen.update(fresh)


def _unfit(path: Path, name: str, names: Set[str]) -> str:
    """Why a file cannot stand in a backup beside the names that do, or ""."""
    if path.is_symlink():
        return "is a link to another place"
    if archive.name_fault(name):
        return "has a name that not every system can have"
    return "has the name of another file on many systems" if name.casefold() in names else ""


def _plain_files(folder: Folder) -> Iterator[Path]:
    for path in folder.root.rglob("*"):
        parts = path.relative_to(folder.root).parts
        if parts[0] in LEFT_OUT or parts[0].startswith(BOOK) or any(part.startswith(".") for part in parts):
            continue
        if path.is_symlink() or (
            path.is_file() and not (path.parent == folder.cards and path.suffix == ".png")
        ):
            yield path


def _packed(folder: Folder, path: Path, inner: Path, told: list[str]) -> Iterator[tuple[str, bytes]]:
    try:
        if path.stat().st_size > documents.LONGEST_FILE:
            told.append(f"{inner.as_posix()} is too long for a file of this program and was left out.")
            return
        is_card = path.parent == folder.cards and path.suffix == ".json"
        data, picture = card_files.pair(path) if is_card else (path.read_bytes(), None)
    except FileNotFoundError:  # renamed or put in the bin meanwhile: it is there under its new name, or gone
        return
    except OSError as problem:
        told.append(f"{inner.as_posix()} cannot be read and was left out: {atomic_write.reason(problem)}.")
        return
    yield inner.as_posix(), data
    if picture is not None:
        yield inner.with_suffix(".png").as_posix(), picture


def _pack_book(
    folder: Folder, work: Path, packed: zipfile.ZipFile, digests: dict[str, str], told: list[str]
) -> dict[str, int]:
    """Pack a copy of the book; returns its lines by table, empty for a damaged one."""
    if not folder.book.exists():
        return {}
    copy = work / BOOK
    lines: dict[str, int] = {}
    try:
        lines = book_file.copy_book(folder.book, copy)
    except BlendlabError as problem:
        copy.unlink(missing_ok=True)
        copy = book_file.copied(folder.book, work / "as-it-is")
        told.append(f"The book is packed as its file stands, damaged: {problem}")
    for file in (copy, copy.with_name(f"{BOOK}{book_file.LOGS[0]}")):
        if file.exists():
            packed.write(file, file.name)
            digests[file.name] = _digest_of_file(file)
    return lines


def _photos_lacking(book: Path, digests: Mapping[str, str]) -> list[str]:
    """A sentence about the photos that a packed book names and that were not there to be packed."""
    with reading(book) as link:
        lacking = len(set(photos.named(link)) - set(digests.values()))
    if not lacking:
        return []
    many = "1 photo that a reading names is" if lacking == 1 else f"{lacking} photos that readings name are"
    return [f"{many} missing or damaged in your folder and not in the backup."]


def _digest_of_file(path: Path) -> str:
    with path.open("rb") as file:
        return hashlib.file_digest(file, "sha256").hexdigest()
