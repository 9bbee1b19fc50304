"""Drafts: a file a design at work, written at every edit, kept when another is opened."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from functools import lru_cache
from pathlib import Path
from typing import Any

from blendlab.codec import object_in, to_json
from blendlab.errors import BadDocument, ChangedOutside, NotSaved, Problem, UnknownName
from blendlab.store import atomic_write, documents
from blendlab.store.folder import Folder

WHAT = "draft"


@dataclass(frozen=True)
class Draft:
    """A design at work, or one that was left without being saved.

    digest   of its file, to be shown at the next save
    plain    what was kept, among it `design`
    kept_at  moment of its last change, ISO, UTC
    """

    id: str
    digest: str
    plain: Mapping[str, Any]
    kept_at: str

    @property
    def name(self) -> str:
        """Name of its design."""
        return str(self.plain["design"].get("name", ""))

    @property
    def design_id(self) -> str:
        """Id of its design, which is that of its card too."""
        return str(self.plain["design"].get("id", ""))

    @property
    def changed(self) -> bool:
        """Whether it holds work that no card has."""
        return bool(self.plain.get("changed"))


def save_draft(folder: Folder, draft_id: str, plain: Mapping[str, Any], seen: str | None) -> str:
    """Keep a draft: plain values, among them `design`; returns the digest of its file.

    seen  digest this window wrote or read last; None = the file must be new

    The disk is not waited for: this runs at every edit. A file that went meanwhile is written again.

    Raises ChangedOutside when another window writes there, NotSaved when the disk refuses, BadDocument
    for a value that JSON does not have.
    """
    data = to_json(WHAT, {**plain, "kept_at": documents.now()}).encode()
    path = _path(folder, draft_id)
    with atomic_write.locked(folder.drafts):
        found = atomic_write.digest(path)
        if found not in (None, seen):
            raise ChangedOutside(str(path), seen, found)
        return atomic_write.put(path, data, durable=False)


def load_drafts(folder: Folder) -> tuple[tuple[Draft, ...], tuple[str, ...]]:
    """Every draft, the one changed last first; a sentence for each that could not be read and was set aside.

    Never raises: a broken draft must not keep the program from starting. Whether its design is one is
    for `recipe.from_dict` to say. The one draft of earlier versions moves in among the others.
    """
    told = []
    if folder.draft.is_file():
        try:
            _move(folder.draft, _path(folder, atomic_write.new_id()))
        except NotSaved as problem:
            told.append(str(problem))
    found = []
    for path in documents.files(folder.drafts):
        try:
            stat = path.stat()
            draft = _read(path, stat.st_mtime_ns, (stat.st_ino, stat.st_size))
            found.append((draft, stat.st_mtime_ns))
        except BadDocument as bad:
            told.append(documents.set_aside_damaged(folder, path, bad).message)
        except OSError:  # another window left it meanwhile
            continue
    found.sort(key=lambda each: (each[0].kept_at, each[1]), reverse=True)
    return tuple(draft for draft, _ in found), tuple(told)


@lru_cache(maxsize=64)
def _read(path: Path, mtime_ns: int, file: tuple[int, int]) -> Draft:
    data = documents.read(WHAT, path)
    plain = object_in(WHAT, data)
    if not isinstance(plain.get("design"), dict):
        raise BadDocument(WHAT, [Problem("design", "is missing")])
    kept_at = plain.get("kept_at")
    if not isinstance(kept_at, str):
        kept_at = datetime.fromtimestamp(mtime_ns / 1e9, UTC).isoformat(timespec="milliseconds")
    return Draft(path.stem, atomic_write.digest_of(data), plain, kept_at)


def open_draft(folder: Folder, draft_id: str) -> Draft:
    """One draft. Raises UnknownName when it went meanwhile."""
    known, _ = load_drafts(folder)
    found = next((draft for draft in known if draft.id == draft_id), None)
    if found is None:
        raise UnknownName(WHAT, draft_id, [draft.id for draft in known])
    return found


def forget_draft(folder: Folder, draft_id: str) -> None:
    """Throw a draft away: it moves to the bin; nothing where it went already. Raises NotSaved."""
    path = _path(folder, draft_id)
    try:
        if path.is_file():
            atomic_write.set_aside(path, folder.bin / "drafts")
    except OSError as problem:
        raise NotSaved(str(path), atomic_write.reason(problem)) from problem


def restore_draft(folder: Folder, draft_id: str) -> None:
    """Bring a draft back from the bin, the latest of that id; under another id where there is one again.

    Raises UnknownName when the bin has none, NotSaved.
    """
    binned = folder.bin / "drafts"
    found = [path for path in documents.files(binned) if path.stem.partition("~")[0] == draft_id]
    if not found:
        raise UnknownName("draft in the bin", draft_id, [])
    target = _path(folder, draft_id)
    if target.exists():
        target = _path(folder, atomic_write.new_id())
    _move(max(found, key=lambda path: path.stat().st_mtime_ns), target)


def _move(path: Path, target: Path) -> None:
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        atomic_write.swap(path, target)
    except OSError as problem:
        raise NotSaved(str(path), atomic_write.reason(problem)) from problem


def drop_draft(folder: Folder, draft_id: str, seen: str | None) -> None:
    """Remove a draft whose work is in a card, unless another window has written there since `seen`."""
    path = _path(folder, draft_id)
    try:
        with atomic_write.locked(folder.drafts):
            if seen is not None and atomic_write.digest(path) == seen:
                path.unlink()
    except OSError as problem:
        raise NotSaved(str(path), atomic_write.reason(problem)) from problem


def _path(folder: Folder, draft_id: str) -> Path:
    return atomic_write.inside(folder.drafts, f"{draft_id}.json")
