"""JSON documents of one folder: read, write, find by id, set the broken ones aside."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from blendlab.codec import encode
from blendlab.errors import BadDocument, BlendlabError, NewerFormat, NotSaved, Problem, UnknownName
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
    try:
        text = json.dumps(encode(plain), indent=1, sort_keys=True, ensure_ascii=False, allow_nan=False)
        return (text + "\n").encode()
    except (TypeError, ValueError) as problem:
        raise BadDocument(what, [Problem("", f"holds what cannot be written: {problem}")]) from problem


def from_bytes(what: str, data: bytes) -> dict[str, Any]:
    """The dict in the bytes of a document.

    Raises BadDocument for anything else than one JSON object.
    """
    try:
        plain = json.loads(data.decode("utf-8"), parse_constant=_no_constant)
    except (ValueError, RecursionError) as problem:
        raise BadDocument(what, [Problem("", _unreadable(data, problem))]) from problem
    if not isinstance(plain, dict):
        raise BadDocument(what, [Problem("", "holds no keys with values")])
    return plain


def _no_constant(name: str) -> float:
    raise ValueError(f"{name} is not a number")


def _unreadable(data: bytes, problem: Exception) -> str:
    if not data.strip():
        return "the file is empty"
    if isinstance(problem, UnicodeDecodeError):
        return "the file is not text"
    if isinstance(problem, json.JSONDecodeError):
        return f"the text breaks off or goes wrong in line {problem.lineno}"
    return f"the text cannot be read: {problem}"


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
    for path in sorted(files(where), key=lambda one: not one.name.endswith(ending)):
        found = _id_in(what, path, key)
        if found == id_:
            return path
        known.append(found)
    raise UnknownName(what, id_, [one for one in known if one])


def seek(what: str, where: Path, id_: str, key: tuple[str, ...] = ("id",)) -> Path | None:
    """The file of the document with an id, or None."""
    try:
        return find(what, where, id_, key)
    except UnknownName:
        return None


def _id_in(what: str, path: Path, key: tuple[str, ...]) -> str:
    try:
        plain: Any = from_bytes(what, read(what, path))
    except BadDocument:
        return ""
    for step in key:
        plain = plain.get(step) if isinstance(plain, dict) else None
    return plain if isinstance(plain, str) else ""


def refuse_newer(what: str, plain: Mapping[str, Any], known: int) -> None:
    """Raise NewerFormat for a document of a later format."""
    if is_newer(plain, known):
        raise NewerFormat(what, plain["format"], known)


def is_newer(plain: Mapping[str, Any], known: int) -> bool:
    """Whether a document says it has a later format than this program knows."""
    return isinstance(plain.get("format"), int) and plain["format"] > known


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
            from_bytes("file", read("file", path))
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
