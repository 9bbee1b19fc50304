"""Lines: ordered sets of cards that are sold together."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import NamedTuple

from blendlab.codec import Noun, decode, encode, object_in, refuse_newer, text
from blendlab.errors import BadDocument, NewerFormat
from blendlab.store import atomic_write, documents
from blendlab.store.documents import Damaged
from blendlab.store.folder import Folder

FORMAT = 1
WHAT = "line"


@dataclass(frozen=True, kw_only=True)
class CardLine(Noun):
    """A name and the ids of its cards in selling order.

    >>> CardLine(id="spring", name="Spring", cards=("lagoon", "fern")).cards[0]
    'lagoon'
    """

    id: str = text(80)
    name: str = text(80)
    cards: tuple[str, ...] = ()
    format: int = FORMAT


class SavedLine(NamedTuple):
    """A line as it stands on the disk, and the digest of its file."""

    line: CardLine
    digest: str


def save_line(folder: Folder, line: CardLine, seen: str | None) -> SavedLine:
    """Save a line; a new one (`seen` None) gets a new id if its own is taken.

    Raises ChangedOutside, NotSaved, NewerFormat for a line of a later format.
    """
    refuse_newer(WHAT, encode(line), FORMAT)
    with atomic_write.locked(folder.lines):
        path = documents.seek(WHAT, folder.lines, line.id)
        if seen is None and path is not None:
            line, path = replace(line, id=atomic_write.new_id()), None
        stem = atomic_write.file_stem(line.name, line.id)
        path = path or atomic_write.inside(folder.lines, f"{stem}.json")
        atomic_write.check(path, seen)
        digest = atomic_write.put(path, documents.to_bytes(WHAT, encode(line)))
        documents.settle_name(path, stem)
    return SavedLine(line, digest)


def open_line(folder: Folder, line_id: str) -> SavedLine:
    """A line, and the digest of its file; a later format is read as far as it can be.

    Raises UnknownName, BadDocument, or NewerFormat for a later format that cannot be read at all.
    """
    return read_line(documents.find(WHAT, folder.lines, line_id))


def lines(folder: Folder) -> list[SavedLine]:
    """All lines by name; what cannot be read is set aside, or left where a later version wrote it."""
    found = []
    for path in documents.files(folder.lines):
        try:
            found.append(read_line(path))
        except BadDocument as problem:
            documents.set_aside_damaged(folder, path, problem)
        except NewerFormat:
            continue
    return sorted(found, key=lambda saved: saved.line.name.casefold())


def unread_lines(folder: Folder) -> tuple[Damaged, ...]:
    """Files of lines that were set aside or that only a later version can read, with the reason."""
    told = list(documents.damaged(folder, "lines"))
    for path in documents.files(folder.lines):
        try:
            read_line(path)
        except (BadDocument, NewerFormat) as problem:
            told.append(Damaged(path, f"{path.name}: {problem}"))
    return tuple(told)


def read_line(path: Path) -> SavedLine:
    """The line in a file. Raises BadDocument, NewerFormat."""
    data = documents.read(WHAT, path)
    plain = object_in(WHAT, data)
    try:
        return SavedLine(decode(CardLine, plain), atomic_write.digest_of(data))
    except BadDocument:
        refuse_newer(WHAT, plain, FORMAT)
        raise
