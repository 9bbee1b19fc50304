"""All cards at a glance."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from functools import lru_cache
from pathlib import Path
from typing import Any

from blendlab.codec import object_in
from blendlab.errors import BadDocument, NewerFormat
from blendlab.recipe import Design
from blendlab.store import atomic_write, card_files, cards, documents
from blendlab.store.cards import WHAT
from blendlab.store.folder import Folder


@dataclass(frozen=True)
class Entry:
    """One card in the list.

    digest   digest of its file, to be shown at rename or save
    picture  file of its picture, or None when it is missing, damaged or belongs to another save
    judged   what was judged when it was saved
    newer    a later version wrote it: to look at, not to change
    damaged  why it cannot be read, or ""
    design   as it was saved; None where it cannot be read
    """

    card_id: str
    name: str
    digest: str = ""
    picture: Path | None = None
    judged: Mapping[str, Any] = field(default_factory=dict)
    saved_at: str = ""
    newer: bool = False
    damaged: str = ""
    design: Design | None = None


def listing(folder: Folder) -> list[Entry]:
    """Every card, newest first; files that cannot be read are set aside and told at the end."""
    entries: dict[str, Entry] = {}
    broken = []
    for path in documents.files(folder.cards):
        try:
            entry = _entry(path)
        except BadDocument as problem:
            broken.append(documents.set_aside_damaged(folder, path, problem))
            continue
        if entry.card_id in entries:
            entry = Entry("", path.name, damaged=f"{path.name} holds the same card a second time.")
        entries[entry.card_id or path.name] = entry
    told = {damaged.path: damaged for damaged in (*documents.damaged(folder, "cards"), *broken)}
    bad = [Entry("", damaged.path.name, damaged=damaged.message) for damaged in told.values()]
    return [*sorted(entries.values(), key=lambda entry: entry.saved_at, reverse=True), *bad]


def _entry(path: Path) -> Entry:
    try:
        stat = path.stat()
    except OSError as problem:
        raise BadDocument(WHAT, []) from problem
    entry, wanted = _read(path, stat.st_mtime_ns, stat.st_size)
    return replace(entry, picture=card_files.picture(path, entry.card_id, wanted))


@lru_cache(maxsize=512)
def _read(path: Path, mtime_ns: int, size: int) -> tuple[Entry, str]:
    data = documents.read(WHAT, path)
    plain = object_in(WHAT, data)
    digest = atomic_write.digest_of(data)
    try:
        card = cards.card_from(plain)
    except NewerFormat as problem:
        return _unread(plain, digest, problem), str(plain.get("picture", ""))
    return (
        Entry(
            card.id,
            card.design.name,
            digest,
            judged=card.judged,
            saved_at=card.saved_at,
            newer=card.newer,
            design=card.design,
        ),
        card.picture,
    )


def _unread(plain: Mapping[str, Any], digest: str, problem: NewerFormat) -> Entry:
    design = plain.get("design")
    named = design if isinstance(design, Mapping) else {}
    name, saved_at = str(named.get("name", "")), str(plain.get("saved_at", ""))
    return Entry(str(named.get("id", "")), name, digest, None, {}, saved_at, True, str(problem))
