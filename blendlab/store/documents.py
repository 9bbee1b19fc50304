"""JSON documents of one folder: read, write, find by id, set the broken ones aside."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from blendlab.codec import encode, object_in, to_json
from blendlab.errors import BadDocument, BlendlabError, NotSaved, Problem, UnknownName
from blendlab.store import atomic_write
from blendlab.store.folder import Folder

LONGEST_FILE = 20_000_000


@dataclass(frozen=True)
class Damaged:
    """A file that could not be read: where it lies now, and why in one sentence."""

    path: Path
    message: str


def to_bytes(what: str, plain: Mapping[str, Any]) -> bytes:
    """A document as JSON with sorted keys, one value a line.

    Raises BadDocument for a value that JSON does not have.
    """
    return (to_json(what, encode(plain), indent=1) + "\n").encode()


def read(what: str, path: Path) -> bytes:
    """The bytes of a document.

    Raises BadDocument when the file is far too long or the disk refuses.
    """
    try:
        if path.stat().st_size > LONGEST_FILE:
            raise BadDocument(what, [Problem("", f"the file is longer than {LONGEST_FILE // 1_000_000} MB")])
        return path.read_bytes()
    except OSError as problem:
        raise BadDocument(what, [Problem("", atomic_write.reason(problem))]) from problem


def files(where: Path) -> list[Path]:
    """The documents of a folder in the order of their names; none when there is no folder."""
    return sorted(path for path in where.glob("*.json") if not path.name.startswith("."))


def find(what: str, where: Path, id_: str, key: tuple[str, ...] = ("id",)) -> Path:
    """The file of the document with an id, whatever its name says.

    key  path of the id in the document

    Raises UnknownName that lists the ids there are.
    """
    known = []
    ending = f"-{atomic_write.plain_id(id_)}.json"
    for path in sorted(files(where), key=lambda file: not file.name.endswith(ending)):
        found = _id_in(what, path, key)
        if found == id_:
            return path
        known.append(found)
    raise UnknownName(what, id_, [other for other in known if other])


def seek(what: str, where: Path, id_: str, key: tuple[str, ...] = ("id",)) -> Path | None:
    """The file of the document with an id, or None."""
    try:
        return find(what, where, id_, key)
    except UnknownName:
        return None


def _id_in(what: str, path: Path, key: tuple[str, ...]) -> str:
    try:
        plain: Any = object_in(what, read(what, path))
    except BadDocument:
        return ""
    for step in key:
        plain = plain.get(step) if isinstance(plain, dict) else None
    return plain if isinstance(plain, str) else ""


def set_aside_damaged(folder: Folder, path: Path, problem: BlendlabError) -> Damaged:
    """Move a file that cannot be read to ``bin/damaged``; it is never changed or thrown away.

    A file that only the disk refuses (open in another program, no right to read) stays where it is.
    """
    inner = path.relative_to(folder.root).parent
    try:
        with path.open("rb"):
            pass
        lies_at = atomic_write.set_aside(path, folder.damaged / inner)
    except OSError:
        return Damaged(path, f"{path.name} cannot be read and stays where it is. {problem}")
    return _told(lies_at, problem)


def damaged(folder: Folder, inner: str) -> Iterator[Damaged]:
    """Files of one part of the folder ("cards", "shelf/oil") that were set aside, with the reason."""
    for path in files(folder.damaged / inner):
        try:
            object_in("file", read("file", path))
            problem: BlendlabError = BadDocument("file", [Problem("", "a value in it is missing or wrong")])
        except BadDocument as found:
            problem = found
        yield _told(path, problem)


def _told(path: Path, problem: BlendlabError) -> Damaged:
    return Damaged(path, f"{path.name} was set aside, nothing in it was changed. {problem}")


def settle_name(path: Path, stem: str) -> Path:
    """Rename a document and its picture after its present name; returns where it lies now."""
    target = path.with_name(f"{stem}.json")
    if target == path or target.exists():
        return path
    try:
        picture = path.with_suffix(".png")
        if picture.exists():
            atomic_write.swap(picture, target.with_suffix(".png"))
        atomic_write.swap(path, target)
    except OSError as problem:
        raise NotSaved(str(target), atomic_write.reason(problem)) from problem
    return target


def now() -> str:
    """The present moment in ISO form, UTC, to the millisecond."""
    return datetime.now(UTC).isoformat(timespec="milliseconds")
